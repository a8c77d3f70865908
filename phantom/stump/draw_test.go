package stump_test

import (
	"math"
	"testing"

	"selvage/phantom"
	"selvage/phantom/mouth"
	"selvage/phantom/stump"
	"selvage/r3"
	"selvage/tooth"
)

// TestFrontToothDraws: a sound front tooth draws off along its axis, however narrow its
// finish line is beside what is taken off its face and lingual side. The radius at each
// azimuth never grows upwards, from above the corner of the shelf.
func TestFrontToothDraws(t *testing.T) {
	for _, n := range []tooth.Number{21, 23, 33} {
		a := mouth.NewArch(mouth.Person{}, n.Jaw(), tooth.Left, 7, 1, 0.02)
		for _, p := range a.Teeth {
			if p.Form.Number != n {
				continue
			}
			for kind, width := range map[stump.FinishLine]float64{stump.KnifeEdge: 0.24, stump.Chamfer: 0.53} {
				s := phantom.Default(n).Stump
				s.FinishLine, s.FinishWidth = kind, width
				s.TiltMesial, s.TiltBuccal = 2*degree, -3*degree
				if d := overhang(stump.New(p, s)); d > leansIn {
					t.Errorf("tooth %v, %s: the stump leans in by %.3f mm", n, kind, d)
				}
			}
		}
	}
}

// leansIn is what an edge rounded unevenly may leave, mm: less than a scan's noise.
const leansIn = 0.006

// overhang returns how far the stump stands out above itself at its most.
func overhang(w *stump.Stump) float64 {
	up := w.Axis()
	x := r3.V(1, 0, 0).Reject(up).UnitOr(r3.Vec{})
	y := up.Cross(x)
	most := 0.0
	for deg := 0.0; deg < 360; deg += 20 {
		s, c := math.Sincos(deg * degree)
		out := x.Scale(c).AddScaled(s, y)
		edge, err := w.MarginAt(deg * degree)
		if err != nil {
			continue
		}
		widest := 0.0
		for z := 12.0; z > edge.Dot(up)+0.1; z -= 0.25 {
			lo, hi := 0.0, 8.0
			if w.Local(up.Scale(z)).D > 0 {
				continue // above the top
			}
			for range 20 {
				if mid := (lo + hi) / 2; w.Local(up.Scale(z).AddScaled(mid, out)).D < 0 {
					lo = mid
				} else {
					hi = mid
				}
			}
			most = math.Max(most, widest-lo)
			widest = math.Max(widest, lo)
		}
	}
	return most
}
