package curve_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"selvage/curve"
	"selvage/r3"
)

var seedFlag = flag.Uint64("seed", 1, "seed of the generated curves")

func rng(salt uint64) *rand.Rand { return rand.New(rand.NewPCG(*seedFlag, salt)) }

// circle is n points of a circle of radius r in a slanted plane.
func circle(n int, r float64) curve.Polyline {
	g := r3.Rotation(r3.V(0.6, 0, 0.8), 0.7)
	c := curve.Polyline{Closed: true}
	for i := range n {
		s, k := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		c.Pts = append(c.Pts, g.Apply(r3.V(r*k, r*s, 0)).Add(r3.V(3, -2, 7)))
	}
	return c
}

// wander is a random curve of n points with steps of very different length, some of zero.
func wander(r *rand.Rand, n int, closed bool) curve.Polyline {
	c := curve.Polyline{Closed: closed}
	p := r3.Vec{}
	for i := range n {
		if i%7 != 3 {
			d := r3.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64())
			p = p.AddScaled(math.Pow(10, 2*r.Float64()-2), d)
		}
		c.Pts = append(c.Pts, p)
	}
	return c
}

func each(t *testing.T, do func(t *testing.T, c curve.Polyline)) {
	t.Helper()
	r := rng(1)
	for i := range 60 {
		do(t, wander(r, 2+r.IntN(60), i%2 == 0))
	}
}

func TestLengthOfACircle(t *testing.T) {
	const n, r = 360, 4.0
	want := 2 * n * r * math.Sin(math.Pi/n)
	if got := circle(n, r).Length(); math.Abs(got-want) > 1e-12 {
		t.Errorf("length of a %d-gon = %.15g, want %.15g", n, got, want)
	}
	open := circle(n, r)
	open.Closed = false
	if got := open.Length(); math.Abs(got-want*(n-1)/n) > 1e-12 {
		t.Errorf("length without the last side = %.15g, want %.15g", got, want*(n-1)/n)
	}
}

// TestResampleLaws: points lie on the curve at equal arc length, ends stay, and length
// never grows.
func TestResampleLaws(t *testing.T) {
	each(t, func(t *testing.T, c curve.Polyline) {
		step := c.Length() / 37.3
		r := c.Resample(step)
		if r.Closed != c.Closed || r.Pts[0] != c.Pts[0] {
			t.Fatalf("resampled curve starts at %v, closed %v", r.Pts[0], r.Closed)
		}
		if !c.Closed && r.Pts[len(r.Pts)-1] != c.Pts[len(c.Pts)-1] {
			t.Fatalf("the end moved to %v", r.Pts[len(r.Pts)-1])
		}
		if r.Segments() != 37 {
			t.Fatalf("%d segments for a length of 37.3 steps", r.Segments())
		}
		if r.Length() > c.Length()*(1+1e-12) {
			t.Fatalf("resampling made %.9g of length %.9g", r.Length(), c.Length())
		}
		for i, p := range r.Pts {
			want, _ := c.At(c.Length() * float64(i) / 37)
			if c.Closed || i < len(r.Pts)-1 {
				if p.Dist(want) > 1e-9*c.Length() {
					t.Fatalf("point %d is %v, at its arc length lies %v", i, p, want)
				}
			}
		}
	})
}

// TestNearestAgainstSamples: no sample of the curve is nearer, and the place is consistent.
func TestNearestAgainstSamples(t *testing.T) {
	r := rng(2)
	each(t, func(t *testing.T, c curve.Polyline) {
		size := c.Length()
		fine := c.Resample(size / 5000)
		for range 20 {
			p := c.Pts[r.IntN(len(c.Pts))].AddScaled(size*math.Pow(10, -3*r.Float64()), r3.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()))
			at, ok := c.Nearest(p)
			if !ok || math.Abs(at.D-at.Point.Dist(p)) > 1e-12*size {
				t.Fatalf("nearest to %v: %+v %v", p, at, ok)
			}
			for _, q := range fine.Pts {
				if q.Dist(p) < at.D-1e-12*size {
					t.Fatalf("nearest to %v is %v at %.9g, but %v is at %.9g", p, at.Point, at.D, q, q.Dist(p))
				}
			}
			if s, _ := c.At(at.S); s.Dist(at.Point) > 1e-9*size {
				t.Fatalf("nearest to %v: at arc length %.9g lies %v, not %v", p, at.S, s, at.Point)
			}
			a, b := c.Segment(at.Segment)
			if q := a.Lerp(b, at.T); q.Dist(at.Point) > 1e-12*size {
				t.Fatalf("nearest to %v: segment %d at %.9g is %v, not %v", p, at.Segment, at.T, q, at.Point)
			}
		}
	})
}

