// Package r3 is the vector algebra of the program: points, directions, boxes,
// planes and rigid motions in three dimensions.
//
// Coordinates are float64 millimetres in a right-handed frame. Three frames
// occur, and a transform's name says which two it joins (archFromScan):
//
//   - scan: as the file was exported, converted to millimetres;
//   - arch: registered to the working arch of the case;
//   - prep: origin at the centroid of the margin, +Z along the insertion axis.
//
// Triangles wind counter-clockwise seen from outside, so normals leave the
// solid. Products inside [Vec.Dot], [Vec.Cross] and the matrix products are
// converted explicitly, which forbids fused multiply-add: every machine rounds
// alike, and a report is the same bytes on amd64 and arm64.
//
// The package refuses nothing and allocates nothing. Operations that can be
// undefined (a unit vector of zero) return a second value that says so.
package r3
