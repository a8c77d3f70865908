// Package obj reads and writes the surface of OBJ files.
//
// Read are the lines v (three coordinates, then optionally a weight, then
// optionally a colour of red, green and blue) and f (corners as a, a/t, a//n or
// a/t/n; numbered from 1, or backwards from -1). Faces of more than three corners
// become fans of triangles. Groups, materials, texture coordinates, normals,
// lines and comments are stepped over. A backslash joins the next line.
//
// OBJ carries no unit.
package obj
