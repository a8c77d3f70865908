package phantom

import (
	"selvage/mesh"
	"selvage/r3"
	"selvage/tooth"
)

// archFromCanonical returns the map from the canonical mouth, which is a lower left
// quadrant, to the patient's frame (+X left, +Y back, +Z up): the identity, or a
// reflection in one or both of x and z. Its determinant is negative for the upper
// left and the lower right quadrant.
func archFromCanonical(n tooth.Number) r3.Rigid {
	g := r3.Still()
	if n.Side() == tooth.Right {
		g.R[0].X = -1
	}
	if n.Jaw() == tooth.Upper {
		g.R[2].Z = -1
	}
	return g
}

// moved returns m moved by g; a reflection turns the winding, so that triangles
// still face outwards.
func moved(m *mesh.Mesh, g r3.Rigid) *mesh.Mesh {
	if g.R.Det() < 0 {
		m = m.Flipped()
	}
	return m.Moved(g)
}
