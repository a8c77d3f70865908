package register

import (
	"errors"
	"math"

	"selvage/bvh"
	"selvage/internal/num"
	"selvage/mesh"
	"selvage/r3"
)

// Options steer [Align]. The zero value means the defaults written here.
type Options struct {
	MaxIterations int     // 60
	Reach         float64 // mm: correspondences farther than this are not made; 1.0
	MinAngleCos   float64 // least cosine between corresponding normals; 0.5 (60°)
	MinPairs      int     // fewer correspondences than this is an error; 50
}

func (o Options) withDefaults() Options {
	if o.MaxIterations == 0 {
		o.MaxIterations = 60
	}
	if o.Reach == 0 {
		o.Reach = 1
	}
	if o.MinAngleCos == 0 {
		o.MinAngleCos = 0.5
	}
	if o.MinPairs == 0 {
		o.MinPairs = 50
	}
	return o
}

// Result is a registration and what is known of it.
type Result struct {
	DstFromSrc r3.Rigid
	RMS        float64 // mm, point to plane, over the inliers
	Inliers    float64 // share of the source points that lie on the destination, 0 to 1
	Iterations int
	Converged  bool
	Pivot      r3.Vec        // in the destination's frame
	Cov        [6][6]float64 // of the rotation about Pivot (rad) and the translation (mm), in that order
}

// ErrTooFewPairs is returned where hardly any source point lies near the
// destination: the start is too far off, or the scans do not overlap.
var ErrTooFewPairs = errors.New("align: too few points of the scans lie on each other")

// ErrSlides is returned where the overlap does not hold all six motions, as a plane
// or a ball does not.
var ErrSlides = errors.New("align: the overlap is too smooth to hold the scans against each other")

// ShiftU returns the expanded uncertainty (k = 2, mm) of the position of p, a point
// in the destination's frame that was brought there by DstFromSrc: twice the root of
// the largest eigenvalue of the covariance of the point's motion t + ω×(p-Pivot).
func (r Result) ShiftU(p r3.Vec) float64 {
	q := p.Sub(r.Pivot)
	j := [3][6]float64{
		{0, q.Z, -q.Y, 1, 0, 0},
		{-q.Z, 0, q.X, 0, 1, 0},
		{q.Y, -q.X, 0, 0, 0, 1},
	}
	var c [3][3]float64
	for a := range 3 {
		for b := range 3 {
			for k := range 6 {
				for l := range 6 {
					c[a][b] += j[a][k] * r.Cov[k][l] * j[b][l]
				}
			}
		}
	}
	val, _ := num.Eigen3(c)
	return 2 * math.Sqrt(max(val[0], 0))
}

// Align refines start so that the source points lie on the surface of dst. srcN are
// the unit normals of the source points, or nil.
func Align(src, srcN []r3.Vec, dst *bvh.Tree, start r3.Rigid, o Options) (Result, error) {
	if srcN != nil && len(srcN) != len(src) {
		panic("register: a normal for every point, or none")
	}
	o = o.withDefaults()
	g := start
	moved := make([]r3.Vec, len(src))
	for it := 1; ; it++ {
		for i, p := range src {
			moved[i] = g.Point(p)
		}
		near := dst.NearestAll(moved, o.Reach)
		r, step, err := fit(moved, srcN, near, dst.Mesh, g, o)
		if err != nil {
			return r, err
		}
		r.Iterations = it
		if it >= o.MaxIterations || step < 1e-6 {
			r.Converged = step < 1e-6
			return r, nil
		}
		g = r.DstFromSrc
	}
}

func fit(moved, srcN []r3.Vec, near []bvh.Near, m *mesh.Mesh, g r3.Rigid, o Options) (Result, float64, error) {
	var pts, nrm []r3.Vec
	var res []float64
	pivot := r3.Vec{}
	for i, n := range near {
		if n.Face == mesh.None {
			continue
		}
		u, ok := m.AreaVector(n.Face).Unit()
		if !ok || srcN != nil && g.Dir(srcN[i]).Dot(u) < o.MinAngleCos {
			continue
		}
		pts, nrm, res = append(pts, moved[i]), append(nrm, u), append(res, moved[i].Sub(n.Point).Dot(u))
		pivot = pivot.Add(moved[i])
	}
	if len(pts) < o.MinPairs {
		return Result{DstFromSrc: g}, 0, ErrTooFewPairs
	}
	pivot = pivot.Scale(1 / float64(len(pts)))
	_, mad := num.MAD(res)
	lim := max(4.685*num.MADSigma*mad, 1e-6)
	var a [6][6]float64
	var b [6]float64
	sum2, in := 0.0, 0
	for i, d := range res {
		if math.Abs(d) >= lim {
			continue
		}
		w := 1 - (d/lim)*(d/lim)
		w *= w
		c := pts[i].Sub(pivot).Cross(nrm[i])
		row := [6]float64{c.X, c.Y, c.Z, nrm[i].X, nrm[i].Y, nrm[i].Z}
		for j := range 6 {
			for k := range 6 {
				a[j][k] += w * row[j] * row[k]
			}
			b[j] -= w * row[j] * d
		}
		sum2, in = sum2+d*d, in+1
	}
	x, ok := num.Solve6(a, b)
	cov, ok2 := num.Inverse6(a)
	if !ok || !ok2 {
		return Result{DstFromSrc: g}, 0, ErrSlides
	}
	rms := math.Sqrt(sum2 / float64(in))
	for j := range 6 {
		for k := range 6 {
			cov[j][k] *= rms * rms
		}
	}
	w := r3.V(x[0], x[1], x[2])
	rot := r3.Rotation(w.UnitOr(r3.V(0, 0, 1)), w.Norm())
	d := r3.Rigid{R: rot, T: pivot.Add(r3.V(x[3], x[4], x[5])).Sub(rot.Apply(pivot))}
	step := w.Norm()*20 + r3.V(x[3], x[4], x[5]).Norm()
	return Result{
		DstFromSrc: d.After(g), RMS: rms, Inliers: float64(in) / float64(len(moved)), Pivot: pivot, Cov: cov,
	}, step, nil
}
