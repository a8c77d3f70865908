package neighbour_test

import (
	"math"
	"math/rand/v2"
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

// The edge of an old filling hangs over the middle of the side: the wall goes on under it,
// and does not where the gum comes forward.
func TestEdgeHangsOver(t *testing.T) {
	const out = 0.7
	f := func(y, z float64) float64 {
		x := barrel(y, min(z, 4))
		if z > 5.2 && math.Abs(y) < 1.8 {
			x -= out
		}
		return x
	}
	for _, gum := range []bool{false, true} {
		if b := neighbour.Measure(input(scan(f, gum))).Bulge; math.Abs(b.V-out) > 0.03 {
			t.Errorf("gum %v: bulge %.3f, want %.3f", gum, b.V, out)
		}
	}
}

// The lip of an old filling is half an ellipsoid on an upright side: it stands out by its
// half axis towards the gap. Its underside, flatter than 37°, is seen for some rows; the
// side goes on below it and has its height of contour and its neck there.
func TestUndersideOfALip(t *testing.T) {
	for _, c := range []struct{ out, up float64 }{{0.4, 0.4}, {0.7, 0.5}, {1, 0.6}} {
		lip := func(y, z float64) float64 {
			x := barrel(y, min(z, 4))
			if q := 1 - y*y/9 - (z-5.6)*(z-5.6)/(c.up*c.up); q > 0 {
				x -= c.out * math.Sqrt(q)
			}
			return x
		}
		for _, gum := range []bool{false, true} {
			r := neighbour.Measure(input(scan(lip, gum)))
			if !r.Bulge.Measured() || math.Abs(r.Bulge.V-c.out) > r.Bulge.U {
				t.Errorf("gum %v: bulge %.3f ± %.3f %s, want %.3f", gum, r.Bulge.V, r.Bulge.U, r.Bulge.Why, c.out)
			}
			if want := gapOf(lip); math.Abs(r.Gap.V-want) > min(r.Gap.U, 0.12) {
				t.Errorf("gum %v: gap %.3f ± %.3f, want %.3f", gum, r.Gap.V, r.Gap.U, want)
			}
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

// gouged is a barrel from which a bur of 1.2 mm radius took depth at the height of contour.
func gouged(depth float64) side {
	return func(y, z float64) float64 {
		x := barrel(y, z)
		if q := 1.2*1.2 - y*y - (z-4)*(z-4); q > 0 && depth > 0 {
			x = max(x, 7+depth-1.2+math.Sqrt(q))
		}
		return x
	}
}

// Two teeth in contact hide the contact from the scan from before. The dent in it is told
// from what lies around, and a sound contact is none.
func TestDamageInTheContact(t *testing.T) {
	for _, depth := range []float64{0, 0.2, 0.3} {
		in := input(scan(gouged(depth), false))
		in.Before = &neighbour.Before{
			Scan: without(scan(barrel, false), r3.V(7, 0, 4), 1.4), Sigma: 1e-4, Spacing: 0.1, WorkingFromBefore: r3.Still(), U: 0.02,
		}
		r := neighbour.Measure(in)
		if r.Compared > 0.9 {
			t.Fatalf("compared over %.2f of the side: nothing is hidden", r.Compared)
		}
		if math.Abs(r.Damage.V-depth) > r.Damage.U+0.01 || r.Damage.U > 0.06 {
			t.Errorf("depth %.2f: damage %.3f ± %.3f", depth, r.Damage.V, r.Damage.U)
		}
	}
}

// A groove down the side runs out of sight of the contact, so that it is not a dent in it.
func TestGrooveIsNoDamage(t *testing.T) {
	grooved := func(y, z float64) float64 { return barrel(y, z) + 0.25*math.Exp(-y*y/0.3) }
	in := input(scan(grooved, false))
	in.Before = &neighbour.Before{
		Scan: without(scan(grooved, false), r3.V(7.2, 0, 4), 1.6), Sigma: 1e-4, Spacing: 0.1, WorkingFromBefore: r3.Still(), U: 0.02,
	}
	if d := neighbour.Measure(in).Damage; !d.Measured() || d.V > 0.02 {
		t.Errorf("damage %+v of a groove that was there before", d)
	}
}

// without is a scan with a hole of a radius about a point.
func without(s *bvh.Tree, at r3.Vec, radius float64) *bvh.Tree {
	sub, _, _ := mesh.Submesh(s.Mesh, func(f mesh.FaceID) bool {
		for _, v := range s.Mesh.Tri[f] {
			if s.Mesh.Pos[v].Dist(at) < radius {
				return false
			}
		}
		return true
	})
	return bvh.Build(sub)
}

// Noise, and a registration that is off by what it states, are no damage; nor is another
// tooth.
func TestDamageIsNotNoise(t *testing.T) {
	for _, c := range []struct{ depth, noise, off float64 }{{0, 0.036, 0}, {0, 0.01, 0.03}, {0.3, 0.036, 0.02}} {
		in := input(roughened(scan(gouged(c.depth), false), c.noise, 1))
		in.Sigma = c.noise
		move := r3.Still()
		move.T = r3.V(-c.off, 0, 0)
		in.Before = &neighbour.Before{
			Scan: roughened(scan(barrel, false), c.noise, 2), Sigma: c.noise, Spacing: 0.1, WorkingFromBefore: move, U: 0.04,
		}
		d := neighbour.Measure(in).Damage
		if math.Abs(d.V-c.depth) > d.U+0.02 || d.U > 0.09 {
			t.Errorf("%+v: damage %.3f ± %.3f", c, d.V, d.U)
		}
		if (d.V > 0.1+d.U) != (c.depth > 0) || math.Abs(d.V-0.1) < d.U {
			t.Errorf("%+v: %.3f ± %.3f is not told from a tenth of a millimetre", c, d.V, d.U)
		}
	}
	in := input(scan(barrel, false))
	other := func(y, z float64) float64 { return barrel(y, z) + 0.1*math.Sin(2*y)*math.Sin(2*z) }
	in.Before = &neighbour.Before{Scan: scan(other, false), Sigma: 1e-4, Spacing: 0.1, WorkingFromBefore: r3.Still(), U: 0.01}
	if d := neighbour.Measure(in).Damage; d.Measured() {
		t.Errorf("damage %.3f ± %.3f against another tooth", d.V, d.U)
	}
}

// roughened moves every vertex along x by normal noise.
func roughened(s *bvh.Tree, sigma float64, seed uint64) *bvh.Tree {
	rng := rand.New(rand.NewPCG(seed, 7))
	m := &mesh.Mesh{Tri: s.Mesh.Tri, Pos: append([]r3.Vec(nil), s.Mesh.Pos...)}
	for i := range m.Pos {
		m.Pos[i].X += sigma * rng.NormFloat64()
	}
	return bvh.Build(m)
}

// A ball beside the circle of the margin, its middle 4 mm higher: the gap is exact.
func TestGapOfABall(t *testing.T) {
	const radius = 7.0
	for _, off := range []float64{0.2, 0.6, 1.2} {
		ball := func(y, z float64) float64 {
			return 5 + off + radius - math.Sqrt(radius*radius-y*y-(z-4)*(z-4))
		}
		want := math.Hypot(off+radius, 4) - radius
		g := neighbour.Measure(input(scan(ball, false))).Gap
		if math.Abs(g.V-want) > min(g.U, 0.1) {
			t.Errorf("gap %.3f ± %.3f, want %.3f", g.V, g.U, want)
		}
	}
}

// A neighbour that moved near to the margin has its root in sight, which goes on upright
// below the neck: the gap is to the root, not to the crown's wall carried on.
func TestGapToARoot(t *testing.T) {
	rooted := func(y, z float64) float64 { return barrel(y, max(z, 1.2)) - 1.0 - 0.04*max(0, 1.2-z) }
	want := gapOf(rooted)
	g := neighbour.Measure(input(scan(rooted, false))).Gap
	if math.Abs(g.V-want) > 0.12 {
		t.Errorf("gap %.3f ± %.3f, want %.3f", g.V, g.U, want)
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