// TestAtWraps: a closed curve goes on, an open one stops.
func TestAtWraps(t *testing.T) {
	c := circle(40, 2)
	l := c.Length()
	for _, s := range []float64{0, 1, l - 0.1} {
		a, _ := c.At(s)
		for _, k := range []float64{-2, -1, 1, 3} {
			if b, _ := c.At(s + k*l); b.Dist(a) > 1e-9 {
				t.Errorf("at %.2f %v, %g rounds on %v", s, a, k, b)
			}
		}
	}
	c.Closed = false
	if p, _ := c.At(-5); p != c.Pts[0] {
		t.Errorf("before the start of an open curve: %v", p)
	}
	if p, _ := c.At(1e9); p != c.Pts[39] {
		t.Errorf("behind the end of an open curve: %v", p)
	}
}

// TestSmoothShrinksACircle by exp(-σ²/2R²), as the doc says, and nothing else.
func TestSmoothShrinksACircle(t *testing.T) {
	for _, sigma := range []float64{0.05, 0.15, 0.3, 1} {
		const r = 4.0
		c := circle(2000, r)
		want := r * math.Exp(-sigma*sigma/(2*r*r))
		for _, p := range c.Smooth(sigma).Pts {
			// The gaussian is cut at 3.6 sigma, which costs 1 % of the shrinkage.
			if got := p.Dist(r3.V(3, -2, 7)); math.Abs(got-want) > 0.01*(r-want)+1e-6 {
				t.Fatalf("circle of %g mm smoothed by %g: radius %.7f, want %.7f", r, sigma, got, want)
			}
		}
	}
}

// TestSmoothKeepsStraightLines, however unevenly their points lie, and the ends of open
// curves.
func TestSmoothKeepsStraightLines(t *testing.T) {
	r := rng(3)
	c := curve.Polyline{}
	for x := 0.0; x < 10; x += 0.02 + 0.1*r.Float64() {
		c.Pts = append(c.Pts, r3.V(x, 2*x, -x))
	}
	s := c.Smooth(0.4)
	n := len(c.Pts) - 1
	if s.Pts[0] != c.Pts[0] || s.Pts[n] != c.Pts[n] {
		t.Errorf("the ends moved to %v and %v", s.Pts[0], s.Pts[n])
	}
	dir, _ := r3.V(1, 2, -1).Unit()
	for i, p := range s.Pts {
		if off := p.Sub(c.Pts[0]).Reject(dir).Norm(); off > 1e-12 {
			t.Fatalf("point %d left the line by %g", i, off)
		}
	}
}

// TestSmoothDoesNotCareWhereARingBegins.
func TestSmoothDoesNotCareWhereARingBegins(t *testing.T) {
	r := rng(4)
	c := circle(300, 3)
	for i := range c.Pts {
		c.Pts[i] = c.Pts[i].AddScaled(0.02, r3.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()))
	}
	a := c.Smooth(0.2)
	turned := curve.Polyline{Closed: true, Pts: append(append([]r3.Vec{}, c.Pts[111:]...), c.Pts[:111]...)}
	b := turned.Smooth(0.2)
	for i := range a.Pts {
		if d := a.Pts[i].Dist(b.Pts[(i+300-111)%300]); d > 1e-9 {
			t.Fatalf("begun at another point the smooth curve differs by %g at %d", d, i)
		}
	}
	if rough, _ := curve.Deviation(c, a, 0.05); rough.Mean < 0.01 || rough.Mean > 0.03 {
		t.Errorf("20 µm of noise each way deviate from their smooth by %.4f mm", rough.Mean)
	}
}

