package register

import (
	"cmp"
	"slices"

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
	refined       = 60   // motions that are refined
	probePoints   = 80   // points for the estimate
	finePoints    = 400  // points for refinement and the final overlap

	probeReach = 1.0 // mm: how far a right motion may be off before refinement
	lieWithin  = 0.2 // mm: what lies on the destination after it
	likeNormal = 0.7 // least cosine of normals of surfaces that lie on each other

	maxPoses   = 5
	leastShare = 0.1 // overlap below this is chance

	sameAngle = 0.1 // rad and
	sameShift = 1.0 // mm: two motions nearer to each other than this are one
)

// Pose is a proposed start for [Align].
type Pose struct {
	DstFromSrc r3.Rigid
	Overlap    float64 // share of the source's surface within 0.2 mm of the destination
}

// Coarse proposes motions that lay src on dst, whatever the positions of the two: at most
// five, the largest overlap first; none where nothing fits. It is for scans that do not
// share a frame. Each proposal is refined to some 0.05 mm; [Align] does the rest.
//
// Reliefs of the surface about 300 places of src are compared with those about up to
// 3000 places of dst, first by what a rotation leaves unchanged, then turned to fit. Each
// good match is a motion; the motions are ranked by how much of src then lies near dst,
// the best refined, and ranked again by how much lies on it.
//
// Scans of teeth are needed, with relief: a smooth patch fits everywhere. The overlap may
// be as little as a fifth of src if it holds a tooth or more; which proposal is right is
// for the caller to judge: Overlap says how much fits, and a proposal that is a tooth off
// typically has half the overlap of the right one. Winding must be outward in both.
//
// Cost: 0.5 to 2 s for scans of a quadrant or an arch. Deterministic.
func Coarse(src, dst *mesh.Mesh) []Pose {
	from, to := thin(src, coarseEdge), thin(dst, coarseEdge)
	if len(from) == 0 || len(to) == 0 {
		return nil
	}
	h := hunt{tree: bvh.Build(dst), probes: every(from, probePoints), fine: every(from, finePoints)}
	motions := h.propose(reliefs(from, srcReliefs), reliefs(to, dstReliefs))
	motions = h.best(motions, refined, func(g r3.Rigid) float64 { return h.share(h.probes, g, probeReach) })
	for i := range motions {
		motions[i] = h.refine(motions[i])
	}
	var out []Pose
	for _, g := range h.best(motions, maxPoses, func(g r3.Rigid) float64 { return h.share(h.fine, g, lieWithin) }) {
		if s := h.share(h.fine, g, lieWithin); s >= leastShare {
			out = append(out, Pose{DstFromSrc: g, Overlap: s})
		}
	}
	return out
}

// reliefs maps the surroundings of at most n of the samples, evenly chosen from those
// with relief and without a gap.
func reliefs(s []sample, n int) []relief {
	g := newGrid(s, coarseEdge*3)
	normals := smoothNormals(s, g, normalRadius)
	step := max(len(s)/(2*n), 1)
	var out []relief
	for i := 0; i < len(s); i += step {
		if r := newRelief(s, g, s[i].p, normals[i]); float64(r.seen) >= leastShared*reliefCells {
			out = append(out, r)
		}
	}
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
	tree         *bvh.Tree
	probes, fine []sample
}

// match is a pair of reliefs that look alike.
type match struct {
	a, b, sectors int
	left          float64
}

// propose returns the motions of the best matches.
func (h *hunt) propose(src, dst []relief) []r3.Rigid {
	found := make([][]match, len(src))
	for i := range src {
		found[i] = likest(&src[i], dst)
		for k := range found[i] {
			found[i][k].a = i
		}
	}
	var all []match
	for _, f := range found {
		all = append(all, f...)
	}
	slices.SortStableFunc(all, func(x, y match) int { return cmp.Compare(x.left/src[x.a].strength, y.left/src[y.a].strength) })
	all = all[:min(len(all), tried)]
	out := make([]r3.Rigid, len(all))
	for i, m := range all {
		out[i] = src[m.a].onto(&dst[m.b], m.sectors)
	}
	return out
}

// likest returns the places of dst that look most like a.
func likest(a *relief, dst []relief) []match {
	order := make([]match, len(dst))
	for b := range dst {
		order[b] = match{b: b, left: float64(a.unlike(&dst[b]))}
	}
	byLeft := func(x, y match) int { return cmp.Compare(x.left, y.left) }
	slices.SortStableFunc(order, byLeft)
	var out []match
	for _, m := range order[:min(len(order), likeSignature)] {
		if s, left, ok := a.turnTo(&dst[m.b]); ok {
			out = append(out, match{b: m.b, sectors: s, left: left})
		}
	}
	slices.SortStableFunc(out, byLeft)
	return out[:min(len(out), likeRelief)]
}

// share returns the share of the samples that lie within reach of the destination, with
// like normals, each counting the less the farther it is.
func (h *hunt) share(s []sample, g r3.Rigid, reach float64) float64 {
	sum := 0.0
	for _, a := range s {
		n, ok := h.tree.Nearest(g.Point(a.p), reach)
		if ok && !h.tree.OnRim(n) && g.Dir(a.n).Dot(h.tree.Mesh.AreaVector(n.Face).UnitOr(r3.Vec{})) > likeNormal {
			sum += 1 - 0.5*n.D/reach
		}
	}
	return sum / float64(len(s))
}

// best returns the n motions of highest score that differ from each other.
func (h *hunt) best(motions []r3.Rigid, n int, score func(r3.Rigid) float64) []r3.Rigid {
	scores := make([]float64, len(motions))
	order := make([]int, len(motions))
	for i, g := range motions {
		scores[i], order[i] = score(g), i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(scores[b], scores[a]) })
	var out []r3.Rigid
	for _, i := range order {
		if len(out) == n {
			break
		}
		if !slices.ContainsFunc(out, func(g r3.Rigid) bool { return h.same(g, motions[i]) }) {
			out = append(out, motions[i])
		}
	}
	return out
}

// same reports whether two motions take the source to about the same place.
func (h *hunt) same(a, b r3.Rigid) bool {
	if a.After(b.Inverse()).Angle() > sameAngle {
		return false
	}
	p := h.probes[len(h.probes)/2].p
	return a.Point(p).Dist(b.Point(p)) < sameShift
}

// refine brings a motion that is about right to some 0.05 mm.
func (h *hunt) refine(g r3.Rigid) r3.Rigid {
	pts, nrm := make([]r3.Vec, len(h.fine)), make([]r3.Vec, len(h.fine))
	for i, a := range h.fine {
		pts[i], nrm[i] = a.p, a.n
	}
	for _, reach := range []float64{2, 0.8, 0.4} {
		r, err := Align(pts, nrm, h.tree, g, Options{Reach: reach, MaxIterations: 8, MinPairs: 20})
		if err != nil {
			return g
		}
		g = r.DstFromSrc
	}
	return g
}
