package register

import (
	"errors"
	"math"
	"runtime"
	"sync"

	"selvage/bvh"
	"selvage/internal/num"
	"selvage/mesh"
	"selvage/r3"
)

// Options steer [Align]. The zero value means the defaults written here.
type Options struct {
	MaxIterations int     // 60
	Reach         float64 // mm; a point farther than this from dst has no counterpart; 1.0
	MinAngleCos   float64 // least cosine between the normals of counterparts; 0.5 (60°)
	MinPairs      int     // fewer counterparts than this is an error; 50
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
	Converged  bool          // false: stopped by MaxIterations, still moving
	Pivot      r3.Vec        // in the destination's frame: the inliers' centroid
	Cov        [6][6]float64 // of rotation about Pivot (rad) and translation (mm), in that order
}

// ErrTooFewPairs is returned where hardly any source point lies near the
// destination: the start is too far off, or the scans do not overlap.
var ErrTooFewPairs = errors.New("align: too few points of the scans lie on each other")

// ErrSlides is returned where the overlap does not hold all six motions, as a plane,
// a cylinder or a ball does not.
var ErrSlides = errors.New("align: the overlap is too smooth to hold the scans against each other")

// Align moves the source points onto the surface of dst, from start.
//
// It minimises over rigid motions g
//
//	Σ ρ(nᵢ·(g(pᵢ) - qᵢ) / s),
//
// qᵢ being the point of dst nearest to g(pᵢ), nᵢ the smooth normal there, ρ Tukey's
// biweight and s 1.48 times the median size of the residuals: iterated closest points,
// point to plane [Chen1991]. Points without a counterpart within Reach, whose
// counterpart lies on the rim of dst ([Turk1994]), or whose normal srcN disagrees with
// it, have no say; of the others those beyond 4.7 s have none. So overlap may be
// partial, and up to a third of the overlap may have changed.
//
// srcN are the unit normals of the source points, or nil; they are needed for thin
// parts, whose far side would attract. Points should be spread evenly: each counts
// once. A few thousand hold a quadrant to under a micrometre of noise.
//
// The covariance is that of the estimate under residuals that are independent between
// cells of 1 mm and of whatever size and correlation within (a sandwich clustered by
// cell [White1980]), so that dense points of one noisy patch do not count as many. It
// does not know of errors that the residuals do not show: a scan that is bent as a
// whole.
//
// Errors: [ErrTooFewPairs], [ErrSlides]; the Result then holds the last motion. Cost:
// about 1 µs per point and iteration, of which there are 8 to 30. Deterministic.
func Align(src, srcN []r3.Vec, dst *bvh.Tree, start r3.Rigid, o Options) (Result, error) {
	if srcN != nil && len(srcN) != len(src) {
		panic("register: a normal for every point, or none")
	}
	f := newFitter(src, srcN, dst, o)
	return f.settle(f.approach(start))
}

func newFitter(src, srcN []r3.Vec, dst *bvh.Tree, o Options) *fitter {
	f := &fitter{src: src, srcN: srcN, dst: dst, o: o.withDefaults()}
	f.moved, f.all = make([]r3.Vec, len(src)), make([]pair, len(src))
	return f
}

// settle takes steps from start until they are small.
func (f *fitter) settle(start r3.Rigid) (Result, error) {
	r := Result{DstFromSrc: start}
	for r.Iterations < f.o.MaxIterations && !r.Converged {
		f.pair(r.DstFromSrc)
		if len(f.pairs) < f.o.MinPairs {
			return r, ErrTooFewPairs
		}
		f.weigh()
		step, ok := f.step()
		if !ok {
			return r, ErrSlides
		}
		step = step.scale(damping(r.Iterations))
		r.DstFromSrc = step.motion(f.pivot).After(r.DstFromSrc)
		r.Converged = step.size() < stillStep
		r.Iterations++
	}
	r.DstFromSrc.R = square(r.DstFromSrc.R)
	f.pair(r.DstFromSrc)
	if len(f.pairs) < f.o.MinPairs {
		return r, ErrTooFewPairs
	}
	f.weigh()
	return f.finish(r)
}

const (
	// manyPoints is the number of points from which a share of them goes ahead, and
	// aheadPoints about how many that are: as many as hold a quadrant.
	manyPoints  = 20000
	aheadPoints = 4000
)

// approach returns a motion from which many points take few steps: that which a share of
// them, evenly by number, settles on. All the way but its end is walked as well by four
// thousand points as by fifty thousand, at a twelfth of the price; what the points settle
// on at last is decided by all of them. Where the share does not settle the start stands.
func (f *fitter) approach(start r3.Rigid) r3.Rigid {
	if len(f.src) < manyPoints {
		return start
	}
	step := len(f.src) / aheadPoints
	var pts, nrm []r3.Vec
	for i := 0; i < len(f.src); i += step {
		pts = append(pts, f.src[i])
		if f.srcN != nil {
			nrm = append(nrm, f.srcN[i])
		}
	}
	r, err := newFitter(pts, nrm, f.dst, f.o).settle(start)
	if err != nil || !r.Converged {
		return start
	}
	return r.DstFromSrc
}

