package reduction

import (
	"math"
	"testing"

	"selvage/bvh"
	"selvage/r3"
)

// arch is a row of teeth along x whose sizes vary with phase; cut lowers the tooth at
// the origin.
func arch(phase, cut float64) func(x, y float64) float64 {
	return func(x, y float64) float64 {
		t := 2*math.Pi*x/8 + 0.8*math.Sin(x/6) + phase
		w := y / (3.5 + 0.4*math.Cos(t))
		z := 5*math.Exp(-w*w*w*w) + (0.5*math.Cos(t)+0.4*math.Cos(2*t)*math.Cos(1.3*y))*math.Exp(-w*w)
		if r := math.Hypot(x, y); r < 4 {
			z -= cut * math.Exp(-math.Pow(r/3.3, 6))
		}
		return z
	}
}

func TestRegisterOnTheTeethThatDidNotChange(t *testing.T) {
	w := bvh.Build(field(18, 7, 0.2, 0.01, 1, arch(0, 1.8)))
	for _, move := range []r3.Rigid{
		r3.Still(),
		{R: r3.Rotation(r3.V(1, 1, 1).UnitOr(up), 0.02), T: r3.V(0.4, -0.3, 0.5)},
	} {
		b := bvh.Build(field(18, 7, 0.2, 0.01, 2, arch(0, 0)).Moved(move))
		m, err := Register(w, b, nil, r3.V(0, 0, 4), up, 5, r3.Still())
		if err != nil {
			t.Fatal(err)
		}
		at := r3.V(0, 0, 4)
		off := m.WorkingFromBefore.Point(move.Point(at)).Dist(at)
		t.Logf("off %.4f mm, U %.4f, residual %.1f µm, same mouth %.3f mm", off, m.U, m.Residual.V, m.SameMouth.V)
		if off > 0.01 || off > m.U {
			t.Errorf("the prepared tooth is off by %.4f mm, U = %.4f", off, m.U)
		}
		if !m.SameMouth.Measured() || m.SameMouth.V > 0.1 {
			t.Errorf("same mouth %+v of one mouth", m.SameMouth)
		}
		if m.Residual.V < 8 || m.Residual.V > 25 {
			t.Errorf("residual %.1f µm at 10 µm of noise on both", m.Residual.V)
		}
	}
}

func TestRegisterOtherMouth(t *testing.T) {
	w := bvh.Build(field(18, 7, 0.2, 0.01, 1, arch(0, 1.8)))
	for _, phase := range []float64{2, 3.1, 4.5} {
		other := arch(phase, 0)
		b := bvh.Build(field(18, 7, 0.2, 0.01, 2, func(x, y float64) float64 { return 1.6*other(x, 1.15*y) - 2 }))
		m, err := Register(w, b, nil, r3.V(0, 0, 4), up, 5, r3.Still())
		if err == nil && m.SameMouth.Measured() && m.SameMouth.V < 0.45 {
			t.Errorf("phase %.1f: another mouth lies within %.3f mm", phase, m.SameMouth.V)
		}
		t.Logf("phase %.1f: %v, %v", phase, m.SameMouth, err)
	}
}
