package check

import (
	"math"
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/prep"
	"selvage/r3"
)

// domed is a stump of 4 mm radius on a level floor, its height given by azimuth.
func domed(height func(azimuth float64) float64) *mesh.Mesh {
	const step, half = 0.2, 30
	m := &mesh.Mesh{}
	for j := -half; j <= half; j++ {
		for i := -half; i <= half; i++ {
			x, y := step*float64(i), step*float64(j)
			m.Pos = append(m.Pos, r3.V(x, y, max(0, height(math.Atan2(y, x))*(1-(x*x+y*y)/16))))
		}
	}
	const n = 2*half + 1
	for j := range n - 1 {
		for i := range n - 1 {
			a := mesh.VertexID(j*n + i)
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, a + 1, a + n + 1}, [3]mesh.VertexID{a, a + n + 1, a + n})
		}
	}
	return m
}

// The scan of the tooth that lies outside of the other over much of the preparation is the
// older one: a bur takes off. What differs by less, over little of it or both ways tells
// nothing.
func TestOutdated(t *testing.T) {
	even := func(h float64) func(float64) float64 { return func(float64) float64 { return h } }
	for _, c := range []struct {
		name  string
		alone func(float64) float64
		older string // alone or working; empty: neither
	}{
		{"the same", even(5), ""},
		{"a hair higher", even(5.1), ""},
		{"cut since", even(5.6), "alone"},
		{"cut after", even(4.4), "working"},
		{"a drop on it", func(a float64) float64 {
			if math.Abs(a) < 0.3 {
				return 5.6
			}
			return 5
		}, ""},
		{"turned", func(a float64) float64 { return 5 + 0.5*math.Sin(a) }, ""},
	} {
		m, w := domed(c.alone), domed(even(5))
		topo := mesh.NewTopology(m)
		p := prep.CutOut(m, topo, r3.V(0, 0, 5), r3.V(0, 0, 1), r3.V(1, 0, 0), r3.V(0, 1, 0))
		line := &prep.Margin{Points: make([]prep.MarginPoint, 72)}
		for k := range line.Points {
			s, x := math.Sincos(2 * math.Pi * float64(k) / 72)
			line.Points[k].At = r3.V(4*x, 4*s, 0)
		}
		alone := &Scan{File: "alone.stl", Mesh: m}
		working := &Scan{File: "working.stl", Mesh: w, Tree: bvh.Build(w)}
		got := ""
		switch outdated(p, line, alone, working) {
		case alone:
			got = "alone"
		case working:
			got = "working"
		}
		if got != c.older {
			t.Errorf("%s: older is %q, want %q", c.name, got, c.older)
		}
		if (alone.Newer == working) != (c.older == "alone") || (working.Newer == alone) != (c.older == "working") {
			t.Errorf("%s: newer than alone %v, than working %v", c.name, alone.Newer, working.Newer)
		}
	}
}
