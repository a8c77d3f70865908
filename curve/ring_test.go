package curve_test

import (
	"math"
	"testing"

	"selvage/curve"
	"selvage/mesh"
	"selvage/r3"
)

// scalloped is a margin-like curve: an ellipse of 5 by 4 mm, raised by 0.8·cos 2φ,
// about an axis that leans, started anywhere and run either way round.
func scalloped(g r3.Rigid, n int, turn float64) curve.Polyline {
	c := curve.Polyline{Closed: true}
	for i := range n {
		phi := 1.3 + turn*2*math.Pi*float64(i)/float64(n)
		s, co := math.Sincos(phi)
		c.Pts = append(c.Pts, g.Point(r3.V(5*co, 4*s, 0.8*math.Cos(2*phi))))
	}
	return c
}

func TestRing(t *testing.T) {
	g := r3.Rigid{R: r3.Rotation(r3.V(1, -2, 0.5).UnitOr(r3.V(0, 0, 1)), 0.7), T: r3.V(30, -4, 11)}
	axis := g.Dir(r3.V(0, 0, 1))
	for _, turn := range []float64{1, -1} {
		r, ok := curve.NewRing(scalloped(g, 360, turn), axis)
		if !ok {
			t.Fatal("a closed curve is no ring")
		}
		for i := range 200 {
			phi := 0.0314159 * float64(i)
			s, co := math.Sincos(phi)
			for _, k := range []float64{0.3, 0.9, 1.1} {
				q := r3.V(5*k*co, 4*k*s, 0.8*math.Cos(2*phi)+0.25)
				h, in := r.Above(g.Point(q))
				rho := math.Hypot(q.X, q.Y)
				// A chord of 1° and steps of half a degree: 5·(0.0175)²/8 mm, and 0.8 mm
				// of scallop over 0.0175 rad; the centroid lies a little off the middle.
				if math.Abs(in-(rho/k-rho)) > 0.002 || math.Abs(h-0.25) > 0.002 {
					t.Fatalf("turn %g, azimuth %.2f, %.1f of the way: %.4f above, %.4f inside; want 0.25, %.4f", turn, phi, k, h, in, rho/k-rho)
				}
			}
		}
	}
}

func TestRingRefuses(t *testing.T) {
	c := scalloped(r3.Still(), 360, 1)
	up := r3.V(0, 0, 1)
	if _, ok := curve.NewRing(curve.Polyline{Pts: c.Pts[:2]}, up); ok {
		t.Error("two points are a ring")
	}
	if _, ok := curve.NewRing(curve.Polyline{}, up); ok {
		t.Error("nothing is a ring")
	}
	aside := curve.Polyline{Pts: []r3.Vec{{X: 1}, {X: 2}, {X: 3}}}
	if _, ok := curve.NewRing(aside, up); ok {
		t.Error("a straight line is a ring")
	}
}

// cone is the surface z = height - slope·ρ about the z axis.
func cone(height, slope, w, step float64) *mesh.Mesh {
	n := int(2*w/step) + 1
	m := &mesh.Mesh{}
	for j := range n {
		for i := range n {
			x, y := -w+float64(i)*step, -w+float64(j)*step
			m.Pos = append(m.Pos, r3.V(x, y, height-slope*math.Hypot(x, y)))
		}
	}
	for j := range n - 1 {
		for i := range n - 1 {
			a := mesh.VertexID(j*n + i)
			c := a + mesh.VertexID(n)
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, a + 1, c}, [3]mesh.VertexID{a + 1, c + 1, c})
		}
	}
	return m
}

func TestRingFaces(t *testing.T) {
	m := cone(6, 1, 7, 0.1)
	crumb := cone(9, 1, 0.5, 0.1) // floats 3 mm above the tip
	base := mesh.VertexID(len(m.Pos))
	whole := len(m.Tri)
	m.Pos = append(m.Pos, crumb.Pos...)
	for _, f := range crumb.Tri {
		m.Tri = append(m.Tri, [3]mesh.VertexID{f[0] + base, f[1] + base, f[2] + base})
	}
	circle := curve.Polyline{Closed: true}
	for i := range 180 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 180)
		circle.Pts = append(circle.Pts, r3.V(4*c, 4*s, 2))
	}
	r, ok := curve.NewRing(circle, r3.V(0, 0, 1))
	if !ok {
		t.Fatal("a circle is no ring")
	}
	var area float64
	for _, f := range r.Faces(m, mesh.NewTopology(m), 15) {
		if int(f) >= whole {
			t.Fatal("the crumb counts")
		}
		area += m.AreaVector(f).Norm()
	}
	// The cone over a disc of radius 4 at 45°; faces at the rim count whole or not.
	if want := math.Pi * 16 * math.Sqrt2; math.Abs(area/want-1) > 0.01 {
		t.Errorf("area inside %.2f mm², want %.2f", area, want)
	}
}
