// Package stl reads and writes STL, binary and ASCII.
//
// A binary file is 80 bytes of free header, the number n of triangles as a
// little-endian uint32, and n records of 50 bytes: a normal and three corners as
// float32, and two bytes that have no agreed meaning. So its size is 84 + 50n,
// which tells it from text whatever the header says (a binary file may well
// start with the word "solid"). Normals are not read, since the corners' order
// says the same; the two bytes are not read either, since programs that put a
// colour there disagree about how.
//
// STL carries no unit, and repeats every corner in every triangle: weld with
// [selvage/mesh.Build].
package stl
