package check

import (
	"math"
	"slices"
	"sync"

	"selvage/bvh"
	"selvage/coverage"
	"selvage/finding"
	"selvage/measure"
	"selvage/mesh"
	"selvage/prep"
	"selvage/prep/wall"
	"selvage/r3"
	"selvage/surface"
)

// leastDoubled is the smallest area, mm², of a doubled or invented surface that is
// listed; the limit table judges.
const leastDoubled = 0.3

// looks examines the surface of the scan about the preparation: whether passes of
// the scanner left it twice, and whether a program closed holes in it.
func (r *restoration) looks(c *scanSet) {
	if r.margin == nil { // also where a line was found that cannot be a preparation's
		return
	}
	p := r.prep
	if r.source != c.working {
		q := prep.CutOut(c.working.Mesh, c.working.Topo, p.Center, p.Axis, p.Mesial, p.Buccal)
		r.doubled(c.working, q)
		r.invented(c, c.working, q)
	}
	r.doubled(r.source, p)
	r.invented(c, r.source, p)
	r.edge = r.edge.Without(r.onSheet)
	r.holdWithoutSheets()
}

// holdWithoutSheets measures how the wall holds anew where a program closed a hole in it
// with a surface that is not the tooth: there the wall counts as not seen and is taken from
// what stands round it. Taper is that of the wall round the tooth and leaves such a place
// out by itself; the least share of a wall that holds is the one that it makes up.
func (r *restoration) holdWithoutSheets() {
	if !r.axis.OK || len(r.source.Invented) == 0 {
		return
	}
	m := *r.margin
	m.Walls = slices.Clone(m.Walls)
	hidden := false
	for i := range m.Walls {
		w := &m.Walls[i]
		const places = 4
		for k := 0; k <= places && w.Found(); k++ {
			if near(r.source.Invented, m.Fan.Scan(i, w.From+(w.To-w.From)*k/places), besideSheet) {
				*w, hidden = prep.WallLine{LineAngle: -1}, true
			}
		}
	}
	if hidden {
		r.wall.Resistance, r.wall.ResistanceAt = wall.Hold(&m)
	}
}

// invented looks for closed holes on a cut-out and adds them to the scan's facts.
func (r *restoration) invented(c *scanSet, s *Scan, p *prep.Preparation) {
	for _, d := range surface.Filled(p.Mesh, p.Topo, p.Normals, leastDoubled) {
		at := measure.Place{At: d.At, Normal: d.Normal, Scan: string(s.Role)}
		extent := 2 * math.Sqrt(d.Area/math.Pi)
		hold := coverage.FindApproach(r.coverageInput(c), []r3.Vec{d.At}, []r3.Vec{d.Normal})
		s.Invented = append(s.Invented, finding.Patch{
			Region: r.regionOf(d.At), Tooth: r.number, Surface: r.surface(d.At),
			Extent:   measure.Of(extent, 2*s.Spacing, measure.MM).At(at),
			Area:     measure.Of(d.Area, 2*s.Spacing*extent, measure.MM2).At(at),
			Approach: approach(hold),
		})
	}
}

// castOn asks for the first face of a cut-out that a ray meets, by the index of the whole
// scan. Only where a face that was left out comes first, which is rare, the cut-out gets
// an index of its own.
func castOn(scan *bvh.Tree, p *prep.Preparation) surface.RayCast {
	own := sync.OnceValue(func() *bvh.Tree { return bvh.BuildOn(p.Topo) })
	return func(o, d r3.Vec, tmin, tmax float64) (mesh.FaceID, float64, bool) {
		h, ok := scan.Ray(o, d, tmin, tmax)
		if !ok {
			return mesh.None, 0, false
		}
		if f, kept := slices.BinarySearch(p.FaceOf, h.Face); kept {
			return mesh.FaceID(f), h.T, true
		}
		h, ok = own().Ray(o, d, tmin, tmax)
		return h.Face, h.T, ok
	}
}

// doubled looks for two sheets on a cut-out and adds them to the scan's facts.
func (r *restoration) doubled(s *Scan, p *prep.Preparation) {
	for _, d := range surface.Doubled(p.Mesh, p.Topo, p.Normals, castOn(s.Tree, p), leastDoubled) {
		at := measure.Place{At: d.At, Normal: d.Normal, Scan: string(s.Role)}
		extent := math.Sqrt(d.Area)
		s.Doubled = append(s.Doubled, finding.Patch{
			Region: r.regionOf(d.At), Tooth: r.number, Surface: r.surface(d.At),
			Extent: measure.Of(extent, s.Spacing, measure.MM).At(at),
			Area:   measure.Of(d.Area, 2*s.Spacing*extent, measure.MM2).At(at),
		})
	}
}

// besideDoubled is how far beyond a doubled patch, mm, its own border still makes
// gaps: a second sheet ends in an open edge that is no hole in the tooth.
const besideDoubled = 1.0

// inDoubled reports whether a place lies in or beside a doubled patch of the scan
// that the preparation was measured on. What is wanting there is wanting because of
// the second sheet, and scanning it again mends both.
func (r *restoration) inDoubled(at r3.Vec) bool {
	return r.source != nil && near(r.source.Doubled, at, besideDoubled)
}

// besideSheet is how far beyond the disc of its area, mm, an invented surface still counts
// for what was there: it is no disc, and it joins the tooth over a row of triangles. More
// would take sound wall with it: half a millimetre left too little of a low molar's to tell
// how it holds, and made no edge surer.
const besideSheet = 0.2

