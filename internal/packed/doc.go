// Package packed answers how a scan travels to the browser that draws it: small,
// quick to make, and with a stated error.
//
// [Encode] writes a mesh, its colours and named values per vertex; doc/formats/mesh.md
// describes the bytes, and internal/web/ui/src/packed.ts reads them. [Coarse] makes
// a twin of few triangles to draw while the model is being turned.
//
// Coordinates are millimetres in the frame of the mesh that is given. A coordinate
// is stored as a whole number of steps of [Step] or, for a mesh wider than
// 65,535 steps, of its width over 65,535; so each coordinate is off by at most half
// a step, and a point by at most √3 times that: 3.5 µm for anything up to 262 mm.
// That is for drawing: no check measures on a packed mesh. Values are what the
// check found, within half of their own step (2.5 µm), so a tapped place may be answered
// from them.
//
// Vertices and triangles come out in another order than they went in, and vertices
// that no triangle uses are left out. The same mesh gives the same bytes.
package packed
