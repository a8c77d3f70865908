package register

import (
	"cmp"
	"math"
	"slices"

	"selvage/internal/num"
	"selvage/r3"
)

// finish fills in what is known of the registration.
func (f *fitter) finish(r Result) (Result, error) {
	sum2, in := 0.0, 0
	for i := range f.pairs {
		if q := &f.pairs[i]; q.weight > 0 {
			sum2 += q.residual * q.residual
			in++
		}
	}
	r.RMS = math.Sqrt(sum2 / float64(in))
	r.Inliers = float64(in) / float64(len(f.src))
	r.Pivot = f.pivot
	radius := f.radius()
	if radius == 0 {
		return r, ErrSlides
	}
	a, pretended, pull := f.curvature(radius)
	inv, ok := invertHeld(a, pretended, slideShare*pull)
	if !ok {
		return r, ErrSlides
	}
	r.Cov = sandwich(inv, f.scores(radius))
	for j := range 6 { // back from units of radius
		for k := range 6 {
			for _, i := range [2]int{j, k} {
				if i < 3 {
					r.Cov[j][k] /= radius
				}
			}
		}
	}
	return r, nil
}

func (f *fitter) weightSum() (s float64) {
	for i := range f.pairs {
		s += f.pairs[i].weight
	}
	return s
}

// radius returns the root mean square distance of the pairs from the pivot; rotations
// times radius compare with translations.
func (f *fitter) radius() float64 {
	sum := 0.0
	for i := range f.pairs {
		sum += f.pairs[i].weight * f.pairs[i].p.Dist2(f.pivot)
	}
	return math.Sqrt(sum / f.weightSum())
}

// scaled returns the row of a pair with rotations in units of 1/radius.
func (f *fitter) scaled(q *pair, radius float64) [6]float64 {
	r := f.row(q)
	for j := range 3 {
		r[j] /= radius
	}
	return r
}

// curvature returns the second derivative a of the loss, Σ ψ' J Jᵀ, and Σ ψ' itself: for
// the biweight with u = residual/cut, ψ' = (1-u²)(1-5u²), which is negative for the
// farthest of the inliers.
//
// pretended is the part of it that is but the noise of the normals: each of the two
// tangential components of a normal of variance τ² adds τ² to what a pair seems to know
// of a motion along the surface. The normals of source and destination differ by 4τ² in
// the mean of squares if both are as noisy; without source normals it is taken as 0.
func (f *fitter) curvature(radius float64) (a [6][6]float64, pretended, pull float64) {
	for i := range f.pairs {
		q := &f.pairs[i]
		if q.weight == 0 {
			continue
		}
		u2 := (q.residual / f.cut) * (q.residual / f.cut)
		w := (1 - u2) * (1 - 5*u2)
		r := f.scaled(q, radius)
		for j := range 6 {
			for k := range 6 {
				a[j][k] += w * r[j] * r[k]
			}
		}
		pull += w
		pretended += w * q.tilt2 / 4
	}
	return a, pretended, pull
}

// invertHeld returns the inverse of a with pretended taken off each eigenvalue. ok is
// false where less than least is left of one: that motion is not held.
func invertHeld(a [6][6]float64, pretended, least float64) (inv [6][6]float64, ok bool) {
	val, vec := num.Eigen6(a)
	for i, l := range val {
		l -= pretended
		if !(l > least) {
			return inv, false
		}
		for j := range 6 {
			for k := range 6 {
				inv[j][k] += vec[i][j] * vec[i][k] / l
			}
		}
	}
	return inv, true
}

// scores returns the sums of w·residual·J over the cells of space: the pieces whose
// spread tells how far noise moves the estimate.
func (f *fitter) scores(radius float64) [][6]float64 {
	for size := cellSize; ; size /= 2 {
		s := f.scoresBy(size, radius)
		if len(s) >= enoughCells || size <= smallestCell {
			return s
		}
	}
}

func (f *fitter) scoresBy(size, radius float64) [][6]float64 {
	type entry struct {
		cell [3]int32
		i    int
	}
	in := make([]entry, 0, len(f.pairs))
	for i := range f.pairs {
		if f.pairs[i].weight > 0 {
			in = append(in, entry{cellOf(f.pairs[i].p.Sub(f.pivot), size), i})
		}
	}
	slices.SortFunc(in, func(a, b entry) int {
		if c := slices.Compare(a.cell[:], b.cell[:]); c != 0 {
			return c
		}
		return cmp.Compare(a.i, b.i)
	})
	var out [][6]float64
	for k, e := range in {
		if k == 0 || e.cell != in[k-1].cell {
			out = append(out, [6]float64{})
		}
		q := &f.pairs[e.i]
		r := f.scaled(q, radius)
		for j := range 6 {
			out[len(out)-1][j] += q.weight * q.residual * r[j]
		}
	}
	return out
}

func cellOf(p r3.Vec, size float64) [3]int32 {
	return [3]int32{
		int32(math.Floor(p.X / size)), int32(math.Floor(p.Y / size)), int32(math.Floor(p.Z / size)),
	}
}

// sandwich returns inv·(Σ s sᵀ)·inv, enlarged for the six motions that the residuals
// were fitted with.
func sandwich(inv [6][6]float64, scores [][6]float64) [6][6]float64 {
	n := float64(len(scores))
	enlarge := n / max(n-6, 1)
	var cov [6][6]float64
	for _, s := range scores {
		var x [6]float64
		for j := range 6 {
			for k := range 6 {
				x[j] += inv[j][k] * s[k]
			}
		}
		for j := range 6 {
			for k := range 6 {
				cov[j][k] += enlarge * x[j] * x[k]
			}
		}
	}
	return cov
}

// ShiftU returns the expanded uncertainty (k = 2, mm) of where p lies, a point in the
// destination's frame that DstFromSrc brought there: the radius of the ball about p that
// holds its true place in 95 % of cases.
//
// The error of p is t + ω×(p - Pivot); its squared length is a weighted sum of squares
// of normal variables, the weights being the eigenvalues λ of its covariance. It is
// taken as (Σλ/ν)·χ² with ν = (Σλ)²/Σλ² degrees of freedom, see
// [num.ChiSquareShare]; off by at most 2 %.
func (r Result) ShiftU(p r3.Vec) float64 {
	val, _ := num.Eigen3(r.shiftCov(p))
	sum, sum2 := 0.0, 0.0
	for _, l := range val {
		l = max(l, 0)
		sum, sum2 = sum+l, sum2+l*l
	}
	if sum2 == 0 {
		return 0
	}
	return math.Sqrt(sum * num.ChiSquareShare(0.95, sum*sum/sum2))
}

// shiftCov returns the covariance of the position of p.
func (r Result) shiftCov(p r3.Vec) (c [3][3]float64) {
	q := p.Sub(r.Pivot)
	j := [3][6]float64{
		{0, q.Z, -q.Y, 1, 0, 0},
		{-q.Z, 0, q.X, 0, 1, 0},
		{q.Y, -q.X, 0, 0, 0, 1},
	}
	for a := range 3 {
		for b := range 3 {
			for k := range 6 {
				for l := range 6 {
					c[a][b] += j[a][k] * r.Cov[k][l] * j[b][l]
				}
			}
		}
	}
	return c
}
