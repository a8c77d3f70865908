package prep

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

const rounding = 0.4 // mm

// roughProfile is a flat top of length flat, a rounding, and a wall 4 mm
// long at 6°, of crossings 0.04 mm apart with the given noise, at the step of a fan. A
// negative flat is a wall that goes on to the axis. z is 0 at the top.
func roughProfile(flat, noise float64, rng *rand.Rand) Profile {
	const tap, apart = 6 * math.Pi / 180, 0.04
	var pts []raw
	rho, z, th := 0.0, 0.0, 0.0
	left := max(flat, 0)
	for s := 0.0; ; s += apart {
		pts = append(pts, raw{rho: rho + noise*rng.NormFloat64()*math.Sin(th), z: z + noise*rng.NormFloat64()*math.Cos(th)})
		switch {
		case left > 0:
			left -= apart
		case flat >= 0 && th < math.Pi/2-tap:
			th = min(th+apart/rounding, math.Pi/2-tap)
		default:
			th = math.Pi/2 - tap
		}
		rho, z = rho+apart*math.Cos(th), z-apart*math.Sin(th)
		if z < -4 {
			break
		}
	}
	return resample(0, pts, FanStep)
}

// Noise of 36 µm tilts single facets of a wall past 45°: the line angle is still where
// wall and top part, and a wall without a top has none.
func TestLineAngleOfARoughWall(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	want := -rounding * (1 - math.Sqrt2/2)
	var z []float64
	none := 0
	for range 100 {
		p := roughProfile(1, 0.036, rng)
		if w := FindWall(&p, FanStep, 0.036); w.Found() && w.LineAngle >= 0 {
			z = append(z, p.Z[w.LineAngle])
		}
		p = roughProfile(-1, 0.036, rng)
		if w := FindWall(&p, FanStep, 0.036); w.Found() && w.LineAngle < 0 {
			none++
		}
	}
	if len(z) < 95 {
		t.Fatalf("%d of 100 rough walls have a line angle", len(z))
	}
	slices.Sort(z)
	if got := z[len(z)/2]; math.Abs(got-want) > 0.05 {
		t.Errorf("median line angle at %.3f mm, want %.3f ± 0.05", got, want)
	}
	if none < 90 {
		t.Errorf("%d of 100 walls that run to the axis have no line angle, want 90", none)
	}
}
