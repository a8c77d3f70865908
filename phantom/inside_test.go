package phantom

import (
	"math"
	"testing"

	"selvage/tooth"
)

// TestRoomHoldsAllOfTheStump: every vertex of the exact preparation well above its margin
// is measured, also on the tops of ridges, where the walk to the surface ends a hair off
// and the least room is found.
func TestRoomHoldsAllOfTheStump(t *testing.T) {
	for _, n := range []tooth.Number{46} {
		s := Default(n)
		s.Exact, s.Scanner.Fine, s.Scanner.Coarse = true, 0.1, 1.1
		var k Maker
		b := k.start(s, nil, nil)
		m := b.newMade(Working)
		b.contour(m)
		room := b.w.newRoom(m.exact, nil)
		left, all := 0, 0
		for i, p := range m.exact.Pos {
			q := b.w.prepared.Local(p)
			if q.Z < s.Stump.MarginHeight+1.5 || math.Hypot(q.X, q.Y) > min(b.w.prepared.Form.Width, b.w.prepared.Form.Depth)/2-0.5 {
				continue
			}
			all++
			if !room.inside[i] {
				left++
			}
		}
		if left > 0 || all < 1000 {
			t.Errorf("tooth %v: %d of %d vertices of the preparation are left out", n, left, all)
		}
	}
}
