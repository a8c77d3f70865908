package phantom

import (
	"math"

	"selvage/phantom/mouth"
	"selvage/phantom/solid"
	"selvage/r3"
)

// station is a tooth with the gum about it. Crown, gum and sulcus are made from the
// field of the tooth's sides, which is asked once per point.
type station struct {
	tooth  *mouth.Placed
	crown  func(p, q r3.Vec, side solid.Sample) solid.Sample // p canonical; q, side and result in the tooth's frame; nil for none
	collar *mouth.Collar                                     // nil for none
	sulcus func(q r3.Vec, side solid.Sample) solid.Sample    // nil where it is closed
}

// scene is a jaw: the union of crowns, soft where two touch, and of the gum: collars
// and knobs melted together, less the opened sulcus about the prepared root.
type scene struct {
	stations []station
	knobs    []mouth.Knob
	rim      func(p r3.Vec) float64 // positive where nothing is scanned; nil for no rim
}

const (
	// slope bounds how fast any field here changes over distance; see solid.Contour.
	slope = 1.35
	// web is the width over which two touching teeth run together, mm: a scanner
	// bridges the cleft beside a contact where it is under web/2 wide.
	web = 0.5
	// melt is the width over which collars flow into each other, mm.
	melt = 1.6
	// crestRound is the radius of the free edge of the gum at an open sulcus, mm.
	crestRound = 0.18
	// stationReach is the distance, across the arch's plane, from the middle of a crown
	// beyond which neither it nor its gum is nearest to anything, mm.
	stationReach = 14.0
)

// At returns the field.
func (s *scene) At(p r3.Vec) solid.Sample {
	crown, gum := nowhere(), nowhere()
	var carve solid.Sample
	carved := false
	for i := range s.stations {
		t := &s.stations[i]
		q := t.tooth.Local(p)
		side := t.tooth.Form.Body.Field(q)
		if t.crown != nil {
			crown = soften(crown, t.tooth.Turn(t.crown(p, q, side)), web)
		}
		if t.collar != nil {
			gum = soften(gum, t.tooth.Turn(t.collar.Over(q, side)), melt)
		}
		if t.sulcus != nil {
			carve, carved = t.tooth.Turn(t.sulcus(q, side)), true
		}
	}
	for i := range s.knobs {
		gum = soften(gum, s.knobs[i].Field(p), melt)
	}
	if carved && !math.IsInf(gum.D, 1) {
		gum = solid.Subtract(gum, carve, crestRound)
	}
	if gum.D < crown.D {
		return gum
	}
	return crown
}

func nowhere() solid.Sample { return solid.Sample{D: math.Inf(1)} }

func soften(a, b solid.Sample, k float64) solid.Sample {
	if math.IsInf(a.D, 1) {
		return b
	}
	return solid.Melt(a, b, k)
}

// asked holds what each station of a scene says at one point.
type asked struct {
	station      station
	crown, gum   solid.Sample
	carve        solid.Sample
	knob         *mouth.Knob
	hasC, hasG   bool
	hasS, isKnob bool
}

// Near implements [solid.Scene]: it leaves out what cannot be nearest anywhere in
// the ball.
func (s *scene) Near(c r3.Vec, radius float64) (solid.Scene, bool) {
	if s.rim != nil && s.rim(c) > 2*radius {
		return nil, false
	}
	var room [36]asked
	all := s.ask(room[:0], c, radius)
	crown, gum := nowhere(), nowhere()
	for i := range all {
		if all[i].hasC {
			crown = soften(crown, all[i].crown, web)
		}
		if all[i].hasG {
			gum = soften(gum, all[i].gum, melt)
		}
	}
	gumAlone := gum.D
	carved := false
	for i := range all {
		// The sulcus matters unless the whole ball lies far outside of it.
		if all[i].hasS && -all[i].carve.D >= gum.D-2*crestRound-2*slope*radius {
			gum, carved = solid.Subtract(gum, all[i].carve, crestRound), true
		}
	}
	middle := crown
	if gum.D < crown.D {
		middle = gum
	}
	if !(math.Abs(middle.D) <= slope*radius) {
		return nil, false
	}
	span := 2 * slope * radius
	out := &scene{rim: s.rim, stations: make([]station, 0, 2)}
	for i := range all {
		a := &all[i]
		keepC := a.hasC && a.crown.D <= min(crown.D, middle.D)+web+span
		keepG := a.hasG && gum.D <= middle.D+span && a.gum.D <= gumAlone+melt+span
		if a.isKnob {
			if keepG {
				out.knobs = append(out.knobs, *a.knob)
			}
			continue
		}
		keepS := a.hasS && carved && gum.D <= middle.D+span
		if !keepC && !keepG && !keepS {
			continue
		}
		t := a.station
		if !keepC {
			t.crown = nil
		}
		if !keepG {
			t.collar = nil
		}
		if !keepS {
			t.sulcus = nil
		}
		out.stations = append(out.stations, t)
	}
	return out, true
}

// ask asks the stations and knobs that lie within reach of the ball.
func (s *scene) ask(all []asked, c r3.Vec, radius float64) []asked {
	for i := range s.stations {
		t := s.stations[i]
		d := c.Sub(t.tooth.Center())
		if reach := stationReach + radius; d.X*d.X+d.Y*d.Y > reach*reach {
			continue
		}
		q := t.tooth.Local(c)
		side := t.tooth.Form.Body.Field(q)
		a := asked{station: t, hasC: t.crown != nil, hasG: t.collar != nil, hasS: t.sulcus != nil}
		if a.hasC {
			a.crown = t.tooth.Turn(t.crown(c, q, side))
		}
		if a.hasG {
			a.gum = t.tooth.Turn(t.collar.Over(q, side))
		}
		if a.hasS {
			a.carve = t.tooth.Turn(t.sulcus(q, side))
		}
		all = append(all, a)
	}
	for i := range s.knobs {
		all = append(all, asked{knob: &s.knobs[i], isKnob: true, hasG: true, gum: s.knobs[i].Field(c)})
	}
	return all
}

// gumDepth returns how far p lies below the crests of the gum near by, the nearer
// the tooth the more it counts; +Inf far from all.
func (s *scene) gumDepth(p r3.Vec) float64 {
	sum, weight := 0.0, 0.0
	for i := range s.stations {
		t := &s.stations[i]
		if t.collar == nil {
			continue
		}
		d := p.Sub(t.tooth.Center())
		n := d.X*d.X + d.Y*d.Y
		if n > stationReach*stationReach {
			continue
		}
		w := 1 / (n*n*n + 1)
		sum += w * t.collar.Depth(p)
		weight += w
	}
	if weight == 0 {
		return math.Inf(1)
	}
	return sum / weight
}

// tissue is the same scene without crowns.
func (s *scene) tissue() *scene {
	out := &scene{knobs: s.knobs, stations: append([]station(nil), s.stations...)}
	for i := range out.stations {
		out.stations[i].crown = nil
	}
	return out
}
