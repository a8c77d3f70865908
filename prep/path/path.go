// Package path asks whether a crown can travel down the insertion axis between the
// neighbouring teeth: the outline of the margin is swept along the axis, and what
// of a neighbour stands inside it is in the way.
package path

import (
	"math"
	"slices"

	"selvage/measure"
	"selvage/mesh"
	"selvage/prep"
	"selvage/r3"
)

// Result says how far the nearest neighbour reaches into the swept outline.
type Result struct {
	Overlap measure.Value // mm across the axis: positive in the way, negative the free width
	Mesial  bool          // which neighbour it is
	Tilt    float64       // radians by which the axis would have to lean away from it; 0 when free
	Away    r3.Vec        // the axis so tilted, scan frame; zero when free
}

// Bounds of the search, in mm and radians.
const (
	// overPapilla is how far above the margin hard neighbours begin to count: below
	// lies the papilla, which yields.
	overPapilla = 1.5
	upTo        = 10.0
	sideways    = 55 * math.Pi / 180 // from mesial or distal
	facing      = 0.2                // least share of a normal that points to the axis
	beyondWall  = 0.15               // mm outside the preparation's own wall
	fewest      = 30                 // vertices of a neighbour
	rank        = 5                  // the fifth-nearest vertex decides: four may be specks
)

// Measure looks at the surface of the scan that faces the axis beside the
// preparation. mesial and distal say which neighbours are there.
//
// The overlap at azimuth φ is ρ_margin(φ) - ρ, times the cosine of the outline's
// obliquity; the greatest counts after the four greatest, which may be specks, are
// left out. Cost: O(vertices of the cut-out).
func Measure(m *prep.Margin, mesial, distal bool) Result {
	if !mesial && !distal {
		return Result{Overlap: measure.Not("there is no neighbour beside the preparation")}
	}
	var best Result
	found := false
	for _, side := range []bool{true, false} {
		if (side && !mesial) || (!side && !distal) {
			continue
		}
		r, ok := against(m, side)
		if ok && (!found || r.Overlap.V > best.Overlap.V) {
			best, found = r, true
		}
	}
	if !found {
		return Result{Overlap: measure.Not("the sides of the neighbours that face the preparation are not to be seen")}
	}
	return best
}

// reach is one vertex of a neighbour.
type reach struct {
	overlap float64
	height  float64 // above the margin
	vertex  mesh.VertexID
}

func against(m *prep.Margin, mesial bool) (Result, bool) {
	p := m.Fan.Prep
	g := p.Frame()
	n := len(m.Points)
	normals := p.Normals
	var seen []reach
	for i, q := range p.Mesh.Pos {
		v := g.Point(q)
		phi := math.Atan2(v.Y, v.X)
		off := math.Abs(phi)
		if !mesial {
			off = math.Pi - off
		}
		if off > sideways {
			continue
		}
		k := ((int(math.Round(phi/(2*math.Pi)*float64(n))) % n) + n) % n
		edge := g.Point(m.Points[k].At)
		h := v.Z - edge.Z
		if h < overPapilla || h > upTo {
			continue
		}
		rho := math.Hypot(v.X, v.Y)
		s, c := math.Sincos(phi)
		if g.Dir(normals[i]).Dot(r3.V(c, s, 0)) > -facing || inPreparation(m, k, rho, v.Z) {
			continue
		}
		seen = append(seen, reach{(math.Hypot(edge.X, edge.Y) - rho) * math.Cos(m.Tilt(k)), h, mesh.VertexID(i)})
	}
	if len(seen) < fewest {
		return Result{}, false
	}
	slices.SortFunc(seen, func(a, b reach) int {
		switch {
		case a.overlap > b.overlap:
			return -1
		case a.overlap < b.overlap:
			return 1
		default:
			return int(a.vertex - b.vertex)
		}
	})
	w := seen[rank-1]
	u := 2*math.Hypot(p.Noise, 0.02) + p.Spacing/4
	r := Result{Mesial: mesial}
	r.Overlap = measure.Of(w.overlap, u, measure.MM).At(measure.Place{
		At: p.Mesh.Pos[w.vertex], Normal: normals[w.vertex], Scan: p.Scan,
	})
	if w.overlap > 0 {
		r.Tilt = math.Atan2(w.overlap, w.height)
		away := p.Mesial.Neg()
		if !mesial {
			away = p.Mesial
		}
		r.Away = p.Axis.AddScaled(math.Tan(r.Tilt), away.Reject(p.Axis).UnitOr(away)).UnitOr(p.Axis)
	}
	return r, true
}

// inPreparation reports whether a point at distance rho and height z belongs to the
// preparation itself: not clearly outside its wall, or above no wall at all and
// over its top.
func inPreparation(m *prep.Margin, k int, rho, z float64) bool {
	w := &m.Walls[k]
	if !w.Found() {
		return rho < 3 // no wall to tell by: what is this near the axis is the tooth
	}
	p := &m.Fan.Profiles[k]
	top := p.Z[w.From]
	if z > top {
		return rho < w.At(top)
	}
	return rho < w.At(z)+beyondWall
}