// pair is a source point, moved, and its counterpart.
type pair struct {
	p, n     r3.Vec // the moved point; the normal of dst
	residual float64
	weight   float64
	tilt2    float64 // |n - source normal|²
}

// fitter holds the buffers of one alignment.
type fitter struct {
	src, srcN []r3.Vec
	dst       *bvh.Tree
	o         Options
	moved     []r3.Vec
	all       []pair // by source point; without normal where there is no counterpart
	pairs     []pair
	sizes     []float64
	pivot     r3.Vec
	cut       float64 // residual at which the weight reaches zero
}

// pair finds the counterparts of the source under g: each core those of its share of the
// points, in slots, which are then closed up in order.
func (f *fitter) pair(g r3.Rigid) {
	for i, p := range f.src {
		f.moved[i] = g.Point(p)
	}
	near := f.dst.NearestAll(f.moved, f.o.Reach)
	const worth = 2048 // points below which another core does not pay
	workers := min(runtime.GOMAXPROCS(0), 1+len(near)/worth)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			for i := w * len(near) / workers; i < (w+1)*len(near)/workers; i++ {
				f.all[i] = f.counterpart(g, i, near[i])
			}
		})
	}
	wg.Wait()
	f.pairs = f.pairs[:0]
	for i := range f.all {
		if f.all[i].n != (r3.Vec{}) {
			f.pairs = append(f.pairs, f.all[i])
		}
	}
}

// counterpart returns the pair of source point i, which lies nearest to near; zero where
// it has no say.
func (f *fitter) counterpart(g r3.Rigid, i int, near bvh.Near) pair {
	if near.Face == mesh.None || f.dst.OnRim(near) {
		return pair{}
	}
	q := pair{p: f.moved[i]}
	var at r3.Vec
	at, q.n = f.dst.Smooth(near)
	if f.srcN != nil {
		n := g.Dir(f.srcN[i])
		if n.Dot(q.n) < f.o.MinAngleCos {
			return pair{}
		}
		q.tilt2 = n.Dist2(q.n)
	}
	q.residual = q.p.Sub(at).Dot(q.n)
	return q
}

// weigh sets the weights from the residuals, and the pivot.
func (f *fitter) weigh() {
	f.sizes = f.sizes[:0]
	for i := range f.pairs {
		f.sizes = append(f.sizes, math.Abs(f.pairs[i].residual))
	}
	f.cut = num.TukeyCut * max(num.MADSigma*num.Median(f.sizes), leastScale)
	sum, total := r3.Vec{}, 0.0
	for i := range f.pairs {
		q := &f.pairs[i]
		q.weight = num.Tukey(q.residual / f.cut)
		sum, total = sum.AddScaled(q.weight, q.p), total+q.weight
	}
	f.pivot = sum.Scale(1 / total) // the median residual has a weight over 0.9
}

// row returns the derivative of a pair's residual by the six motions about the pivot.
func (f *fitter) row(q *pair) [6]float64 {
	c := q.p.Sub(f.pivot).Cross(q.n)
	return [6]float64{c.X, c.Y, c.Z, q.n.X, q.n.Y, q.n.Z}
}

// twist is a small motion about a pivot: a rotation vector and a translation.
type twist struct{ turn, shift r3.Vec }

// size returns how far the motion moves a point at the lever's end, at most.
func (t twist) size() float64 { return lever*t.turn.Norm() + t.shift.Norm() }

func (t twist) scale(s float64) twist { return twist{t.turn.Scale(s), t.shift.Scale(s)} }

// damping returns the share of a step that is taken. Most alignments settle in ten; one
// that does not goes to and fro over a place where a counterpart comes and goes, and
// settles between if it walks more slowly.
func damping(iteration int) float64 {
	const eager = 15
	return 1 / float64(1+max(iteration-eager, 0)/5)
}

func (t twist) motion(pivot r3.Vec) r3.Rigid {
	rot := r3.Rotation(t.turn.UnitOr(r3.V(0, 0, 1)), t.turn.Norm())
	return r3.Rigid{R: rot, T: pivot.Add(t.shift).Sub(rot.Apply(pivot))}
}

// step returns the motion that the weighted pairs ask for; ok is false where they do
// not hold all six.
func (f *fitter) step() (t twist, ok bool) {
	var a [6][6]float64
	var b [6]float64
	for i := range f.pairs {
		q := &f.pairs[i]
		r := f.row(q)
		if q.weight == 0 {
			continue
		}
		for j := range 6 {
			w := q.weight * r[j]
			row := &a[j]
			for k := j; k < 6; k++ {
				row[k] += w * r[k]
			}
			b[j] -= w * q.residual
		}
	}
	x, ok := num.Solve6(a, b)
	return twist{r3.V(x[0], x[1], x[2]), r3.V(x[3], x[4], x[5])}, ok
}

// square returns the rotation nearest to m, a product of many rotations whose rounding
// has added up to some 1e-15.
func square(m r3.Mat) r3.Mat {
	x := m[0].UnitOr(r3.V(1, 0, 0))
	y := m[1].Reject(x).UnitOr(r3.V(0, 1, 0))
	return r3.Mat{x, y, x.Cross(y)}
}
