// Package solid models exact shapes as fields and turns them into meshes.
//
// A field gives at each point a value that is negative inside, zero on the
// surface and, near it, the distance to it, together with its gradient. Fields
// combine by intersection and union with circular edges and fillets of a given
// radius ([Intersect], [Unite]) whose shape is known in closed form.
//
// [Contour] meshes the zero set on a lattice that is fine about a centre and
// coarser away from it; every vertex is moved onto the exact surface. The mesh is
// the same for any number of cores. Lengths are mm.
package solid
