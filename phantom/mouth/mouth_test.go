package mouth_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"selvage/mesh"
	"selvage/phantom/mouth"
	"selvage/phantom/solid"
	"selvage/r3"
	"selvage/tooth"
)

// TestBeta holds the arch form to trade.md §12 rows 35 and 36.
func TestBeta(t *testing.T) {
	for _, c := range [][2]float64{{0, 44.9995}, {15, 35.7484}, {25, 17.4293}, {30, 0}} {
		if got := mouth.Beta(c[0], 45, 60); math.Abs(got-c[1]) > 1e-3 {
			t.Errorf("Beta(%v, 45, 60) = %v, want %v", c[0], got, c[1])
		}
	}
	if got := mouth.Beta(0, 1, 1); math.Abs(got-0.999989) > 1e-5 {
		t.Errorf("Beta(0, 1, 1) = %v, want 0.999989", got)
	}
}

// TestCurve: points lie on the beta function, a unit of arc length apart per unit,
// and Nearest inverts At.
func TestCurve(t *testing.T) {
	c := mouth.NewCurve(45, 60)
	for s := 0.5; s < c.Reach()-1; s += 1.7 {
		p, tan := c.At(s)
		if d := math.Abs(-p.Y - mouth.Beta(p.X, 45, 60)); d > 0.01 {
			t.Errorf("s %v: %v mm off the beta function", s, d)
		}
		q, _ := c.At(s + 0.01)
		if d := q.Dist(p); math.Abs(d-0.01) > 2e-5 {
			t.Errorf("s %v: 0.01 of arc is %v", s, d)
		}
		out := r3.V(tan.Y, -tan.X, 0)
		if back, off := c.Nearest(p.AddScaled(3, out)); math.Abs(back-s) > 0.02 || math.Abs(off-3) > 0.01 {
			t.Errorf("Nearest of a point 3 mm outside s %v: s %v, %v outside", s, back, off)
		}
	}
}

// TestOutlineNormal holds Newton's method to a plain search over all directions, for
// points outside and a little inside random outlines.
func TestOutlineNormal(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	for range 300 {
		o := mouth.Outline{
			X0: rng.Float64() - 0.5, Y0: rng.Float64() - 0.5,
			A: 2.5 + 3*rng.Float64(), B: 2.5 + 3*rng.Float64(), Q: 0.5 * rng.Float64(),
			Skew: 0.2 * rng.Float64(), Tri: 0.1 * rng.Float64(), Grow: -0.3 * rng.Float64(), Even: 0.1 * rng.Float64(),
		}
		nu := 2 * math.Pi * rng.Float64()
		h, radius := o.Support(nu)
		if radius < 0.6 {
			continue // a corner sharper than any tooth's
		}
		s, c := math.Sincos(nu)
		off := 2*rng.Float64() - 0.4
		h1 := o.Turn(nu)
		x, y := (h+off)*c-h1*s, (h+off)*s+h1*c // the point off outside the tangent point
		gc, gs, d := o.Normal(x, y)
		best := math.Inf(-1)
		for k := range 20000 {
			a := 2 * math.Pi * float64(k) / 20000
			hh, _ := o.Support(a)
			sa, ca := math.Sincos(a)
			best = max(best, x*ca+y*sa-hh)
		}
		if math.Abs(d-best) > 1e-6 {
			t.Errorf("%+v at ν %v, %v outside: distance %v, a search finds %v", o, nu, off, d, best)
		}
		if math.Abs(best-off) < 1e-6 && math.Hypot(gc-c, gs-s) > 1e-5 {
			t.Errorf("%+v: normal (%v, %v), want (%v, %v)", o, gc, gs, c, s)
		}
	}
}

type column struct{ f solid.Field }

func (c column) At(p r3.Vec) solid.Sample { return c.f(p) }

func (c column) Near(p r3.Vec, r float64) (solid.Scene, bool) {
	return c, math.Abs(c.f(p).D) < 1.2*r
}

