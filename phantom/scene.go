package phantom

import (
	"math"

	"selvage/phantom/mouth"
	"selvage/phantom/solid"
	"selvage/r3"
)

// part is one solid of a scene with a ball that holds all of it that matters.
type part struct {
	field  solid.Field
	center r3.Vec
	radius float64
}

// scene is the union of parts, soft where two teeth touch, and of the gum.
type scene struct {
	parts []part
	gum   *gum
	rim   func(p r3.Vec) float64 // positive where nothing is scanned; nil for no rim
}

// slope bounds how fast any field here changes over distance; see solid.Contour.
const slope = 1.35

// web is the width over which two touching teeth run together, mm: a scanner
// bridges the cleft beside a contact.
const web = 0.22

// At returns the field.
func (s *scene) At(p r3.Vec) solid.Sample {
	best := solid.Sample{D: math.Inf(1)}
	for i := range s.parts {
		if v := s.parts[i].field(p); i == 0 {
			best = v
		} else {
			best = solid.Melt(best, v, web)
		}
	}
	if s.gum != nil {
		if v := s.gum.Field(p); v.D < best.D {
			best = v
		}
	}
	return best
}

// Near implements [solid.Scene]: it leaves out the parts that cannot be the
// nearest anywhere in the ball.
func (s *scene) Near(c r3.Vec, radius float64) (solid.Scene, bool) {
	if s.rim != nil && s.rim(c) > 2*radius {
		return nil, false
	}
	best := solid.Sample{D: math.Inf(1)}
	var room [32]float64
	values := room[:0]
	for i := range s.parts {
		p := &s.parts[i]
		// Far away the distance to the part's ball stands for its field.
		if far := c.Dist(p.center) - p.radius; far > radius+farEnough {
			values = append(values, far)
			best.D = min(best.D, far)
			continue
		}
		v := p.field(c)
		values = append(values, v.D)
		if math.IsInf(best.D, 1) {
			best = v
		} else {
			best = solid.Melt(best, v, web)
		}
	}
	least := best.D
	var tissue *gum
	gumValue := math.Inf(1)
	if s.gum != nil {
		tissue, gumValue = s.gum.near(c, radius)
		least = min(least, gumValue)
	}
	if math.Abs(least) > slope*radius {
		return nil, false
	}
	out := &scene{rim: s.rim, parts: make([]part, 0, 2)}
	for i := range s.parts {
		if values[i] <= best.D+web+2*slope*radius && values[i] <= least+web+2*slope*radius {
			out.parts = append(out.parts, s.parts[i])
		}
	}
	if tissue != nil && gumValue <= least+2*slope*radius {
		out.gum = tissue
	}
	return out, true
}

// farEnough is the distance from a part's ball beyond which its field is not
// asked, mm; there a field may be any positive number.
const farEnough = 1.0

func toothPart(t *mouth.Placed, field solid.Field) part {
	return part{field: field, center: t.Center(), radius: 13}
}

// gum is the tissue of a jaw: collars and knobs melted together, less the opened
// sulcus around the prepared root.
type gum struct {
	collars []mouth.Collar
	knobs   []mouth.Knob
	sulcus  func(p r3.Vec) solid.Sample // nil where all is closed
}

const (
	melt       = 1.6  // mm over which collars flow into each other
	crestRound = 0.18 // radius of the free edge of the gum at an open sulcus, mm
	gumReach   = 14.0 // mm from a crown's middle beyond which its collar is not asked
)

// near returns the gum with the collars that matter in the ball, and its value in
// the middle; nil and +Inf where none matter.
func (g *gum) near(c r3.Vec, radius float64) (*gum, float64) {
	least := math.Inf(1)
	var room [32]solid.Sample
	values := room[:0]
	ask := func(s solid.Sample) {
		values = append(values, s)
		least = min(least, s.D)
	}
	for i := range g.collars {
		d := c.Sub(g.collars[i].Tooth.Center())
		d.Z = 0
		if d.Norm() < gumReach+radius {
			ask(g.collars[i].Field(c))
		} else {
			ask(solid.Sample{D: math.Inf(1)})
		}
	}
	for i := range g.knobs {
		ask(g.knobs[i].Field(c))
	}
	out := &gum{sulcus: g.sulcus}
	sum := solid.Sample{D: math.Inf(1)}
	for i, v := range values {
		if v.D > least+melt+2*slope*radius || math.IsInf(v.D, 1) {
			continue
		}
		if i < len(g.collars) {
			out.collars = append(out.collars, g.collars[i])
		} else {
			out.knobs = append(out.knobs, g.knobs[i-len(g.collars)])
		}
		sum = soften(sum, v)
	}
	if math.IsInf(sum.D, 1) {
		return nil, sum.D
	}
	return out, out.carve(c, sum, &out.sulcus, radius)
}

// carve returns the value at c of the gum less the sulcus, and drops the sulcus
// where it cannot matter in the ball.
func (g *gum) carve(c r3.Vec, s solid.Sample, sulcus *func(p r3.Vec) solid.Sample, radius float64) float64 {
	if g.sulcus == nil {
		return s.D
	}
	v := g.sulcus(c)
	if -v.D < s.D-2*crestRound-2*slope*radius {
		*sulcus = nil
		return s.D
	}
	return solid.Subtract(s, v, crestRound).D
}

func soften(a, b solid.Sample) solid.Sample {
	if math.IsInf(a.D, 1) {
		return b
	}
	return solid.Melt(a, b, melt)
}

// Field returns the field of the gum.
func (g *gum) Field(p r3.Vec) solid.Sample {
	s := solid.Sample{D: math.Inf(1)}
	for i := range g.collars {
		s = soften(s, g.collars[i].Field(p))
	}
	for i := range g.knobs {
		s = soften(s, g.knobs[i].Field(p))
	}
	if g.sulcus != nil {
		s = solid.Subtract(s, g.sulcus(p), crestRound)
	}
	return s
}

// depth returns how far p lies below the crests of the gum near by, the nearer
// the tooth the more it counts.
func (g *gum) depth(p r3.Vec) float64 {
	sum, weight := 0.0, 0.0
	for i := range g.collars {
		d := p.Sub(g.collars[i].Tooth.Center())
		n := d.X*d.X + d.Y*d.Y
		if n > gumReach*gumReach {
			continue
		}
		w := 1 / (n*n*n + 1)
		sum += w * g.collars[i].Depth(p)
		weight += w
	}
	if weight == 0 {
		return math.Inf(1)
	}
	return sum / weight
}
