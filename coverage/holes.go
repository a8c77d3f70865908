package coverage

import (
	"fmt"
	"math"
	"sort"

	"selvage/r3"
	"selvage/tooth"
)

// Limits of what is listed, mm.
const (
	idleLeast = 1.0 // a hole that does not matter is worth a word from this size on
	needLeast = 0.5 // one that matters, from this: the table's limits are larger
	sameSpot  = 2.0 // two gaps nearer than this are one
	// marginReach is how far up the stump a hole at the margin reaches and is still
	// the margin's: a shelf and the rounding above it.
	marginReach = 1.5
)

// holes sorts the boundary loops of the witnesses into gaps and idle holes.
func (r *room) holes(contact []Gap) (gaps []Gap, idle []Hole) {
	for _, s := range r.witness {
		for _, l := range loops(s) {
			if l.loose {
				if l.rim || l.extent > idleLeast {
					idle = append(idle, Hole{Role: s.Role, At: l.middle, Extent: l.extent, Why: "a loose fragment"})
				}
				continue
			}
			if l.rim {
				gaps = append(gaps, r.rimGaps(&l)...)
				continue
			}
			g, h, matters := r.sortHole(&l)
			switch {
			case matters && !near(contact, g.At):
				gaps = append(gaps, g)
			case !matters && l.extent >= idleLeast:
				idle = append(idle, h)
			}
		}
	}
	sort.SliceStable(idle, func(i, j int) bool { return idle[i].Extent > idle[j].Extent })
	return merge(gaps), idle
}

// near reports whether a gap of the list lies at p.
func near(gaps []Gap, p r3.Vec) bool {
	for _, g := range gaps {
		if g.At.Dist(p) < max(sameSpot, g.Extent) {
			return true
		}
	}
	return false
}

// merge drops gaps that lie where one of a heavier part, or a larger one of the
// same part, lies: to scan that place again shows both.
func merge(gaps []Gap) []Gap {
	sort.SliceStable(gaps, func(i, j int) bool {
		if a, b := gaps[i].Part.weight(), gaps[j].Part.weight(); a != b {
			return a > b
		}
		return gaps[i].Extent > gaps[j].Extent
	})
	var out []Gap
	for _, g := range gaps {
		known := false
		for _, o := range out {
			known = known || o.At.Dist(g.At) < sameSpot
		}
		if !known {
			out = append(out, g)
		}
	}
	return out
}

// sortHole judges one hole.
func (r *room) sortHole(l *loop) (g Gap, h Hole, matters bool) {
	h = Hole{Role: l.surface.Role, At: l.middle, Extent: l.extent}
	for _, o := range r.witness {
		if l.coveredBy(o) {
			h.Why = fmt.Sprintf("the %s scan shows it", o.Role)
			return g, h, false
		}
	}
	part, n, in := r.partOf(append(l.samples(), l.pts...))
	if part == "" {
		h.Why = r.elsewhere(l.middle)
		return g, h, false
	}
	extent := min(l.extent, widest(in))
	if extent < needLeast {
		h.Why = "too small to matter"
		return g, h, false
	}
	g = r.gap(part, n, in, l.normal, extent)
	g.ExtentU = l.extentU()
	g.Role, g.Area = l.surface.Role, l.area
	g.Form, g.Outline = AsHole, l.pts
	return g, h, true
}

// partOf returns the heaviest part in which any of the points lies, its tooth, and
// the points in it. A hole at the margin is the margin's unless it reaches far up
// the stump.
func (r *room) partOf(pts []r3.Vec) (part Part, n tooth.Number, in []r3.Vec) {
	by := map[Part][]r3.Vec{} // looked up by name, never walked
	up := 0.0
	for _, p := range pts {
		q, m := r.zone(p)
		if q == "" {
			continue
		}
		by[q] = append(by[q], p)
		if q.weight() > part.weight() {
			part, n = q, m
		}
		if x := r.frame.Point(p); q == PartPreparation {
			up = max(up, r.inside(x), x.Z-r.marginHeight(x))
		}
	}
	if part == PartPreparation && len(by[PartBelowMargin]) > 0 && up < marginReach {
		part = PartBelowMargin
	}
	return part, n, by[part]
}

// gap describes missing surface through its points.
func (r *room) gap(part Part, n tooth.Number, pts []r3.Vec, normal r3.Vec, extent float64) Gap {
	var mid r3.Vec
	for _, p := range pts {
		mid = mid.Add(p)
	}
	mid = mid.Scale(1 / float64(len(pts)))
	g := Gap{
		Kind: SurfaceMissing, Part: part, Tooth: n, Role: r.in.Working.Role, At: mid, Normal: normal,
		Extent: extent, Surface: r.side(r.frame.Point(mid)),
	}
	if q := r.frame.Point(mid); part == PartPreparation && math.Hypot(q.X, q.Y) < r.in.Prepared.Radius/3 {
		g.Surface = tooth.Occlusal
	}
	g.Approach = r.approach(pts, repeat(normal, len(pts)))
	g.Why = fmt.Sprintf("%.1f mm of the %s is not in the scan", extent, part.words(n))
	return g
}

