package wall

import (
	"math"

	"selvage/measure"
	"selvage/prep"
	"selvage/r3"
)

// resistance returns the least share, over all margin points as fulcrum, of the
// opposite quarter's wall that blocks the crown from rocking about that point:
//
//	ω = ẑ × e₀,  v(P) = ω × (P - F),  P resists where v·n < 0,
//
// e₀ the direction from the axis to the fulcrum F, n the wall's outward normal.
// Along one straight wall v·n is linear, so the share is exact per facet. On a
// symmetric frustum without a shelf it is 1 - (B/2)·sin 2T / H (trade.md §1.3, eq. 1).
// 0.5 is the half-wall limit.
//
// In place of hollows and gaps the wall counts as it stands round them (whole): a hollow
// is blocked out and the crown does not touch it, but the wall was not cut so.
func resistance(m *prep.Margin, facets, whole []prep.Facet) (measure.Value, float64) {
	seen := 0
	for i := range facets {
		if facets[i].OK {
			seen++
		}
	}
	if seen < len(facets)*3/4 {
		return measure.Not("too little of the wall is to be seen"), 0
	}
	least, ok := leastShare(m, facets, whole, 0)
	if !ok {
		return measure.Not("too little of the wall is to be seen"), 0
	}
	// How the share answers a taper that is off by its uncertainty: two more runs.
	const off = 0.5 * degree
	more, _ := leastShare(m, facets, whole, off)
	less, _ := leastShare(m, facets, whole, -off)
	u := math.Hypot(math.Abs(more.share-less.share)/2, endShare)
	return measure.Of(least.share, math.Hypot(u, filledShare*least.filled), measure.One), least.at
}

// filledShare is the part of a filled wall that may resist, or not, otherwise than the
// wall round it says.
const filledShare = 0.3

// endShare is what the share depends on where the wall is taken to begin and end: its
// rounded ends resist and do not resist by turns, and make up about a tenth of it. With
// 0.05 the stated uncertainty held the truth of phantoms in 88 of 100.
const endShare = 0.07

// hold is how much of the wall opposite a fulcrum resists, and how much of it was
// filled.
type hold struct{ share, at, filled float64 }

// leastShare runs over all fulcrums, every second degree.
func leastShare(m *prep.Margin, facets, whole []prep.Facet, tilt float64) (least hold, ok bool) {
	g := m.Fan.Prep.Frame()
	n := len(m.Points)
	least.share = math.Inf(1)
	for i := 0; i < n; i += 4 {
		f := g.Point(m.Points[i].At)
		s, c := math.Sincos(m.Points[i].Azimuth)
		w := r3.V(-s, c, 0) // ẑ × e₀
		var block, area, filled float64
		seen := 0
		for d := -n / 8; d <= n/8; d++ {
			k := (i + n/2 + d + n) % n
			fc := &whole[k]
			if !fc.OK {
				continue
			}
			seen++
			area += fc.Area
			block += fc.Area * blocked(fc, f, w, tilt)
			if *fc != facets[k] {
				filled += fc.Area
			}
		}
		if seen < n/8 || area == 0 { // half of a quarter
			continue
		}
		if q := block / area; q < least.share {
			least, ok = hold{q, m.Points[i].Azimuth, filled / area}, true
		}
	}
	return least, ok
}

// blocked returns the share of one facet's length on which the motion about f
// points into the tooth.
func blocked(fc *prep.Facet, f, w r3.Vec, tilt float64) float64 {
	n := fc.Normal
	if tilt != 0 {
		n = n.AddScaled(tilt, r3.V(0, 0, 1)).UnitOr(n)
	}
	lo := w.Cross(fc.Middle.Sub(fc.Half).Sub(f)).Dot(n)
	hi := w.Cross(fc.Middle.Add(fc.Half).Sub(f)).Dot(n)
	switch {
	case lo < 0 && hi < 0:
		return 1
	case lo >= 0 && hi >= 0:
		return 0
	case hi < 0:
		return hi / (hi - lo)
	default:
		return lo / (lo - hi)
	}
}

// HalfWallLimit returns the largest taper of one wall, radians, at which the upper
// half of the opposite wall still resists: ½·asin(H/B) (Parker; trade.md §1.3,
// derived there, from memory in the literature). ok is false where H > B: the
// criterion then sets no limit.
func HalfWallLimit(base, height float64) (taper float64, ok bool) {
	if height > base {
		return 0, false
	}
	return math.Asin(height/base) / 2, true
}

// AnyPointLimit returns the largest taper at which the top edge alone still
// resists: ½·asin(2H/B). ok is false where 2H > B.
func AnyPointLimit(base, height float64) (taper float64, ok bool) {
	if 2*height > base {
		return 0, false
	}
	return math.Asin(2*height/base) / 2, true
}

// ResistsAbove returns the height above the opposite margin from which a wall of
// taper t resists rotation about a fulcrum at horizontal distance d, whose level
// lies k below the opposite margin:
//
//	y = d·sin t·cos t - k·cos² t   (trade.md §1.3, eq. 2)
func ResistsAbove(d, k, t float64) float64 {
	s, c := math.Sincos(t)
	return d*s*c - k*c*c
}
