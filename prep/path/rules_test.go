package path_test

import (
	"math"
	"slices"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/prep"
	"selvage/prep/margin"
	"selvage/prep/path"
	"selvage/r3"
)

// panel is a flat piece of a neighbour that faces the stump.
type panel struct {
	off      float64 // from the axis, mm
	azimuth  float64 // 0 mesial, π distal
	from, to float64 // above the origin, mm
	half     float64 // its half breadth, mm
	steps    int     // cells each way
	away     bool    // it faces away from the stump
}

func (p panel) on(m *mesh.Mesh) {
	base := mesh.VertexID(len(m.Pos))
	s, c := math.Sincos(p.azimuth)
	for i := range p.steps + 1 {
		for j := range p.steps + 1 {
			y, z := p.half*(2*float64(i)/float64(p.steps)-1), p.from+(p.to-p.from)*float64(j)/float64(p.steps)
			m.Pos = append(m.Pos, r3.V(p.off*c-y*s, p.off*s+y*c, z))
		}
	}
	id := func(i, j int) mesh.VertexID { return base + mesh.VertexID(i*(p.steps+1)+j) }
	for i := range p.steps {
		for j := range p.steps {
			a, b := [3]mesh.VertexID{id(i, j), id(i, j+1), id(i+1, j)}, [3]mesh.VertexID{id(i+1, j), id(i, j+1), id(i+1, j+1)}
			if p.away {
				a[1], a[2], b[1], b[2] = a[2], a[1], b[2], b[1]
			}
			m.Tri = append(m.Tri, a, b)
		}
	}
}

// TestWhatStandsInTheWay: of what stands beside the stump, what counts and how far the axis
// would have to lean. The outline overlaps a panel at d by its radius less d.
func TestWhatStandsInTheWay(t *testing.T) {
	s := meshtest.DefaultStump()
	rho, low := meshtest.Crest(s.Knots(), meshtest.MarginKnot)
	near := panel{off: 4.6, from: 2, to: 6, half: 2, steps: 40}
	far, back := near, near
	far.off, back.azimuth = 5.6, math.Pi
	turned, papilla, buccal, few, high := near, near, near, near, near
	turned.away, few.steps, buccal.azimuth = true, 4, math.Pi/2
	papilla.from, papilla.to = low+0.3, low+1.4
	high.from, high.to = low+10.2, low+12
	speck := func(n int) panel { // n specks in a row, their upper ends beyond the reach
		return panel{off: 4.6, from: 5, to: 5.001, half: 0.05 * float64(n), steps: 1}
	}
	cut := func(m *mesh.Mesh) *prep.Preparation {
		p := prep.CutOut(m, mesh.NewTopology(m), r3.V(0, 0, 2), r3.V(0, 0, 1), r3.V(1, 0, 0), r3.V(0, 1, 0))
		p.Noise, p.Spacing = 0.01, 0.15
		return p
	}
	stump := meshtest.Lathe(s.Knots(), 0.15, 7, meshtest.Round)
	fan, _ := prep.Cut(cut(stump))
	mg, ok := margin.Detect(fan, margin.Options{})
	if !ok {
		t.Fatal("no margin")
	}
	const mesial, distal = true, false
	for _, c := range []struct {
		name             string
		panels           []panel
		mesially, distal bool
		overlap          float64 // NaN: not measured
		side             bool
	}{
		{"both sides, the distal one nearer", []panel{far, back}, true, true, rho - 4.6, distal},
		{"both sides, the mesial one nearer", []panel{near, {off: 5, azimuth: math.Pi, from: 2, to: 6, half: 2, steps: 40}}, true, true, rho - 4.6, mesial},
		{"the nearer one is no neighbour", []panel{far, back}, true, false, rho - 5.6, mesial},
		{"nor is the other", []panel{near, {off: 5.6, azimuth: math.Pi, from: 2, to: 6, half: 2, steps: 40}}, false, true, rho - 5.6, distal},
		{"a groove of the preparation", []panel{{off: 2, from: 2, to: 4, half: 1, steps: 20}, far}, true, false, rho - 5.6, mesial},
		{"a cusp of the preparation", []panel{{off: 2, from: s.Height + 0.2, to: s.Height + 1, half: 1, steps: 20}, far}, true, false, rho - 5.6, mesial},
		{"no neighbour at all", []panel{near, back}, false, false, math.NaN(), false},
		{"it faces away", []panel{turned}, true, false, math.NaN(), false},
		{"a papilla yields", []panel{papilla, far}, true, false, rho - 5.6, mesial},
		{"too high for a crown", []panel{high, far}, true, false, rho - 5.6, mesial},
		{"on the cheek's side", []panel{buccal, far}, true, false, rho - 5.6, mesial},
		{"twenty-five points are no neighbour", []panel{few}, true, false, math.NaN(), false},
		{"four specks before it", []panel{speck(1), far}, true, false, rho - 5.6, mesial},
		{"eight specks before it", []panel{speck(1), speck(2), far}, true, false, rho - 4.6, mesial},
	} {
		m := &mesh.Mesh{Pos: slices.Clone(stump.Pos), Tri: slices.Clone(stump.Tri)}
		for _, p := range c.panels {
			p.on(m)
		}
		mg.Fan.Prep = cut(m) // the line is that of the stump alone
		r := path.Measure(mg, c.mesially, c.distal)
		if math.IsNaN(c.overlap) {
			if r.Overlap.Measured() || r.Overlap.Why == "" || r.Tilt != 0 {
				t.Errorf("%s: %+v", c.name, r)
			}
			continue
		}
		if !(math.Abs(r.Overlap.V-c.overlap) < 0.05) || r.Mesial != c.side {
			t.Errorf("%s: overlap %.3f (mesial %v) %s, want %.3f", c.name, r.Overlap.V, r.Mesial, r.Overlap.Why, c.overlap)
			continue
		}
		if c.overlap < 0 {
			if r.Tilt != 0 || r.Away != (r3.Vec{}) {
				t.Errorf("%s: free, but to be tilted by %.3f", c.name, r.Tilt)
			}
			continue
		}
		// Away from the neighbour, by what brings the outline past the place.
		want := math.Atan2(r.Overlap.V, r.Overlap.Place.At.Z-low)
		lean := r.Away.Angle(r3.V(0, 0, 1))
		if math.Abs(r.Tilt/want-1) > 0.05 || math.Abs(lean-r.Tilt) > 1e-6 || (r.Away.X < 0) != c.side {
			t.Errorf("%s: tilt %.4f towards %v, want %.4f", c.name, r.Tilt, r.Away, want)
		}
	}
}
