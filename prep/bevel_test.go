package prep

import (
	"math"
	"math/rand/v2"
	"testing"
)

// planes is a profile of straight pieces, each of a length in mm at a heading in degrees,
// with crossings 0.08 mm apart of the given noise.
func planes(noise float64, rng *rand.Rand, pieces ...[2]float64) Profile {
	var pts []raw
	rho, z := 0.0, 0.0
	for _, q := range pieces {
		s, c := math.Sincos(q[1] * math.Pi / 180)
		for d := 0.0; d < q[0]; d += 0.08 {
			e := noise * rng.NormFloat64()
			pts = append(pts, raw{rho: rho + d*c + e*s, z: z - d*s + e*c})
		}
		rho, z = rho+q[0]*c, z-q[0]*s
	}
	return resample(0, pts, FanStep)
}

// The bevel of a knife edge is as straight as the wall and nearly as steep, and here as
// long: the wall is what stands above it. Of a wall cut in two planes, the lower one is.
func TestWallOverABevel(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	for _, c := range []struct {
		name   string
		pieces [][2]float64
		taper  float64
	}{
		{"bevel as long as the wall", [][2]float64{{3, 0}, {2, 83}, {2, 68}, {0.7, 92}, {1.5, -40}}, 7},
		{"bevel longer than the wall", [][2]float64{{3, 0}, {1.6, 83}, {2.2, 68}, {0.7, 92}, {1.5, -40}}, 7},
		{"two planes", [][2]float64{{2, 0}, {2.2, 66}, {1.8, 84}, {0.8, 20}, {1, 92}, {1.5, -40}}, 6},
	} {
		for range 20 {
			p := planes(0.010, rng, c.pieces...)
			w := FindWall(&p, FanStep, 0.010)
			if got := w.Taper() * 180 / math.Pi; !w.Found() || math.Abs(got-c.taper) > 3 {
				t.Errorf("%s: wall at %.1f°, want %.0f ± 3°", c.name, got, c.taper)
			}
		}
	}
}
