package check

import (
	"math"

	"selvage/coverage"
	"selvage/dentition"
	"selvage/finding"
	"selvage/internal/num"
	"selvage/measure"
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
}

// coverageFacts adds what is missing and what was looked at.
func (r *restoration) coverageFacts(f *finding.Restoration) {
	for _, g := range r.coverage.Gaps {
		if g.Kind == coverage.ArchTooShort {
			f.ShortOf = append(f.ShortOf, finding.ShortArch{Role: finding.Role(g.Role), Tooth: g.Tooth, Side: g.Surface})
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
	for _, n := range []struct {
		side tooth.Surface
		at   dentition.Neighbour
	}{{tooth.Mesial, r.prepared.Mesially}, {tooth.Distal, r.prepared.Distally}} {
		if !n.at.Present {
			continue
		}
		f.Neighbours = append(f.Neighbours, finding.Neighbour{
			Tooth: n.at.Number, Side: n.side, Contact: r.contactLook(n.side),
		})
	}
}

func (r *restoration) contactLook(side tooth.Surface) finding.Look {
	for _, c := range r.coverage.Contacts {
		if c.Side == side && c.Needed {
			return finding.Looked()
		}
	}
	why := r.coverageWhy
	if why == "" {
		why = "the expected contact area was not found"
	}
	return finding.NotLooked(why)
}

// marginReach is how far from the line the mesh's edges count (trade.md §4.3).
const marginReach = 0.5

// marginSpacing is the median edge of the mesh within marginReach of the line.
func (r *restoration) marginSpacing() measure.Value {
	p := r.prep.Mesh
	curve := r.margin.Curve()
	centre := r.prep.Frame()
	n := len(curve)
	near := make([]bool, len(p.Pos))
	for i, q := range p.Pos {
		v := centre.Point(q)
		k := int(math.Round(math.Atan2(v.Y, v.X)/(2*math.Pi)*float64(n))) + n
		for d := -8; d <= 8 && !near[i]; d += 4 {
			near[i] = q.Dist2(curve[(k+d+n)%n]) < marginReach*marginReach
		}
	}
	var edges []float64
	for _, t := range p.Tri {
		for i := range t {
			a, b := t[i], t[(i+1)%3]
			if near[a] && near[b] && a < b {
				edges = append(edges, p.Pos[a].Dist(p.Pos[b]))
			}
		}
	}
	if len(edges) < 100 {
		return measure.Not("too few triangles lie at the margin")
	}
	place := measure.Place{At: r.margin.Points[0].At, Scan: r.prep.Scan}
	return measure.Of(num.Median(edges), 1.25*2*spread(edges)/math.Sqrt(float64(len(edges))), measure.MM).At(place)
}

func spread(v []float64) float64 {
	_, mad := num.MAD(v)
	return mad / 0.6745
}