// onSheet reports whether a place lies on or beside a sheet that is not the tooth, of the
// scan that the preparation was measured on.
func (r *restoration) onSheet(at r3.Vec) bool {
	return r.source != nil && near(r.source.Invented, at, besideSheet) || r.inDoubled(at)
}

// near reports whether a place lies on one of the patches, each taken for a disc of its
// area, or no more than border, mm, beside it. A patch without a place is nowhere.
func near(patches []finding.Patch, at r3.Vec, border float64) bool {
	return slices.ContainsFunc(patches, func(p finding.Patch) bool {
		return p.Area.Place != nil && p.Area.Place.At.Dist(at) < math.Sqrt(p.Area.V/math.Pi)+border
	})
}

// sheetOnWall says why no undercut can be told, or nothing: where a program closed a hole in
// the wall, or the scanner left it twice, the sheet stands inside the wall above it or out
// of it, by as much as half a millimetre.
func (r *restoration) sheetOnWall() string {
	if r.source == nil || r.margin == nil {
		return ""
	}
	for _, p := range r.source.Invented {
		if r.onPreparation(p) {
			return "a program closed a hole in the preparation with a surface that is not the tooth"
		}
	}
	for _, p := range r.source.Doubled {
		if r.onPreparation(p) {
			return "part of the preparation was recorded twice"
		}
	}
	return ""
}

// onPreparation reports whether the middle of a patch lies over the margin's outline.
func (r *restoration) onPreparation(p finding.Patch) bool {
	if p.Area.Place == nil {
		return false
	}
	g := r.prep.Frame()
	q := g.Point(p.Area.Place.At)
	n := len(r.margin.Points)
	k := (int(math.Round(math.Atan2(q.Y, q.X)/(2*math.Pi)*float64(n))) + n) % n
	e := g.Point(r.margin.Points[k].At)
	return math.Hypot(q.X, q.Y) < math.Hypot(e.X, e.Y) && q.Z > e.Z
}

// besideMargin is how far from the margin, mm, a place counts to it.
const besideMargin = 0.5

// regionOf tells the preparation, its margin and the gum about it apart.
func (r *restoration) regionOf(at r3.Vec) finding.Region {
	g := r.prep.Frame()
	v := g.Point(at)
	n := len(r.margin.Points)
	k := int(math.Round(math.Atan2(v.Y, v.X) / (2 * math.Pi) * float64(n)))
	m := g.Point(r.margin.Points[((k%n)+n)%n].At)
	switch d := math.Hypot(v.X, v.Y) - math.Hypot(m.X, m.Y); {
	case v.Sub(m).Norm() < besideMargin:
		return finding.RegionMargin
	case d < 0 && v.Z > m.Z-besideMargin:
		return finding.RegionPreparation
	case v.Z > m.Z+2: // above the papilla: a neighbour
		return finding.RegionNeighbour
	default:
		return finding.RegionTissue
	}
}

// Two versions of one cut: what differs, and over how much of the preparation.
const (
	recutLeast = 0.15 // mm: under any adjustment with a bur, over what two scans of one day differ by
	recutArea  = 5.0  // mm²
	recutShare = 0.25 // of what both show
	recutClear = 4.0  // times the area that differs the other way: scans that do not fit differ both ways
	recutReach = 1.5  // mm
	recutAlike = 0.7  // cosine of the normals, 45°: more, and they are of different walls
	overLine   = 0.3  // mm above the margin, clear of what fluid and gum do there
)

// outdated holds a scan of the prepared tooth against the working scan of the same tooth
// and returns the one that shows it before the last cut, or nil: a bur only takes off, so
// the one that lies outside is the older. It notes there which one is newer.
func outdated(p *prep.Preparation, m *prep.Margin, alone, working *Scan) *Scan {
	g := p.Frame()
	n := len(m.Points)
	off := make([]float64, len(p.Mesh.Pos))
	for i, q := range p.Mesh.Pos {
		off[i] = math.NaN()
		v := g.Point(q)
		k := int(math.Round(math.Atan2(v.Y, v.X)/(2*math.Pi)*float64(n))) + n
		edge := g.Point(m.Points[k%n].At)
		if v.Z < edge.Z+overLine || math.Hypot(v.X, v.Y) > math.Hypot(edge.X, edge.Y) {
			continue
		}
		near, ok := working.Tree.Nearest(q, recutReach)
		if !ok {
			continue
		}
		if to := working.Mesh.AreaVector(near.Face).UnitOr(r3.Vec{}); to.Dot(p.Normals[i]) > recutAlike {
			off[i] = q.Sub(near.Point).Dot(to)
		}
	}
	var all, outside, inside float64
	for f, t := range p.Mesh.Tri {
		d := (off[t[0]] + off[t[1]] + off[t[2]]) / 3
		if math.IsNaN(d) {
			continue
		}
		a := p.Mesh.AreaVector(mesh.FaceID(f)).Norm()
		all += a
		switch {
		case d > recutLeast:
			outside += a
		case d < -recutLeast:
			inside += a
		}
	}
	more, less := max(outside, inside), min(outside, inside)
	switch {
	case more < recutArea || more < recutShare*all || more < recutClear*less:
		return nil
	case outside > inside:
		alone.Newer = working
		return alone
	}
	working.Newer = alone
	return working
}
