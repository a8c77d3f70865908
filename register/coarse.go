package register

import (
	"cmp"
	"runtime"
	"slices"
	"sync"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
)

const (
	coarseEdge    = 0.6  // mm between samples: a third of the least cusp
	normalRadius  = 1.5  // mm over which a frame's normal is averaged
	srcReliefs    = 300  // places of the source that look for their like
	dstReliefs    = 3000 // places of the destination that they are compared with
	likeSignature = 24   // candidates whose relief is compared, by signature
	likeRelief    = 4    // candidates that become a motion, by relief
	tried         = 1200 // motions whose overlap is estimated
	refined       = 40   // motions of most overlap that are refined roughly, and
	refinedLikest = 24   // of most likeness: where all teeth look alike, overlap says little
	refinedWell   = 12   // of them, motions that are refined well
	probePoints   = 80   // points for the estimate
	roughPoints   = 130  // points for the rough refinement
	finePoints    = 400  // points for the good one and the final overlap

	probeReach = 1.0 // mm: how far a right motion may be off before refinement
	lieWithin  = 0.2 // mm: what lies on the destination after it
	likeNormal = 0.7 // least cosine of normals of surfaces that lie on each other

	// clashWithin, mm: a point farther off than lieWithin and nearer than this to the
	// inside of the destination speaks against a motion: its place was scanned, and the
	// surface is not there.
	clashWithin = 1.5

	maxPoses   = 5
	leastShare = 0.1 // overlap below this is chance

	sameAngle = 0.1 // rad and
	sameShift = 1.0 // mm: two motions nearer to each other than this are one
)

// Pose is a proposed start for [Align].
type Pose struct {
	DstFromSrc r3.Rigid
	Overlap    float64 // share of the source that lies on the destination, see [Coarse]
}

// Coarse proposes motions that lay src on dst, whatever the positions of the two: at most
// five, the likeliest first; none where nothing fits. It is for scans that do not
// share a frame. Each proposal is refined to some 0.05 mm; [Align] does the rest.
//
// Reliefs of the surface about 300 places of src are compared with those about up to
// 3000 places of dst, first by what a rotation leaves unchanged, then turned to fit. Each
// good match is a motion; the motions are ranked by how much of src then lies near dst,
// the best refined, and ranked again by how much lies on it, and how closely.
//
// Scans of teeth are needed, with relief: a smooth patch fits everywhere. The overlap may
// be as little as a fifth of src if it holds a tooth or more; which proposal is right is
// for the caller to judge: Overlap says how much fits, a point on the surface counting 1
// and one 0.2 mm off it 0. A proposal that is a tooth off has about half the overlap of
// the right one. Winding must be outward in both.
//
// Cost: 0.5 to 2 s for scans of a quadrant or an arch. Deterministic.
func Coarse(src, dst *mesh.Mesh) []Pose {
	from, to := thin(src, coarseEdge), thin(dst, coarseEdge)
	if len(from) == 0 || len(to) == 0 {
		return nil
	}
	h := hunt{tree: bvh.Build(dst), middle: from[len(from)/2].p}
	probes, rough, fine := every(from, probePoints), every(from, roughPoints), every(from, finePoints)
	poses := h.propose(reliefs(from, srcReliefs), reliefs(to, dstReliefs))
	poses = h.different(append(h.different(poses, refinedLikest), h.best(poses, probes, probeReach, refined)...), refined+refinedLikest)
	h.refine(poses, rough, 2, 1)
	poses = h.best(poses, rough, 2*lieWithin, refinedWell)
	h.refine(poses, fine, 0.8, 0.4)
	poses = h.best(poses, fine, lieWithin, maxPoses)
	return slices.DeleteFunc(poses, func(p Pose) bool { return p.Overlap < leastShare })
}

// parallel calls do for 0 to n-1, shared between the cores by number.
func parallel(n int, do func(i int)) {
	var wg sync.WaitGroup
	workers := min(runtime.GOMAXPROCS(0), n)
	for w := range workers {
		wg.Go(func() {
			for i := w; i < n; i += workers {
				do(i)
			}
		})
	}
	wg.Wait()
}

// reliefs maps the surroundings of at most n of the samples, evenly chosen from those
// with relief and without a gap.
func reliefs(s []sample, n int) []relief {
	g := newGrid(s, coarseEdge*3)
	normals := smoothNormals(s, g, normalRadius)
	step := max(len(s)/(2*n), 1)
	all := make([]relief, (len(s)+step-1)/step)
	parallel(len(all), func(i int) { all[i] = newRelief(s, g, s[i*step].p, normals[i*step]) })
	out := slices.DeleteFunc(all, func(r relief) bool { return float64(r.seen) < leastShared*reliefCells })
	if len(out) <= n {
		return out
	}
	// The half with more relief; a flat one says nothing.
	order := make([]int, len(out))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(out[b].strength, out[a].strength) })
	order = order[:n]
	slices.Sort(order)
	kept := make([]relief, n)
	for i, k := range order {
		kept[i] = out[k]
	}
	return kept
}

