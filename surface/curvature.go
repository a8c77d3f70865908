package surface

import (
	"selvage/mesh"
	"selvage/r3"
)

// Principal holds the principal curvatures at a vertex in 1/mm, positive where the
// surface is convex, K1 ≥ K2, and their unit directions in the tangent plane. All is
// zero where they cannot be told.
type Principal struct {
	K1, K2 float64
	D1, D2 r3.Vec
}

// Mean returns (K1+K2)/2.
func (p Principal) Mean() float64 { return (p.K1 + p.K2) / 2 }

// Gauss returns K1·K2.
func (p Principal) Gauss() float64 { return p.K1 * p.K2 }

// curvatureRings is the radius of the neighbourhood of [Curvature] in units of the
// spacing: some 28 points. At 2.5 noise tells half as much more, at 4 a fillet of
// 0.4 mm radius is flattened by a tenth.
const curvatureRings = 3.0

// fewest is the number of points below which a neighbourhood is widened: a third more
// than a jet has unknowns.
const fewest = 8

// Curvature returns the principal curvatures of every vertex, with the neighbourhood of
// [CurvatureWithin] three times the spacing.
func Curvature(m *mesh.Mesh, topo *mesh.Topology) []Principal {
	return CurvatureWithin(m, topo, curvatureRings*Spacing(m))
}

// CurvatureWithin returns the principal curvatures of every vertex, from the quadric
// height field that fits the vertices connected to it within radius mm best: an
// osculating jet of second order [Cazals2005]. Near the rim, where fewer than eight are
// left, the radius is widened by up to twice.
//
// A larger radius averages noise, a smaller one resolves tighter curves. Errors, RMS of
// both curvatures, at 0.1 mm spacing and 0.3 mm radius: without noise 0.007/mm on a
// torus of 1.2 mm radius and 0.02/mm on a wave of curvatures to ±0.94/mm; with 10 µm of
// noise 0.14-0.22/mm, and two to three times that on the rim. It falls with the cube
// of the radius. Jets of third and fourth order, and the tensors of single faces
// averaged at the vertex [Rusinkiewicz2004], were tried: with noise they err by 1.3 to 8
// times as much. A direction means little where K1 ≈ K2, within that error.
//
// Zero for a vertex whose surroundings do not hold a quadric. Cost: about 8 µs per
// vertex and core; the result does not depend on their number.
func CurvatureWithin(m *mesh.Mesh, topo *mesh.Topology, radius float64) []Principal {
	out := make([]Principal, len(m.Pos))
	normals := VertexNormals(m)
	eachVertex(topo, len(m.Pos), 1, func(r *rings, v mesh.VertexID) { out[v] = curvatureAt(m, normals, r, v, radius) })
	return out
}

// CurvatureOf is [CurvatureWithin] at some of the vertices, in their order; normals are
// as from [VertexNormals].
func CurvatureOf(m *mesh.Mesh, topo *mesh.Topology, normals []r3.Vec, at []mesh.VertexID, radius float64) []Principal {
	out := make([]Principal, len(at))
	eachOf(topo, len(m.Pos), len(at), func(r *rings, i int) { out[i] = curvatureAt(m, normals, r, at[i], radius) })
	return out
}

func curvatureAt(m *mesh.Mesh, normals []r3.Vec, r *rings, v mesh.VertexID, radius float64) Principal {
	for _, wider := range [3]float64{1, 1.5, 2} {
		pts := r.within(m.Pos, v, wider*radius, fitMost)
		if len(pts) < fewest {
			continue
		}
		if j, ok := fitJet(m.Pos, normals, pts, wider*radius); ok {
			return j.principal()
		}
	}
	return Principal{}
}
