package phantom

import (
	"math"
	"testing"

	"selvage/r3"
)

// TestOutlineDepth: how far a point lies inside the outline, or outside, is the distance
// from the line, not along the ray from the axis: beside a long oval the two differ.
func TestOutlineDepth(t *testing.T) {
	var round, oval outline
	for k := range round {
		s, c := math.Sincos(2 * math.Pi * float64(k) / float64(len(round)))
		round[k] = r3.V(4*c, 4*s, 1)
		rho := 1 / math.Hypot(c/6, s/3)
		oval[k] = r3.V(rho*c, rho*s, 0)
	}
	for _, c := range []struct {
		o           *outline
		p           r3.Vec
		want, above float64
	}{
		{&round, r3.V(3.7, 0, 3), 0.3, 2},
		{&round, r3.V(0, -5.5, 3), -1.5, 2},
		{&oval, r3.V(0, 3.5, 2), -0.5, 2},
		{&oval, r3.V(4.2426+0.4472/2, 2.1213+0.8944/2, 1), -0.5, 1}, // square to the line at 45° of its parameter
	} {
		got, above := c.o.depth(c.p)
		if math.Abs(got-c.want) > 1e-3 || math.Abs(above-c.above) > 1e-9 {
			t.Errorf("%v: %.4f inside, %.2f above; want %.4f, %.2f", c.p, got, above, c.want, c.above)
		}
	}
}
