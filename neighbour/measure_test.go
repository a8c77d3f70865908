package neighbour_test

import (
	"math"
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/neighbour"
	"selvage/r3"
)

// side is the shape of a neighbour's facing side: how far it stands from the middle of
// the preparation at y across the arch and z above the margin.
type side func(y, z float64) float64

// barrel is a side with its height of contour 4 mm above the margin, 7 mm from the
// middle, which curves away with a radius of 8 mm across and 10 mm up and down.
func barrel(y, z float64) float64 { return 7 + y*y/16 + (z-4)*(z-4)/20 }

// scan is a stump of 4.6 mm radius and 5 mm height and a neighbour from 0.8 mm above the
// margin, where gum begins, to 7 mm.
func scan(f side, gum bool) *bvh.Tree {
	m := &mesh.Mesh{}
	grid := func(nu, nv int, at func(u, v float64) r3.Vec) {
		base := mesh.VertexID(len(m.Pos))
		for j := range nv + 1 {
			for i := range nu + 1 {
				m.Pos = append(m.Pos, at(float64(i)/float64(nu), float64(j)/float64(nv)))
			}
		}
		for j := range nv {
			for i := range nu {
				a := base + mesh.VertexID(j*(nu+1)+i)
				b, c, d := a+1, a+mesh.VertexID(nu+1), a+mesh.VertexID(nu+2)
				m.Tri = append(m.Tri, [3]mesh.VertexID{a, b, d}, [3]mesh.VertexID{a, d, c})
			}
		}
	}
	grid(200, 40, func(u, v float64) r3.Vec { // the stump's wall, seen from outside
		s, c := math.Sincos(2 * math.Pi * u)
		return r3.V((4.6-0.1*v)*c, (4.6-0.1*v)*s, 5*v)
	})
	low := 0.0
	if gum {
		low = 0.8
	}
	grid(100, 60, func(u, v float64) r3.Vec { // outside towards -x
		y, z := 4*(1-2*u), low+(7-low)*v
		return r3.V(f(y, z), y, z)
	})
	if gum { // level, from the sulcus to the neighbour
		grid(20, 40, func(u, v float64) r3.Vec {
			y := 4 * (2*v - 1)
			return r3.V(5.4+(f(y, low)-5.4)*u, y, low)
		})
	}
	return bvh.Build(m)
}

func input(t *bvh.Tree) neighbour.Input {
	in := neighbour.Input{
		Scan: t, Role: "working", Sigma: 1e-4, Axis: r3.V(0, 0, 1), Toward: r3.V(1, 0, 0),
		Facing: r3.V(7, 0, 4), Middle: r3.V(11, 0, 7), Width: 9,
	}
	for i := range 360 {
		s, c := math.Sincos(float64(i) * math.Pi / 180)
		in.Margin = append(in.Margin, r3.V(5*c, 5*s, 0))
	}
	return in
}

// gapOf is the exact least distance from the margin's circle to a side, by search.
func gapOf(f side) float64 {
	best := math.Inf(1)
	for y := -3.0; y <= 3; y += 0.02 {
		for z := 0.0; z <= 4; z += 0.02 {
			x := f(y, z)
			best = min(best, math.Hypot(math.Hypot(x, y)-5, z))
		}
	}
	return best
}

func TestBarrel(t *testing.T) {
	r := neighbour.Measure(input(scan(barrel, false)))
	if d := r.Contact.Dist(r3.V(7, 0, 4)); d > 0.05 {
		t.Errorf("the contact is %.3f mm from the height of contour, at %v", d, r.Contact)
	}
	if r.Normal.Dot(r3.V(-1, 0, 0)) < 0.99 {
		t.Errorf("normal %v does not look at the gap", r.Normal)
	}
	if want := 7 - (4.6 - 0.1*0.8); math.Abs(r.Space.V-want) > 0.02 {
		t.Errorf("space %.3f, want %.3f", r.Space.V, want)
	}
	if r.Hollow.V > 0.005 || r.Bulge.V > 0.005 {
		t.Errorf("hollow %.4f, bulge %.4f: it is convex and narrows upwards", r.Hollow.V, r.Bulge.V)
	}
	if r.Damage.Measured() || r.Damage.Why != "no scan from before the preparation" {
		t.Errorf("damage %+v", r.Damage)
	}
}

// Open to the margin the gap is that of the shape; gum hides the lowest 0.8 mm, and
// what is carried on below stays within the stated uncertainty.
func TestGap(t *testing.T) {
	for _, off := range []float64{-1.2, 0, 0.8} {
		f := func(y, z float64) float64 { return barrel(y, z) + off }
		want := gapOf(f)
		for _, gum := range []bool{false, true} {
			g := neighbour.Measure(input(scan(f, gum))).Gap
			if math.Abs(g.V-want) > min(g.U, 0.12) {
				t.Errorf("gum %v: gap %.3f ± %.3f, want %.3f", gum, g.V, g.U, want)
			}
		}
	}
}

// What the ridge stands out over the contact is the bulge.
func TestBulge(t *testing.T) {
	for _, out := range []float64{0.3, 0.6} {
		f := func(y, z float64) float64 { return barrel(y, min(z, 4)) - out*max(0, min(1, z-5.2)) }
		r := neighbour.Measure(input(scan(f, false)))
		if math.Abs(r.Bulge.V-out) > 0.03 {
			t.Errorf("bulge %.3f, want %.3f", r.Bulge.V, out)
		}
	}
}

// A bur of 1.2 mm radius took depth off the contact. Beside the scan from before that is
// the damage; by itself it is a hollow.
func TestDamage(t *testing.T) {
	before := scan(barrel, false)
	for _, depth := range []float64{0, 0.15, 0.3} {
		f := func(y, z float64) float64 {
			x := barrel(y, z)
			if q := 1.2*1.2 - y*y - (z-4)*(z-4); q > 0 && depth > 0 {
				x = max(x, 7+depth-1.2+math.Sqrt(q))
			}
			return x
		}
		in := input(scan(f, false))
		in.Before = &neighbour.Before{Scan: before, Sigma: 1e-4, Spacing: 0.1, WorkingFromBefore: r3.Still(), U: 0.01}
		r := neighbour.Measure(in)
		// The stump stood there before too, well away: nothing is hidden.
		if math.Abs(r.Damage.V-depth) > 0.03 || r.Compared < 0.95 {
			t.Errorf("depth %.2f: damage %.3f over %.2f of the side", depth, r.Damage.V, r.Compared)
		}
		if (r.Hollow.V > 0.05) != (depth > 0) {
			t.Errorf("depth %.2f: hollow %.3f", depth, r.Hollow.V)
		}
	}
}

func TestNothingToSee(t *testing.T) {
	in := input(scan(barrel, false))
	in.Toward, in.Facing = r3.V(-1, 0, 0), r3.V(-7, 0, 4)
	r := neighbour.Measure(in)
	if r.Gap.Measured() || r.Gap.Why == "" || r.Space.Measured() {
		t.Errorf("a neighbour was invented: %+v", r)
	}
	in.Margin = nil
	if r := neighbour.Measure(in); r.Gap.Why != "no margin was traced" {
		t.Errorf("%+v", r.Gap)
	}
}
