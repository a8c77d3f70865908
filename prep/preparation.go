package prep

import (
	"math"

	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

// Preparation is the surface round one prepared tooth, cut out of a scan, with
// the directions that give its sides their names.
type Preparation struct {
	Mesh *mesh.Mesh     // the cut-out, in the scan's frame, winding outward
	Topo *mesh.Topology // of Mesh
	// Normals are the unit normals of Mesh's vertices, angle weighted.
	Normals []r3.Vec
	Rim     []bool        // per vertex of Mesh: the scan itself ends here (not the cut-out)
	FaceOf  []mesh.FaceID // per face of Mesh: its id in the scan, in rising order

	Scan    string  // role of the scan
	Noise   float64 // one standard deviation along the normal, mm
	Spacing float64 // median edge, mm

	Center r3.Vec // a point on the axis, inside the tooth's outline
	Axis   r3.Vec // unit, root to crown: provisional, or the insertion axis once found
	Mesial r3.Vec // unit
	Buccal r3.Vec // unit
}

// CutRadius is how far from its centre a preparation is cut out of a scan: the
// largest tooth of the dimension table is 11.5 mm across; half of it, the sulcus
// and the gum beside it stay inside, the far walls of the neighbours do not.
const CutRadius = 9.0

// CutBelow is how far below its centre, which lies on its top, a preparation is cut
// out: an upper canine's crown is 10 mm high (trade.md §7.1), and its root and sulcus
// are wanted for 2 mm more.
const CutBelow = 13.0

// CutOut returns the preparation round centre: every face of m with a corner
// within CutRadius of the line through the centre along axis, at most CutRadius above
// the centre and CutBelow under it. topo is the topology of m.
//
// Cost: O(faces). The result shares nothing with m.
func CutOut(m *mesh.Mesh, topo *mesh.Topology, centre, axis, mesial, buccal r3.Vec) *Preparation {
	near := make([]bool, len(m.Pos))
	for i, p := range m.Pos {
		d := p.Sub(centre)
		h := d.Dot(axis)
		near[i] = h < CutRadius && h > -CutBelow && d.AddScaled(-h, axis).Norm2() < CutRadius*CutRadius
	}
	sub, vertexOf, faceOf := mesh.Submesh(m, func(f mesh.FaceID) bool {
		t := m.Tri[f]
		return near[t[0]] || near[t[1]] || near[t[2]]
	})
	open := openVertices(m, topo)
	rim := make([]bool, len(sub.Pos))
	for i, v := range vertexOf {
		rim[i] = open[v]
	}
	return &Preparation{
		Mesh: sub, Topo: mesh.NewTopology(sub), Normals: surface.VertexNormals(sub), Rim: rim, FaceOf: faceOf,
		Center: centre, Axis: axis, Mesial: mesial, Buccal: buccal,
	}
}

// openVertices marks the vertices on an open edge of m.
func openVertices(m *mesh.Mesh, topo *mesh.Topology) []bool {
	open := make([]bool, len(m.Pos))
	for h, pair := range topo.Pair {
		if pair == mesh.None {
			t := m.Tri[h/3]
			open[t[h%3]] = true
			open[t[(h+1)%3]] = true
		}
	}
	return open
}

// Frame returns the motion from the scan's frame to the preparation's.
func (p *Preparation) Frame() r3.Rigid {
	z := p.Axis
	e1, _ := z.Basis()
	x := p.Mesial.Reject(z).UnitOr(e1)
	return r3.FrameTo(p.Center, x, z.Cross(x), z)
}

// Azimuth returns the angle of a point round the axis, -π to π, from mesial.
func (p *Preparation) Azimuth(q r3.Vec) float64 {
	v := p.Frame().Point(q)
	return math.Atan2(v.Y, v.X)
}

// Toward returns the direction across the axis at an azimuth, in the scan's frame.
func (p *Preparation) Toward(azimuth float64) r3.Vec {
	s, c := math.Sincos(azimuth)
	return p.Frame().Inverse().Dir(r3.V(c, s, 0))
}

// BuccalAzimuth returns the azimuth of the buccal direction: near +π/2 or -π/2.
func (p *Preparation) BuccalAzimuth() float64 {
	b := p.Frame().Dir(p.Buccal)
	return math.Atan2(b.Y, b.X)
}

// WithAxis returns the preparation about another axis and centre. The surface is
// shared.
func (p *Preparation) WithAxis(axis, centre r3.Vec) *Preparation {
	q := *p
	q.Axis, q.Center = axis, centre
	return &q
}
