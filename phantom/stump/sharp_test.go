package stump

import (
	"math"
	"testing"

	"selvage/phantom/solid"
	"selvage/r3"
)

// flanks are two planes, level along y, which turn by theta from one to the other across the
// plane x = 0 and meet in the y axis.
func flanks(p r3.Vec, theta float64) (left, right solid.Sample) {
	s, c := math.Sincos(theta / 2)
	l, r := r3.V(-s, 0, c), r3.V(s, 0, c)
	return solid.Sample{D: l.Dot(p), N: l}, solid.Sample{D: r.Dot(p), N: r}
}

// arc is the solid whose two flanks are joined by an arc of a radius about the y axis: the
// distance from it is exact on the outside.
func arc(radius, theta float64) edges {
	return func(p r3.Vec) solid.Sample {
		l, r := flanks(p, theta)
		out := r
		if l.D > r.D {
			out = l
		}
		if rho := math.Hypot(p.X, p.Z); math.Abs(math.Atan2(p.X, p.Z)) < theta/2 {
			out = solid.Sample{D: rho, N: r3.V(p.X/rho, 0, p.Z/rho)}
		}
		return out.Shift(radius)
	}
}

// parabola is the solid whose two flanks are joined by a parabola with a crest of a radius.
func parabola(crest, theta float64) edges {
	s, c := math.Sincos(theta / 2)
	return func(p r3.Vec) solid.Sample {
		l, r := flanks(p, theta)
		return solid.Swell(l, r, crest*2*s*s/c)
	}
}

// TestSharpEdgeOfArc: of a round between two flanks the radius of an edge is that of the
// round, also of a round that goes on past the 0.45 mm of surface that are looked at.
func TestSharpEdgeOfArc(t *testing.T) {
	each(t, func(radius, theta float64) (edges, float64) { return arc(radius, theta), radius })
}

// TestSharpEdgeOfParabola holds the radius against that of the parabola z = -x²/2R between
// two flanks. Where its slope is u = x/R, the normal has turned by atan u from the crest,
// over the length
//
//	L(u) = R/2·(u√(1+u²) + asinh u).
//
// It runs into the flanks at u = tan(θ/2), or 0.45 mm of it end where L(u) = 0.45 mm; what
// turns is θ' = 2·atan u then, and the middle half of it is turned over 2·L(tan(θ'/4)):
//
//	2s/θ' = 4·L(tan(θ'/4))/θ';  θ' = 90°:  4·R·0.42577/(π/2) = 1.084·R.
func TestSharpEdgeOfParabola(t *testing.T) {
	length := func(u float64) float64 { return (u*math.Hypot(1, u) + math.Asinh(u)) / 2 }
	radius := func(crest, theta float64) float64 {
		u := math.Tan(theta / 2)
		if crest*length(u) > flank {
			lo, hi := 0.0, u
			for range 50 {
				if u = (lo + hi) / 2; crest*length(u) < flank {
					lo = u
				} else {
					hi = u
				}
			}
		}
		turned := 2 * math.Atan(u)
		return 4 * crest * length(math.Tan(turned/4)) / turned
	}
	if got := radius(0.3, math.Pi/2) / 0.3; math.Abs(got-1.084) > 0.001 {
		t.Fatalf("%.4f of the crest's radius in a right angle", got)
	}
	each(t, func(crest, theta float64) (edges, float64) { return parabola(crest, theta), radius(crest, theta) })
}

// turned is a solid turned about the origin.
func turned(f edges, turn r3.Mat) edges {
	return func(p r3.Vec) solid.Sample {
		s := f(turn.T().Apply(p))
		s.N = turn.Apply(s.N)
		return s
	}
}

// each holds the sharpest edge of a shape, asked for at places up to 0.15 mm beside it and
// with the edge running in every direction, against what is due, within 2 %.
func each(t *testing.T, shape func(radius, theta float64) (edges, float64)) {
	t.Helper()
	k := 0.0
	for _, radius := range []float64{0.1, 0.2, 0.35, 0.5, 0.7} {
		for _, deg := range []float64{60, 75, 90, 110} {
			k++
			s, c := math.Sincos(k)
			turn := r3.RotationBetween(r3.V(0, 0, 1), r3.V(s, c, 0.8).UnitOr(r3.Vec{}))
			straight, want := shape(radius, deg*math.Pi/180)
			f := turned(straight, turn)
			var near []r3.Vec
			for k := range 15 {
				p := turn.Apply(r3.V(0.15*math.Sin(float64(k)), 0.15*float64(k), radius))
				near = append(near, f.onto(f.onto(p)))
			}
			if got := f.sharpest(near); !(math.Abs(got/want-1) < 0.02) {
				t.Errorf("crest %v mm, turn %v°: radius %.4f mm, want %.4f", radius, deg, got, want)
			}
		}
	}
}

