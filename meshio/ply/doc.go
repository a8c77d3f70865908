// Package ply reads and writes PLY: ASCII, binary little-endian and binary
// big-endian, with colours at the vertices.
//
// A header in text lists elements (vertex, face, and any others) with their
// counts and properties; the rows of the elements follow in that order. Read
// are x, y and z of the vertices, their colours (red green blue, r g b, or
// diffuse_red and so on, in any number type), and the lists vertex_indices or
// vertex_index of the faces. Every other property and element is stepped over.
// Faces of more than three corners become fans of triangles.
//
// PLY carries no unit. No count of the header is believed before it has been
// compared with the bytes that follow.
package ply
