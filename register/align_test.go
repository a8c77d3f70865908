package register_test

import (
	"errors"
	"math"
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
	"selvage/register"
)

// farPoints are six points 20 mm from the pivot, where a registration's error is judged.
func farPoints(pivot r3.Vec) []r3.Vec {
	var out []r3.Vec
	for _, d := range []r3.Vec{{X: 20}, {X: -20}, {Y: 20}, {Y: -20}, {Z: 20}, {Z: -20}} {
		out = append(out, pivot.Add(d))
	}
	return out
}

// trial registers a freshly scanned, moved source to dst and returns the result and the
// true error at points of the destination frame.
type trial struct {
	r      register.Result
	errors []float64 // mm, at farPoints
	ratio  []float64 // error over stated uncertainty
}

func run(t *testing.T, dst *bvh.Tree, src *mesh.Mesh, truth, start r3.Rigid, n int) trial {
	t.Helper()
	moved := src.Moved(truth.Inverse())
	pts, nrm := points(moved, n)
	r, err := register.Align(pts, nrm, dst, start.After(truth), register.Options{})
	if err != nil {
		t.Fatalf("seed %d: %v", *seedFlag, err)
	}
	out := trial{r: r}
	for _, p := range farPoints(r.Pivot) {
		at := r.DstFromSrc.Point(truth.Inverse().Point(p))
		out.errors = append(out.errors, at.Dist(p))
		out.ratio = append(out.ratio, at.Dist(p)/r.ShiftU(p))
	}
	return out
}

func rms(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v * v
	}
	return math.Sqrt(s / float64(len(x)))
}

// TestKnownMotions: two scans of one surface with 10 µm noise each, moved by up to 180°
// and started up to 2° and 0.5 mm off, meet within 10 µm RMS at 20 mm from the pivot, and
// the stated uncertainty holds the truth in about 95 % of cases.
func TestKnownMotions(t *testing.T) {
	for _, c := range []struct {
		name   string
		lo, hi [2]float64 // of the source; the destination is [0,20]²
		points int
		limit  float64 // mm RMS at 20 mm
	}{
		{"whole", [2]float64{0, 0}, [2]float64{20, 20}, 3000, 0.004},
		{"overlap 40 %", [2]float64{12, 0}, [2]float64{32, 20}, 3000, 0.010},
		{"one tooth", [2]float64{6, 6}, [2]float64{14, 14}, 3000, 0.010},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := rng(t, 1)
			var errs, ratios []float64
			held, iterations := 0, 0
			const trials = 16
			for range trials {
				dst := bvh.Build(scanOf(r, [2]float64{0, 0}, [2]float64{20, 20}, 0.2, 0.010))
				src := scanOf(r, c.lo, c.hi, 0.17, 0.010)
				tr := run(t, dst, src, motion(r, math.Pi, 100), motion(r, 2*math.Pi/180, 0.3), c.points)
				if !tr.r.Converged {
					t.Errorf("not converged after %d steps", tr.r.Iterations)
				}
				errs = append(errs, tr.errors...)
				iterations += tr.r.Iterations
				ratios = append(ratios, tr.ratio...)
				for _, q := range tr.ratio {
					if q <= 1 {
						held++
					}
				}
			}
			share := float64(held) / float64(len(ratios))
			t.Logf("error at 20 mm %.1f µm RMS; stated k=2 uncertainty holds %.1f %%, RMS of error over it %.2f; %d steps",
				1000*rms(errs), 100*share, rms(ratios), iterations/trials)
			if e := rms(errs); e > c.limit {
				t.Errorf("seed %d: error at 20 mm = %.4f mm RMS, want at most %.4f", *seedFlag, e, c.limit)
			}
			// Six points share one of 16 independent motions: 95 % less 2.5 times 5.4 %.
			if share < 0.81 {
				t.Errorf("seed %d: the stated uncertainty holds the truth in %.1f %% of cases, want about 95", *seedFlag, 100*share)
			}
			// Between 0.51 (errors along a line) and 0.62 (in space) if rightly stated; it
			// must be neither half as large as it should nor twice.
			if q := rms(ratios); q < 0.38 || q > 0.80 {
				t.Errorf("seed %d: errors are %.2f of the stated uncertainty RMS, want 0.51 to 0.62", *seedFlag, q)
			}
		})
	}
}

// TestChangedParts: a third of the overlap is 0.6 mm lower in the source, as a tooth
// that was prepared between two scans; it must not pull.
func TestChangedParts(t *testing.T) {
	r := rng(t, 2)
	var errs []float64
	for range 12 {
		dst := bvh.Build(scanOf(r, [2]float64{0, 0}, [2]float64{20, 20}, 0.2, 0.010))
		src := scanOf(r, [2]float64{0, 0}, [2]float64{20, 20}, 0.17, 0.010)
		for i, p := range src.Pos {
			if p.X > 7 && p.X < 13 {
				src.Pos[i].Z -= 0.6
			}
		}
		tr := run(t, dst, src, motion(r, math.Pi, 100), motion(r, math.Pi/180, 0.1), 3000)
		errs = append(errs, tr.errors...)
		if tr.r.Inliers > 0.75 || tr.r.Inliers < 0.55 {
			t.Errorf("inliers = %.2f, want about 0.65", tr.r.Inliers)
		}
	}
	if e := rms(errs); e > 0.006 {
		t.Errorf("seed %d: error at 20 mm with a third changed = %.4f mm RMS, want at most 0.006", *seedFlag, e)
	}
}

