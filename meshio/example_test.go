package meshio_test

import (
	"errors"
	"fmt"

	"selvage/mesh"
	"selvage/meshio"
)

func ExampleDecode() {
	data := []byte("solid wedge\r\nfacet normal 0 0 1\r\nouter loop\r\n" +
		"vertex 0 0 0\r\nvertex 10 0 0\r\nvertex 0 10 0\r\nendloop\r\nendfacet\r\nendsolid\r\n")
	soup, format, err := meshio.Decode(data)
	if err != nil {
		fmt.Println(err)
		return
	}
	m, _ := mesh.Build(soup)
	fmt.Println(format, m.Area(), format.Named("wedge.ply"))
	// Output: ASCII STL 50 false
}

// What is wrong with a file is said in one line, and can be told by a program.
func ExampleError() {
	_, _, err := meshio.Decode([]byte("v 0 0 0\nv 1 0 0\nv 0 1,5 0\nf 1 2 3\n"))
	fmt.Println(err)
	var e *meshio.Error
	if errors.As(err, &e) {
		fmt.Println(e.Kind, e.Unit, e.Index)
	}
	// Output:
	// decode OBJ: line 3: vertex 3: "1,5" is not a finite number; export the scan again
	// number line 3
}
