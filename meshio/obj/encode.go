package obj

import (
	"bufio"
	"fmt"
	"io"
	"strconv"

	"selvage/mesh"
)

// Encode writes m as OBJ, with as many digits as bring every coordinate back bit
// for bit, and with the colours of its vertices where it has any. An error is
// w's own, or says which vertex is not finite.
func Encode(w io.Writer, m *mesh.Mesh) error {
	b := bufio.NewWriter(w)
	for v, p := range m.Pos {
		if !p.Finite() {
			return fmt.Errorf("encode OBJ: vertex %d is not finite: %v", v, p)
		}
		row := append(b.AvailableBuffer(), 'v')
		for _, c := range p.Array() {
			row = strconv.AppendFloat(append(row, ' '), c, 'g', -1, 64)
		}
		if m.Color != nil {
			for _, c := range m.Color[v] {
				row = strconv.AppendFloat(append(row, ' '), float64(c)/255, 'f', colorDigits, 64)
			}
		}
		b.Write(append(row, '\n')) // a bufio.Writer keeps its first error for Flush
	}
	for _, t := range m.Tri {
		row := append(b.AvailableBuffer(), 'f')
		for _, v := range t {
			row = strconv.AppendInt(append(row, ' '), int64(v)+1, 10)
		}
		b.Write(append(row, '\n'))
	}
	return b.Flush()
}

// colorDigits bring all 256 values back: steps of 1/255 are 4 thousandths.
const colorDigits = 4
