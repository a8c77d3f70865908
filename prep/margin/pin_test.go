package margin_test

import (
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/prep"
	"selvage/prep/margin"
	"selvage/r3"
)

// nearestTo is the distance from q to the closed curve of m.
func nearestTo(m *prep.Margin, q r3.Vec) float64 {
	best := math.Inf(1)
	c := m.Curve()
	for i, a := range c {
		b := c[(i+1)%len(c)]
		t := min(max(q.Sub(a).Dot(b.Sub(a))/b.Sub(a).Norm2(), 0), 1)
		best = min(best, a.Lerp(b, t).Dist(q))
	}
	return best
}

// A pin 0.4 mm off the line and a stretch drawn 0.3 mm below it are passed within
// 0.1 mm; elsewhere the line stays; a point that belongs to another tooth is refused.
func TestHoldByHand(t *testing.T) {
	s := meshtest.DefaultStump()
	m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 7, meshtest.Round), 0.010, 3)
	got, ok := margin.Detect(cut(t, m, 0.010, 0.1), margin.Options{})
	if !ok {
		t.Fatal("no wall found")
	}
	before := got.Curve()
	pin := r3.V(4.6, 0, 0.1)
	var drawn []r3.Vec
	for k := range 5 {
		a := 2 + 0.1*float64(k)
		drawn = append(drawn, r3.V(4.95*math.Cos(a), 4.95*math.Sin(a), -0.3))
	}
	for i := range got.Points {
		if i >= 230 && i < 260 {
			got.Points[i].State = prep.Unclear // 115 to 130 degrees: within what is drawn
		}
		if i >= 245 && i < 250 { // it took the state of a hole beside it, and has surface
			got.Points[i].State, got.Points[i].Merged = prep.NotCaptured, true
		}
		if i >= 250 && i < 253 { // it took the state of what is unclear, and has none
			got.Points[i].Merged = true
		}
	}
	byHand, far := margin.Hold(got, margin.Hand{Pins: []r3.Vec{pin, r3.V(12, 0, 0)}, Drawn: [][]r3.Vec{drawn}})
	if far != 1 {
		t.Errorf("%d points were refused, want the one that lies 7 mm away", far)
	}
	for _, q := range append([]r3.Vec{pin}, drawn...) {
		if d := nearestTo(got, q); d > 0.1 {
			t.Errorf("the line passes %v at %.3f mm", q, d)
		}
	}
	moved := 0
	for i, p := range got.Points {
		if p.At.Dist(before[i]) > 1e-9 {
			moved++
		}
		if byHand[i] && p.State == prep.Unclear {
			t.Fatalf("point %d is set by hand and still unclear", i)
		}
		if want := i >= 250 && i < 253; (p.State == prep.NotCaptured) != want || p.Merged {
			t.Fatalf("point %d: state %v, merged %v", i, p.State, p.Merged)
		}
	}
	if moved > 90 { // 23 degrees drawn, half a millimetre each side of the pin
		t.Errorf("%d of 720 points moved", moved)
	}
}
