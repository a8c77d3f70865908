package reduction

import (
	"math"
	"slices"

	"selvage/bvh"
	"selvage/internal/num"
	"selvage/measure"
	"selvage/mesh"
	"selvage/r3"
	"selvage/register"
)

// Crown is the surface of one tooth that was not prepared: points of the working scan
// with their outward normals.
type Crown struct{ Pts, Normals []r3.Vec }

// Sameness says how well two scans of one arch agree on teeth that were not touched.
type Sameness struct {
	// RMS is the RMS distance, mm, of all crowns' points from the other scan: what
	// [S115] gives of whole arches, 0.05 to 0.18 in one mouth a year apart and 0.72 to
	// 2.28 in different mouths.
	RMS measure.Value
	// Tooth is the same of the typical tooth: the median over the teeth of the RMS of
	// the nearer four fifths of its points. A filling, a chipped or a moved tooth, what
	// one scan alone shows beside a gap and gum that was pushed aside do not count in it,
	// and every tooth of another mouth does. Of a normal spread the nearer four fifths
	// have 0.62 of the RMS of all.
	Tooth measure.Value
}

const (
	// samePart is the share of a crown's points that count: with its side towards the
	// neighbour hidden in one scan a fifth is left out.
	samePart = 0.8
	// crownLeast is the least number of points of a crown that can be judged.
	crownLeast = 40
	// sameLeast is the least number of crowns: of two one may have changed.
	sameLeast = 2
	// sameU is the expanded uncertainty of the typical tooth's distance, mm: the scans'
	// bend over the row and their noise.
	sameU = 0.02
)

// Same compares the crowns of a working scan with another scan of the same arch, laid
// on each other by beforeFromWorking as a start. The crowns alone are registered anew,
// since gum and the prepared tooth have changed; where they do not hold the scans
// against each other the start stays.
func Same(crowns []Crown, before *bvh.Tree, beforeFromWorking r3.Rigid) Sameness {
	var pts, nrm []r3.Vec
	for _, c := range crowns {
		pts, nrm = append(pts, c.Pts...), append(nrm, c.Normals...)
	}
	g := beforeFromWorking
	for _, reach := range []float64{2, 0.5} {
		if a, err := register.Align(pts, nrm, before, g, register.Options{Reach: reach}); err == nil {
			g = a.DstFromSrc
		}
	}
	var all, typical []float64
	for _, c := range crowns {
		d := distances(c, before, g)
		if len(d) < crownLeast {
			continue
		}
		all = append(all, d...)
		slices.Sort(d)
		typical = append(typical, num.RMS(d[:int(float64(len(d))*samePart)]))
	}
	if len(typical) < sameLeast {
		why := measure.Not("the two scans share fewer than two teeth that were not prepared")
		return Sameness{RMS: why, Tooth: why}
	}
	slices.Sort(typical)
	mid := typical[len(typical)/2]
	if len(typical)%2 == 0 {
		mid = (mid + typical[len(typical)/2-1]) / 2
	}
	rms := num.RMS(all)
	// Teeth are what is sampled: their own spread is that of the figure. MAD is of one
	// standard deviation times 0.67, so that this is k = 1.4 at least for so few.
	_, mad := num.MAD(typical)
	u := math.Hypot(sameU, mad/math.Sqrt(float64(len(typical))))
	return Sameness{
		RMS:   measure.Of(rms, math.Hypot(sameU, rms/math.Sqrt(2*float64(len(typical)))), measure.MM),
		Tooth: measure.Of(mid, u, measure.MM),
	}
}

// distances returns how far the points of a crown lie from a scan, mouthReach where
// farther. What is nearest to an open edge, or to a surface that looks the other way, is
// not shown by the other scan and left out.
func distances(c Crown, t *bvh.Tree, g r3.Rigid) []float64 {
	moved := make([]r3.Vec, len(c.Pts))
	for i, p := range c.Pts {
		moved[i] = g.Point(p)
	}
	var d []float64
	for i, n := range t.NearestAll(moved, mouthReach) {
		switch {
		case n.Face == mesh.None:
			d = append(d, mouthReach)
		case !t.OnRim(n) && t.Mesh.AreaVector(n.Face).Dot(g.Dir(c.Normals[i])) > 0:
			d = append(d, n.D)
		}
	}
	return d
}