// words names a part in a sentence.
func (p Part) words(n tooth.Number) string {
	switch p {
	case PartPreparation:
		return "prepared surface"
	case PartBelowMargin:
		return "root just below the margin"
	case PartNeighbour:
		return fmt.Sprintf("neighbour %v beside the gap", n)
	case PartGum:
		return "gum beside the tooth"
	case PartTerminal:
		return "gum behind the last tooth"
	case PartTwin:
		return fmt.Sprintf("tooth %v, which the crown is made to look like,", n)
	}
	return string(p)
}

// elsewhere says where a hole lies that does not matter.
func (r *room) elsewhere(p r3.Vec) string {
	a := r.in.Arch
	if len(a.Ridge) == 0 {
		return "away from the prepared tooth"
	}
	k, low := 0, math.Inf(1)
	for i, q := range a.Ridge {
		if d := p.Sub(q).Reject(a.Occlusal).Norm2(); d < low {
			k, low = i, d
		}
	}
	v := p.Sub(a.Ridge[k])
	in := v.Dot(a.Lingual[k])
	const row = 5.5 // mm: half a molar's breadth
	switch {
	case math.Abs(in) < row && v.Dot(a.Occlusal) > -crownDepth-4:
		return "on a tooth that the crown does not need"
	case in > 0 && r.in.Number.Jaw() == tooth.Upper:
		return "in the palate or on the gum behind the teeth"
	case in > 0:
		return "in the floor of the mouth or on the gum behind the teeth"
	}
	return "in the cheek or on the gum before the teeth"
}

// rimGaps returns the pieces of an outer rim that cut into needed surface. A
// piece that another witness carries on is none.
func (r *room) rimGaps(l *loop) []Gap {
	n := len(l.pts)
	parts := make([]Part, n)
	teeth := make([]tooth.Number, n)
	start := -1
	for i, p := range l.pts {
		parts[i], teeth[i] = r.zone(p)
		if parts[i] != "" && r.carriedOn(l, p) {
			parts[i] = ""
		}
		if parts[i] == "" {
			start = i
		}
	}
	var out []Gap
	var run []r3.Vec
	flush := func(part Part, m tooth.Number) {
		if extent := widest(run); len(run) > 1 && extent > needLeast {
			g := r.gap(part, m, run, r.outwards(run), extent)
			g.Role, g.ExtentU, g.Form, g.Outline = l.surface.Role, l.extentU(), AsRim, run
			out = append(out, g)
		}
		run = nil
	}
	for k := 1; k <= n; k++ { // from the first place outside round to it
		i := (start + k) % n
		if start < 0 {
			i = k - 1
		}
		if len(run) > 0 {
			if prev := (i + n - 1) % n; parts[i] != parts[prev] || teeth[i] != teeth[prev] {
				flush(parts[prev], teeth[prev])
			}
		}
		if parts[i] != "" {
			run = append(run, l.pts[i])
		}
	}
	if len(run) > 0 {
		last := (start + n) % n
		if start < 0 {
			last = n - 1
		}
		flush(parts[(last+n)%n], teeth[(last+n)%n])
	}
	return out
}

// carriedOn reports whether another witness, or another piece of the same one, shows
// the surface at a point of a rim.
func (r *room) carriedOn(l *loop, p r3.Vec) bool {
	for _, o := range r.witness {
		if o != l.surface {
			if _, ok := o.Tree.Nearest(p, 2*coverLeast); ok {
				return true
			}
			continue
		}
		for _, f := range o.Tree.InSphere(nil, p, 2*coverLeast) {
			if l.labels[f] != l.piece {
				return true
			}
		}
	}
	return false
}

// outwards returns the direction away from the tooth and up, in which surface
// that a rim cuts off would face: halfway between the two.
func (r *room) outwards(pts []r3.Vec) r3.Vec {
	var mid r3.Vec
	for _, p := range pts {
		mid = mid.Add(p)
	}
	q := r.frame.Point(mid.Scale(1 / float64(len(pts))))
	d := r3.V(q.X, q.Y, 0).UnitOr(r3.V(0, 0, 1))
	return r.back.Dir(d.Add(r3.V(0, 0, 1)).UnitOr(r3.V(0, 0, 1)))
}