// hunt is a search under way.
type hunt struct {
	tree   *bvh.Tree
	middle r3.Vec // a point of the source
}

// match is a pair of reliefs that look alike.
type match struct {
	a, b, sectors int
	left          float64
}

// propose returns the motions of the best matches.
func (h *hunt) propose(src, dst []relief) []Pose {
	found := make([][]match, len(src))
	parallel(len(src), func(i int) {
		found[i] = likest(&src[i], dst)
		for k := range found[i] {
			found[i][k].a = i
		}
	})
	all := slices.Concat(found...)
	slices.SortStableFunc(all, func(x, y match) int { return cmp.Compare(x.left/src[x.a].strength, y.left/src[y.a].strength) })
	all = all[:min(len(all), tried)]
	out := make([]Pose, len(all))
	for i, m := range all {
		out[i].DstFromSrc = src[m.a].onto(&dst[m.b], m.sectors)
	}
	return out
}

// likest returns the places of dst that look most like a.
func likest(a *relief, dst []relief) []match {
	var near, out []match
	for b := range dst {
		near = insert(near, match{b: b, left: float64(a.unlike(&dst[b]))}, likeSignature)
	}
	for _, m := range near {
		if s, left, ok := a.turnTo(&dst[m.b]); ok {
			out = insert(out, match{b: m.b, sectors: s, left: left}, likeRelief)
		}
	}
	return out
}

// insert puts m in its place among the n best so far, behind equal ones.
func insert(best []match, m match, n int) []match {
	if len(best) == n && !(m.left < best[n-1].left) {
		return best
	}
	if len(best) < n {
		best = append(best, m)
	}
	k := len(best) - 1
	for ; k > 0 && m.left < best[k-1].left; k-- {
		best[k] = best[k-1]
	}
	best[k] = m
	return best
}

// judge returns the share of the samples that lie on the destination, each counting the
// less the farther it is within reach, and the share that could: that has a surface of
// like normal within clashWithin. A sample beyond the rim of the destination does
// neither, nor does one that faces another way, as the teeth of the other jaw do.
func (h *hunt) judge(s []sample, g r3.Rigid, reach float64) (lies, could float64) {
	for _, a := range s {
		n, ok := h.tree.Nearest(g.Point(a.p), max(reach, clashWithin))
		if !ok || h.tree.OnRim(n) || g.Dir(a.n).Dot(h.tree.Mesh.AreaVector(n.Face).UnitOr(r3.Vec{})) < likeNormal {
			continue
		}
		could++
		lies += max(1-n.D/reach, 0)
	}
	return lies / float64(len(s)), could / float64(len(s))
}

// best returns the n poses, all different, of the largest lies²/could: how much lies on
// the destination, times how well what could do so does.
func (h *hunt) best(poses []Pose, s []sample, reach float64, n int) []Pose {
	type scored struct {
		Pose
		score float64
	}
	all := make([]scored, len(poses))
	parallel(len(poses), func(i int) {
		lies, could := h.judge(s, poses[i].DstFromSrc, reach)
		all[i].Pose = Pose{DstFromSrc: poses[i].DstFromSrc, Overlap: lies}
		if lies > 0 {
			all[i].score = lies * lies / could
		}
	})
	slices.SortStableFunc(all, func(a, b scored) int { return cmp.Compare(b.score, a.score) })
	for i, a := range all {
		poses[i] = a.Pose
	}
	return h.different(poses, n)
}

// different returns the first n poses that differ from those before.
func (h *hunt) different(poses []Pose, n int) []Pose {
	var out []Pose
	for _, p := range poses {
		if len(out) == n {
			break
		}
		if !slices.ContainsFunc(out, func(q Pose) bool { return h.same(p.DstFromSrc, q.DstFromSrc) }) {
			out = append(out, p)
		}
	}
	return out
}

// same reports whether two motions take the source to about the same place.
func (h *hunt) same(a, b r3.Rigid) bool {
	return a.After(b.Inverse()).Angle() < sameAngle && a.Point(h.middle).Dist(b.Point(h.middle)) < sameShift
}

// refine aligns the samples from each pose, with the given reaches one after the other;
// a pose that cannot be aligned stays.
func (h *hunt) refine(poses []Pose, s []sample, reaches ...float64) {
	pts, nrm := make([]r3.Vec, len(s)), make([]r3.Vec, len(s))
	for i, a := range s {
		pts[i], nrm[i] = a.p, a.n
	}
	parallel(len(poses), func(i int) {
		for _, reach := range reaches {
			r, err := Align(pts, nrm, h.tree, poses[i].DstFromSrc, Options{Reach: reach, MaxIterations: 8, MinPairs: 20})
			if err != nil {
				return
			}
			poses[i].DstFromSrc = r.DstFromSrc
		}
	})
}
