package margin_test

import (
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/prep/margin"
)

var (
	dentine = mesh.RGB{224, 198, 148}
	metal   = mesh.RGB{150, 150, 152} // a cast core
	gum     = mesh.RGB{206, 122, 118}
	blood   = mesh.RGB{142, 20, 24}
	paste   = mesh.RGB{70, 110, 190}
)

// A spot of known size on the top of a stump, whose half is a metal core and which
// stands in red gum: only the spot counts. 3 units of colour noise per point.
func TestColouredSpot(t *testing.T) {
	s := meshtest.DefaultStump()
	m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 7, meshtest.Round), 0.010, 3)
	for _, c := range []struct {
		colour mesh.RGB
		radius float64
	}{{blood, 0.8}, {gum, 0.8}, {paste, 0.8}, {blood, 0}} {
		paint(m, c.colour, c.radius)
		got, ok := margin.Detect(cut(t, m, 0.010, 0.1), margin.Options{})
		if !ok {
			t.Fatal("no wall found")
		}
		v := margin.Coloured(got)
		want := math.Pi * c.radius * c.radius
		if !v.Measured() || math.Abs(v.V-want) > v.U {
			t.Errorf("%v, radius %.1f: %+v, want %.2f mm²", c.colour, c.radius, v, want)
		}
	}
	m.Color = nil
	got, _ := margin.Detect(cut(t, m, 0.010, 0.1), margin.Options{})
	if v := margin.Coloured(got); v.Measured() || v.Why == "" {
		t.Errorf("without colours: %+v, want not measured and why", v)
	}
}

// paint colours the stump, its gum and a spot about (1, 0) on its top.
func paint(m *mesh.Mesh, spot mesh.RGB, radius float64) {
	m.Color = make([]mesh.RGB, len(m.Pos))
	noise := uint32(1)
	for i, p := range m.Pos {
		c := dentine
		switch r := math.Hypot(p.X, p.Y); {
		case r > 5.05 || p.Z < -0.7:
			c = gum
		case p.Z > 3.9 && math.Hypot(p.X-1, p.Y) < radius:
			c = spot
		case p.Y < 0 && p.Z > 2:
			c = metal
		}
		for k := range c {
			noise = noise*1664525 + 1013904223
			c[k] = uint8(min(max(int(c[k])+int(noise>>24)%7-3, 0), 255))
		}
		m.Color[i] = c
	}
}

func TestAllRedTellsNothing(t *testing.T) {
	s := meshtest.DefaultStump()
	m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 7, meshtest.Round), 0.010, 3)
	m.Color = make([]mesh.RGB, len(m.Pos))
	for i := range m.Color {
		m.Color[i] = gum
	}
	got, ok := margin.Detect(cut(t, m, 0.010, 0.1), margin.Options{})
	if !ok {
		t.Fatal("no wall found")
	}
	if v := margin.Coloured(got); v.Measured() || v.Why == "" {
		t.Errorf("%+v, want not measured and why", v)
	}
}
