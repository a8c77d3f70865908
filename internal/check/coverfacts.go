package check

import (
	"math"
	"slices"

	"selvage/coverage"
	"selvage/finding"
	"selvage/measure"
	"selvage/r3"
	"selvage/surface"
	"selvage/tooth"
)

// regions translates the parts of the needed surface.
var regions = map[coverage.Part]finding.Region{
	coverage.PartPreparation: finding.RegionPreparation,
	coverage.PartBelowMargin: finding.RegionMargin,
	coverage.PartContact:     finding.RegionContact,
	coverage.PartNeighbour:   finding.RegionNeighbour,
	coverage.PartGum:         finding.RegionTissue,
	coverage.PartArch:        finding.RegionArch,
	coverage.PartOpposing:    finding.RegionOpposing,
	coverage.PartTerminal:    finding.RegionTerminal,
	coverage.PartTwin:        finding.RegionTwin,
}

// coverageFacts adds what is missing and what was looked at.
func (r *restoration) coverageFacts(f *finding.Restoration) {
	for _, g := range r.coverage.Gaps {
		if g.Kind == coverage.ArchTooShort {
			f.ShortOf = append(f.ShortOf, finding.ShortArch{Role: finding.Role(g.Role), Tooth: g.Tooth, Side: g.Surface})
			continue
		}
		if r.inDoubled(g.At) {
			continue
		}
		place := measure.Place{At: g.At, Normal: g.Normal, Scan: g.Role}
		f.Missing = append(f.Missing, finding.Patch{
			Region: regions[g.Part], Tooth: g.Tooth, Surface: g.Surface,
			Extent:   measure.Of(g.Extent, g.ExtentU, measure.MM).At(place),
			Area:     measure.Of(g.Area, g.ExtentU*g.Extent, measure.MM2),
			Approach: approach(g.Approach),
		})
	}
	for i, b := range r.sides() {
		if b.at.Present {
			f.Neighbours = append(f.Neighbours, r.neighbourFact(i, b))
		}
	}
}

func (r *restoration) contactLook(side tooth.Surface) finding.Look {
	for _, c := range r.coverage.Contacts {
		if c.Side == side && (c.Needed || slices.Contains(r.others, c.Tooth)) {
			return finding.Looked()
		}
	}
	why := r.coverageWhy
	if why == "" {
		why = "the expected contact area was not found"
	}
	return finding.NotLooked(why)
}

// marginSpacing is the spacing of the mesh along the line: the median over all of it,
// with the place of its coarsest stretch.
func (r *restoration) marginSpacing() measure.Value {
	s, ok := surface.SamplingAlong(r.prep.Mesh, r.margin.Curve())
	if !ok {
		return measure.Not("too few triangles lie at the margin")
	}
	// Edges of a mesh spread by about a quarter; the median of n of them is known to
	// 1.25 of that over the root of n.
	u := 2 * 1.25 * 0.25 * s.Median / math.Sqrt(float64(s.Edges))
	return measure.Of(s.Median, u, measure.MM).At(measure.Place{At: s.At, Normal: r.prep.Axis, Scan: r.prep.Scan})
}

// allSeen is the share of a place from which on all of it counts as seen.
const allSeen = 0.95

// approach translates how to hold the scanner; nil where it was not worked out.
func approach(a coverage.Approach) *finding.Approach {
	if a.Bar != "" {
		return &finding.Approach{Bar: finding.Bar(a.Bar)}
	}
	if a.Direction == (r3.Vec{}) {
		return nil
	}
	out := &finding.Approach{Direction: a.Direction.Array(), Tilt: a.Tilt, From: a.From}
	if a.Seen < allSeen {
		out.Seen = a.Seen
	}
	for _, t := range a.Then {
		out.Then = append(out.Then, finding.Approach{Direction: t.Direction.Array(), Tilt: t.Tilt, From: t.From})
	}
	return out
}