// TestSharpEdgeOverAStretch: an edge is as sharp as over half of 1.5 mm, and half of those
// must be there; a few tenths of a millimetre are no edge that a tool fails to enter.
func TestSharpEdgeOverAStretch(t *testing.T) {
	for _, c := range []struct{ sharp, seen, want float64 }{
		{0.6, 4, 0.5}, {0.9, 4, 0.15}, {3, 0.9, 0.15}, {3, 0.6, math.NaN()},
	} {
		f := edges(func(p r3.Vec) solid.Sample {
			radius := 0.5
			if math.Abs(p.Y) < c.sharp/2 {
				radius = 0.15
			}
			p.Z += radius - 0.5 // one crest
			return arc(radius, math.Pi/2)(p)
		})
		var near []r3.Vec
		for y := -c.seen / 2; y < c.seen/2; y += 0.14 {
			near = append(near, r3.V(0, y, 0.5))
		}
		got := f.sharpest(near)
		if math.IsNaN(c.want) != math.IsNaN(got) || math.Abs(got-c.want) > 0.02*c.want {
			t.Errorf("%.1f mm sharp, %.1f mm seen: radius %.3f, want %.3f", c.sharp, c.seen, got, c.want)
		}
	}
}

// TestSharpEdgeOfABar: of two edges 0.7 mm apart, of 0.1 and 0.2 mm radius, each is by itself.
func TestSharpEdgeOfABar(t *testing.T) {
	const c = math.Sqrt2 / 2
	edge := func(radius, x float64) edges { // of the planes that look to -x and to z
		return func(p r3.Vec) solid.Sample {
			p.X -= x
			s := arc(radius, math.Pi/2)(r3.V(c*(p.X+p.Z+radius), p.Y, c*(p.Z+radius-p.X)))
			s.N = r3.V(c*(s.N.X-s.N.Z), s.N.Y, c*(s.N.X+s.N.Z))
			return s
		}
	}
	right := edge(0.2, -0.25)
	bar := edges(func(p r3.Vec) solid.Sample {
		l, r := edge(0.1, -0.25)(p), right(r3.V(-p.X, p.Y, p.Z))
		if l.D > r.D {
			return l
		}
		return solid.Sample{D: r.D, N: r3.V(-r.N.X, r.N.Y, r.N.Z)}
	})
	var near []r3.Vec
	for k := range 15 {
		y := 0.14 * float64(k)
		near = append(near, r3.V(-0.25-0.1*c, y, -0.1*(1-c)), r3.V(0.25+0.2*c, y, -0.2*(1-c)))
	}
	if got := bar.sharpest(near); math.Abs(got-0.1) > 0.002 {
		t.Errorf("radius %.4f mm, want 0.1", got)
	}
}

// TestSharpEdgeOfNone: two flanks that turn by less than 35°, a furrow, and what is bent
// nearly as much along as across, as a cusp is, are no edge; nor is one that runs 0.3 mm
// beside the places asked about.
func TestSharpEdgeOfNone(t *testing.T) {
	furrow := func(p r3.Vec) solid.Sample {
		s := arc(0.3, math.Pi/2)(r3.V(p.X, p.Y, -p.Z))
		return solid.Sample{D: -s.D, N: r3.V(-s.N.X, -s.N.Y, s.N.Z)}
	}
	const tube = 0.5
	wheel := func(radius float64) edges { // of a tube of 0.5 mm radius about the x axis
		return func(p r3.Vec) solid.Sample {
			rho := math.Hypot(p.Y, p.Z)
			d := math.Hypot(p.X, rho-radius+tube)
			n := r3.V(p.X/d, (rho-radius+tube)/d*p.Y/rho, (rho-radius+tube)/d*p.Z/rho)
			return solid.Sample{D: d - tube, N: n}
		}
	}
	on := func(height float64) func(float64) r3.Vec { return func(s float64) r3.Vec { return r3.V(0, s, height) } }
	beside := func(off float64) func(float64) r3.Vec { // on a flank, seen from the crest of 0.1 mm
		down := (off - 0.1*math.Pi/4) / math.Sqrt2
		return func(s float64) r3.Vec { return r3.V(0.1/math.Sqrt2+down, s, 0.1/math.Sqrt2-down) }
	}
	rim := func(radius float64) func(float64) r3.Vec {
		return func(s float64) r3.Vec { return r3.V(0, math.Sin(s/radius), math.Cos(s/radius)).Scale(radius) }
	}
	for _, c := range []struct {
		name string
		f    edges
		at   func(s float64) r3.Vec
		none bool
	}{
		{"turn of 40°", arc(0.1, 40*math.Pi/180), on(0.1), false},
		{"turn of 30°", arc(0.1, 30*math.Pi/180), on(0.1), true},
		{"crest 0.15 mm beside", arc(0.1, math.Pi/2), beside(0.15), false},
		{"crest 0.3 mm beside", arc(0.1, math.Pi/2), beside(0.3), true},
		{"furrow", furrow, on(-0.3), true},
		{"rim bent a third more across than along", wheel(0.7), rim(0.7), false},
		{"rim bent a tenth more across than along", wheel(0.55), rim(0.55), true},
	} {
		var near []r3.Vec
		for k := range 15 {
			near = append(near, c.at(0.14*float64(k-7)))
		}
		if got := c.f.sharpest(near); math.IsNaN(got) != c.none {
			t.Errorf("%s: radius %.3f mm", c.name, got)
		}
	}
}