// TestFrustum builds the cone frustums of trade.md §12 rows 10 and 11 from the same
// outline and wall as a preparation and measures their meshes.
func TestFrustum(t *testing.T) {
	for _, c := range []struct{ base, height, toc, top, lateral, volume float64 }{
		{8, 4, 12, 7.15917, 95.7725, 180.6698},
		{10, 4, 20, 8.58938, 0, 0},
	} {
		tan := math.Tan(c.toc / 2 * math.Pi / 180)
		wall := func(p r3.Vec) solid.Sample {
			o := mouth.Outline{A: c.base / 2, B: c.base / 2, Grow: -p.Z * tan}
			return mouth.Sides(&o, &mouth.Outline{Grow: -tan}, p)
		}
		o := mouth.Outline{A: c.base / 2, B: c.base / 2, Grow: -c.height * tan}
		if h, _ := o.Support(1); math.Abs(2*h-c.top) > 1e-5 {
			t.Errorf("top diameter %v, want %v", 2*h, c.top)
		}
		if c.volume == 0 {
			continue
		}
		whole := func(p r3.Vec) solid.Sample {
			s := solid.Intersect(wall(p), solid.Sample{D: p.Z - c.height, N: r3.V(0, 0, 1)}, 0)
			return solid.Intersect(s, solid.Sample{D: -p.Z, N: r3.V(0, 0, -1)}, 0)
		}
		l := solid.Lattice{Fine: 0.06, Coarse: 0.06, Offset: r3.V(0.3, 0.4, 0.2)}
		m := solid.Contour(column{whole}, l, r3.BoxOf(r3.V(-6, -6, -1), r3.V(6, 6, 5)))
		if loops := mesh.NewTopology(m).Loops(); len(loops) != 0 {
			t.Errorf("%d holes in a closed solid", len(loops))
		}
		// Chords of 0.06 mm on a radius of 4 mm fall short by 3e-5; the two rims, cut
		// between grid points, add as much again.
		if v := m.SignedVolume(); math.Abs(v/c.volume-1) > 2e-4 {
			t.Errorf("volume %v, want %v", v, c.volume)
		}
		area := m.Area() - math.Pi/4*(c.base*c.base+c.top*c.top)
		if math.Abs(area/c.lateral-1) > 1e-3 {
			t.Errorf("lateral area %v, want %v", area, c.lateral)
		}
	}
}

// TestNeighboursTouch: along each arch of either side every tooth comes to the gap
// asked for, and the quadrant of either side is the mirror image of the other.
func TestNeighboursTouch(t *testing.T) {
	for _, jaw := range []tooth.Jaw{tooth.Upper, tooth.Lower} {
		a := mouth.NewArch(mouth.Person{Seed: 3, Scale: 1}, jaw, tooth.Left, 7, 1, 0.02)
		n := len(a.Teeth)
		if n != 14 {
			t.Fatalf("%s: %d teeth, want 14", jaw, n)
		}
		for i := n / 2; i+1 < n; i++ {
			if g := mouth.Gap(a.Teeth[i], a.Teeth[i+1]); math.Abs(g-0.02) > 1e-6 {
				t.Errorf("gap between %v and %v is %v mm, want 0.02", a.Teeth[i].Form.Number, a.Teeth[i+1].Form.Number, g)
			}
		}
		for i := range n / 2 {
			l, r := a.Teeth[n-1-i], a.Teeth[i]
			if l.Form.Number != r.Form.Number.OtherSide() {
				t.Errorf("%v stands opposite %v", l.Form.Number, r.Form.Number)
			}
			p := r3.V(0.7, 1.1, 3)
			q := l.Mouth.Point(p)
			if d := r.Mouth.Point(p).Dist(r3.V(-q.X, q.Y, q.Z)); d > 1e-9 {
				t.Errorf("%v is %v mm off the mirror image of %v", r.Form.Number, d, l.Form.Number)
			}
		}
	}
}

