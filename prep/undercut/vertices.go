package undercut

import (
	"math"

	"selvage/mesh"
	"selvage/prep"
	"selvage/r3"
)

// At is the depth of the shadow at one vertex.
type At struct {
	Vertex mesh.VertexID
	Depth  float64 // mm, 0 where nothing overhangs
}

// onProfile is how far, mm, a vertex may lie from the profile that speaks for it.
const onProfile = 0.15

// Vertices spreads the map of shadows over the vertices inside the margin of a scan: each
// takes the depth of the nearest sample of its half-plane. It is for pictures; the depth
// and area of the result come from the map itself. Cost: O(vertices · samples).
func (r Result) Vertices(m *prep.Margin, on *mesh.Mesh) []At {
	n := len(m.Points)
	if len(r.Map) != n || n == 0 {
		return nil
	}
	g := m.Fan.Prep.Frame()
	var out []At
	for v, p := range on.Pos {
		q := g.Point(p)
		rho := math.Hypot(q.X, q.Y)
		if rho > prep.CutRadius || q.Z < -prep.CutBelow || q.Z > prep.CutRadius {
			continue
		}
		i := (int(math.Round(math.Atan2(q.Y, q.X)/(2*math.Pi)*float64(n))) + n) % n
		if d, ok := r.at(&m.Fan.Profiles[i], i, m.Points[i].Sample, rho, q.Z); ok {
			out = append(out, At{Vertex: mesh.VertexID(v), Depth: d})
		}
	}
	return out
}

// at returns the depth at the sample of profile i that lies nearest to a place inside the
// margin, whose sample is last.
func (r Result) at(p *prep.Profile, i, last int, rho, z float64) (depth float64, ok bool) {
	best, k := onProfile*onProfile, -1
	for s := range min(p.Len(), last+1) {
		d := r3.V(p.Rho[s]-rho, 0, p.Z[s]-z).Norm2()
		if d < best {
			best, k = d, s
		}
	}
	if k < 0 {
		return 0, false
	}
	if k < len(r.Map[i]) {
		depth = r.Map[i][k]
	}
	return depth, true
}