func TestDeviationOfKnownCurves(t *testing.T) {
	a := circle(3000, 4)
	b := circle(3000, 4.1)
	d, ok := curve.Deviation(a, b, 0.05)
	if !ok || math.Abs(d.Mean-0.1) > 1e-5 || math.Abs(d.P95-0.1) > 1e-5 || math.Abs(d.Max-0.1) > 1e-5 {
		t.Errorf("circles 0.1 mm apart deviate by %+v", d)
	}
	// A spike of 1 mm on a straight line of 10: mean over the length, one-sided.
	line := curve.Polyline{Pts: []r3.Vec{{}, {X: 10}}}
	spike := curve.Polyline{Pts: []r3.Vec{{}, {X: 5}, {X: 5, Y: 1}, {X: 5}, {X: 10}}}
	d, _ = curve.Deviation(spike, line, 0.001)
	if math.Abs(d.Mean-1.0/12) > 1e-3 || math.Abs(d.Max-1) > 1e-3 {
		t.Errorf("a spike deviates by %+v, want mean 1/12 and max 1", d)
	}
	if d, _ = curve.Deviation(line, spike, 0.01); d.Max > 1e-12 {
		t.Errorf("the line deviates from the spike by %g; it lies on it", d.Max)
	}
	if h, _ := curve.Hausdorff(line, spike, 0.01); h != 1 {
		t.Errorf("Hausdorff distance of the spike = %g, want 1: its tip is one of its own points", h)
	}
}

// TestHausdorffIsADistance: symmetric, zero to itself, and no shorter way by a third.
func TestHausdorffIsADistance(t *testing.T) {
	r := rng(5)
	for range 20 {
		a, b, c := wander(r, 12, true), wander(r, 9, false), wander(r, 15, true)
		step := 0.01 * (a.Length() + b.Length() + c.Length())
		ab, _ := curve.Hausdorff(a, b, step)
		ba, _ := curve.Hausdorff(b, a, step)
		ac, _ := curve.Hausdorff(a, c, step)
		cb, _ := curve.Hausdorff(c, b, step)
		aa, _ := curve.Hausdorff(a, a, step)
		if ab != ba || aa > 1e-12*a.Length() || ab > ac+cb+2*step {
			t.Fatalf("Hausdorff: ab %g ba %g aa %g, ac + cb %g", ab, ba, aa, ac+cb)
		}
	}
}

func TestCurvesWithoutPoints(t *testing.T) {
	for _, c := range []curve.Polyline{{}, {Closed: true}} {
		if c.Length() != 0 || c.Segments() != 0 || len(c.Resample(1).Pts) != 0 || len(c.Smooth(1).Pts) != 0 {
			t.Errorf("an empty curve has %d segments of length %g", c.Segments(), c.Length())
		}
		if _, ok := c.Nearest(r3.Vec{}); ok {
			t.Error("an empty curve has a nearest point")
		}
		if _, ok := c.At(1); ok {
			t.Error("an empty curve has a point at 1 mm")
		}
		if _, ok := curve.Deviation(c, circle(3, 1), 1); ok {
			t.Error("an empty curve deviates")
		}
		if _, ok := curve.Hausdorff(circle(3, 1), c, 1); ok {
			t.Error("an empty curve has a Hausdorff distance")
		}
	}
	p := r3.V(1, 2, 3)
	for _, c := range []curve.Polyline{{Pts: []r3.Vec{p}}, {Pts: []r3.Vec{p, p, p}, Closed: true}} {
		if at, ok := c.Nearest(r3.V(1, 2, 5)); !ok || at.D != 2 {
			t.Errorf("nearest of one point: %+v %v", at, ok)
		}
		if q, ok := c.At(7); !ok || q != p {
			t.Errorf("at 7 mm of one point: %v %v", q, ok)
		}
		if r := c.Resample(0.1); len(r.Pts) != len(c.Pts) {
			t.Errorf("one point resampled: %v", r.Pts)
		}
		for _, q := range c.Smooth(0.5).Pts {
			if q != p {
				t.Errorf("one point smoothed: %v", q)
			}
		}
	}
}