// TestCrownSize: every crown is as wide, deep and high as the table has it.
func TestCrownSize(t *testing.T) {
	for _, n := range tooth.All() {
		d, _ := tooth.Dimensions(n)
		f := mouth.NewForm(n)
		wide, deep := 0.0, 0.0
		for z := 0.0; z < d.Height; z += 0.05 {
			o, _ := f.Body.At(z)
			e, _ := o.Support(0)
			w, _ := o.Support(math.Pi)
			no, _ := o.Support(math.Pi / 2)
			s, _ := o.Support(-math.Pi / 2)
			wide, deep = max(wide, e+w), max(deep, no+s)
		}
		if math.Abs(wide-d.MD) > 0.35 {
			t.Errorf("%v is %.2f mm wide, want %v", n, wide, d.MD)
		}
		if math.Abs(deep-d.BL) > 0.6 {
			t.Errorf("%v is %.2f mm deep, want %v", n, deep, d.BL)
		}
		top := 0.0
		for x := -5.0; x <= 5; x += 0.1 {
			for y := -5.0; y <= 5; y += 0.1 {
				if z, _, _ := f.Relief.Height(x, y); f.Field(r3.V(x, y, z-0.3)).D < 0 {
					top = max(top, z)
				}
			}
		}
		if math.Abs(top-d.Height) > 0.35 {
			t.Errorf("%v is %.2f mm high, want %v", n, top, d.Height)
		}
	}
}

// TestOutlinesAreConvex: a support function makes a curve only where h + h″ > 0; the
// nearest tangent is unique only then.
func TestOutlinesAreConvex(t *testing.T) {
	for _, n := range tooth.All() {
		f := mouth.NewForm(n)
		for z := -4.0; z < 0.95*f.Height; z += 0.2 { // above it the crown has ended
			o, _ := f.Body.At(z)
			for a := 0.0; a < 360; a += 3 {
				if _, r := o.Support(a * math.Pi / 180); r <= 0 {
					t.Fatalf("%v at height %.1f: radius of curvature %v at azimuth %v", n, z, r, a)
				}
			}
		}
	}
}

// TestJawMesh: the vertices of a jaw's mesh lie on the exact surface, and the mesh is
// an oriented manifold also where crowns touch and gum meets tooth.
func TestJawMesh(t *testing.T) {
	a := mouth.NewArch(mouth.Person{Seed: 5, Scale: 1}, tooth.Lower, tooth.Left, 7, 1, 0.02)
	jaw := &mouth.Jaw{}
	collars := make([]mouth.Collar, 3)
	box := r3.EmptyBox()
	for i, p := range a.Teeth[10:13] {
		collars[i] = a.Collar(p)
		f := &p.Form
		jaw.Stations = append(jaw.Stations, mouth.Station{
			Tooth: p, Collar: &collars[i],
			Crown: func(_, q r3.Vec, side solid.Sample) solid.Sample { return f.Over(q, side) },
		})
		box = box.Union(r3.BoxOf(p.Center()).Grow(8))
	}
	l := solid.Lattice{Center: a.Teeth[11].Center(), Fine: 0.15, Coarse: 0.3, Radius: 4, Ramp: 2}
	m := solid.Contour(jaw, l, box)
	if top := mesh.NewTopology(m); top.NonManifold != 0 {
		t.Errorf("%d non-manifold elements", top.NonManifold)
	}
	off := 0
	for _, p := range m.Pos {
		if math.Abs(jaw.At(p).D) > 5e-4 { // 0.5 µm
			off++
		}
	}
	// In the crease between gum and tooth Newton's method may hop between the two sides;
	// such a vertex stays at the mean of its cell's crossings.
	if share := float64(off) / float64(len(m.Pos)); share > 0.002 || len(m.Pos) < 20000 {
		t.Errorf("%d of %d vertices are more than 0.5 µm off the surface", off, len(m.Pos))
	}
}