// TestResidualIsTheNoise: point to plane, the residual of two noisy scans is the source's
// noise and that of a triangle of the destination, whose corners average to between 0.4
// and 1 of theirs in square.
func TestResidualIsTheNoise(t *testing.T) {
	r := rng(t, 3)
	for _, sigma := range []float64{0.005, 0.010, 0.020} {
		dst := bvh.Build(scanOf(r, [2]float64{0, 0}, [2]float64{20, 20}, 0.15, sigma))
		tr := run(t, dst, scanOf(r, [2]float64{0, 0}, [2]float64{20, 20}, 0.15, sigma), r3.Still(), r3.Still(), 4000)
		if got := tr.r.RMS / sigma; got < math.Sqrt(1.25) || got > math.Sqrt(2) {
			t.Errorf("noise %.0f µm: residual is %.2f times that, want 1.12 to 1.41", 1000*sigma, got)
		}
	}
}

// TestWhatSlidesIsAnError: noise must not pretend to hold what no shape holds.
func TestWhatSlidesIsAnError(t *testing.T) {
	r := rng(t, 4)
	shapes := map[string]func(x, y float64) r3.Vec{
		"plane":    func(x, y float64) r3.Vec { return r3.V(x, y, 0) },
		"cylinder": func(x, y float64) r3.Vec { return r3.V(6*math.Sin(x/6), y, 6*math.Cos(x/6)) },
		"ball": func(x, y float64) r3.Vec {
			s, c := math.Sincos(x / 8)
			k, l := math.Sincos(y / 8)
			return r3.V(8*s*l, 8*k, 8*c*l)
		},
	}
	for name, at := range shapes {
		for _, sigma := range []float64{0, 0.010} {
			scan := func() *mesh.Mesh {
				m := scanOf(r, [2]float64{-5, -5}, [2]float64{5, 5}, 0.15, 0)
				for i, p := range m.Pos {
					m.Pos[i] = at(p.X, p.Y).Add(r3.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()).Scale(sigma))
				}
				return m
			}
			pts, nrm := points(scan(), 3000)
			res, err := register.Align(pts, nrm, bvh.Build(scan()), r3.Still(), register.Options{})
			if !errors.Is(err, register.ErrSlides) {
				t.Errorf("%s, noise %.0f µm: Align = %v, uncertainty %.4f mm; want ErrSlides", name, 1000*sigma, err, res.ShiftU(r3.V(0, 0, 20)))
			}
		}
	}
}

func TestTooFewPairs(t *testing.T) {
	r := rng(t, 5)
	m := scanOf(r, [2]float64{0, 0}, [2]float64{5, 5}, 0.2, 0)
	pts, nrm := points(m, 500)
	away := r3.Rigid{R: r3.Identity(), T: r3.V(0, 0, 30)}
	for name, dst := range map[string]*bvh.Tree{"far away": bvh.Build(m), "empty": bvh.Build(&mesh.Mesh{})} {
		if _, err := register.Align(pts, nrm, dst, away, register.Options{}); !errors.Is(err, register.ErrTooFewPairs) {
			t.Errorf("%s: Align = %v, want ErrTooFewPairs", name, err)
		}
	}
	if _, err := register.Align(nil, nil, bvh.Build(m), r3.Still(), register.Options{}); !errors.Is(err, register.ErrTooFewPairs) {
		t.Errorf("no points: Align = %v, want ErrTooFewPairs", err)
	}
	// The far side of a sheet is no counterpart.
	for i := range nrm {
		nrm[i] = nrm[i].Neg()
	}
	if _, err := register.Align(pts, nrm, bvh.Build(m), r3.Still(), register.Options{}); !errors.Is(err, register.ErrTooFewPairs) {
		t.Errorf("normals reversed: Align = %v, want ErrTooFewPairs", err)
	}
}

// TestFrameDoesNotMatter: the same scans in another frame give the same registration.
func TestFrameDoesNotMatter(t *testing.T) {
	r := rng(t, 6)
	dst := scanOf(r, [2]float64{0, 0}, [2]float64{12, 12}, 0.2, 0.010)
	src := scanOf(r, [2]float64{0, 0}, [2]float64{12, 12}, 0.2, 0.010)
	pts, nrm := points(src, 2000)
	a, err := register.Align(pts, nrm, bvh.Build(dst), r3.Still(), register.Options{})
	if err != nil {
		t.Fatal(err)
	}
	g := motion(r, math.Pi, 50)
	b, err := register.Align(pts, nrm, bvh.Build(dst.Moved(g)), g, register.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := r3.V(6, 6, 20)
	// The steps stop within 2e-5 mm, in either frame.
	if d := g.Point(a.DstFromSrc.Point(p)).Dist(b.DstFromSrc.Point(p)); d > 1e-4 {
		t.Errorf("in another frame the registration differs by %.2g mm", d)
	}
	// The cells of the covariance are laid anew.
	if q := a.ShiftU(p) / b.ShiftU(g.Point(p)); q < 0.8 || q > 1.25 {
		t.Errorf("in another frame the uncertainty is %.3f times as large", 1/q)
	}
}
