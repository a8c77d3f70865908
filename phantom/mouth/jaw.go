package mouth

import (
	"math"

	"selvage/phantom/solid"
	"selvage/r3"
)

// Station is a tooth with the gum about it. Crown, gum and sulcus are made from the
// field of the tooth's sides, which is asked once per point.
type Station struct {
	Tooth  *Placed
	Crown  func(p, q r3.Vec, side solid.Sample) solid.Sample // p canonical; q, side and result in the tooth's frame; nil for none
	Collar *Collar                                           // nil for none
	Sulcus func(q r3.Vec, side solid.Sample) solid.Sample    // nil where it is closed
}

// Jaw is one jaw as a scene: the union of crowns, soft where two touch, and of the gum: collars
// and knobs melted together, less the opened sulcus about the prepared root.
type Jaw struct {
	Stations []Station
	Knobs    []Knob
	Rim      func(p r3.Vec) float64 // positive where nothing is scanned; nil for no rim
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
func (s *Jaw) At(p r3.Vec) solid.Sample {
	crown, gum := nowhere(), nowhere()
	var carve solid.Sample
	carved := false
	for i := range s.Stations {
		t := &s.Stations[i]
		q := t.Tooth.Local(p)
		side := t.Tooth.Form.Body.Field(q)
		if t.Crown != nil {
			crown = soften(crown, t.Tooth.Turn(t.Crown(p, q, side)), web)
		}
		if t.Collar != nil {
			gum = soften(gum, t.Tooth.Turn(t.Collar.Over(q, side)), melt)
		}
		if t.Sulcus != nil {
			if c := t.Tooth.Turn(t.Sulcus(q, side)); !carved || c.D < carve.D {
				carve, carved = c, true
			}
		}
	}
	for i := range s.Knobs {
		gum = soften(gum, s.Knobs[i].Field(p), melt)
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
	station      Station
	crown, gum   solid.Sample
	carve        solid.Sample
	knob         *Knob
	hasC, hasG   bool
	hasS, isKnob bool
}

// Near implements [solid.Scene]: it leaves out what cannot be nearest anywhere in
// the ball.
func (s *Jaw) Near(c r3.Vec, radius float64) (solid.Scene, bool) {
	if s.Rim != nil && s.Rim(c) > 2*radius {
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
	out := &Jaw{Rim: s.Rim, Stations: make([]Station, 0, 2)}
	for i := range all {
		a := &all[i]
		keepC := a.hasC && a.crown.D <= min(crown.D, middle.D)+web+span
		keepG := a.hasG && gum.D <= middle.D+span && a.gum.D <= gumAlone+melt+span
		if a.isKnob {
			if keepG {
				out.Knobs = append(out.Knobs, *a.knob)
			}
			continue
		}
		keepS := a.hasS && carved && gum.D <= middle.D+span
		if !keepC && !keepG && !keepS {
			continue
		}
		t := a.station
		if !keepC {
			t.Crown = nil
		}
		if !keepG {
			t.Collar = nil
		}
		if !keepS {
			t.Sulcus = nil
		}
		out.Stations = append(out.Stations, t)
	}
	return out, true
}

// ask asks the stations and knobs that lie within reach of the ball.
func (s *Jaw) ask(all []asked, c r3.Vec, radius float64) []asked {
	for i := range s.Stations {
		t := s.Stations[i]
		d := c.Sub(t.Tooth.Center())
		if reach := stationReach + radius; d.X*d.X+d.Y*d.Y > reach*reach {
			continue
		}
		q := t.Tooth.Local(c)
		side := t.Tooth.Form.Body.Field(q)
		a := asked{station: t, hasC: t.Crown != nil, hasG: t.Collar != nil, hasS: t.Sulcus != nil}
		if a.hasC {
			a.crown = t.Tooth.Turn(t.Crown(c, q, side))
		}
		if a.hasG {
			a.gum = t.Tooth.Turn(t.Collar.Over(q, side))
		}
		if a.hasS {
			a.carve = t.Tooth.Turn(t.Sulcus(q, side))
		}
		all = append(all, a)
	}
	for i := range s.Knobs {
		all = append(all, asked{knob: &s.Knobs[i], isKnob: true, hasG: true, gum: s.Knobs[i].Field(c)})
	}
	return all
}

// GumDepth returns how far p lies below the crests of the gum near by, the nearer
// the tooth the more it counts; +Inf far from all.
func (s *Jaw) GumDepth(p r3.Vec) float64 {
	sum, weight := 0.0, 0.0
	for i := range s.Stations {
		t := &s.Stations[i]
		if t.Collar == nil {
			continue
		}
		d := p.Sub(t.Tooth.Center())
		n := d.X*d.X + d.Y*d.Y
		if n > stationReach*stationReach {
			continue
		}
		w := 1 / (n*n*n + 1)
		sum += w * t.Collar.Depth(p)
		weight += w
	}
	if weight == 0 {
		return math.Inf(1)
	}
	return sum / weight
}

// Tissue returns the same jaw without crowns.
func (s *Jaw) Tissue() *Jaw {
	out := &Jaw{Knobs: s.Knobs, Stations: append([]Station(nil), s.Stations...)}
	for i := range out.Stations {
		out.Stations[i].Crown = nil
	}
	return out
}

// ToothAt returns the tooth whose surface is nearest to p, nil where the gum's is
// nearer: the member of the union with the least value there.
func (s *Jaw) ToothAt(p r3.Vec) *Placed {
	var best *Placed
	crown, gum := nowhere(), nowhere()
	var carve solid.Sample
	carved := false
	for i := range s.Stations {
		t := &s.Stations[i]
		q := t.Tooth.Local(p)
		side := t.Tooth.Form.Body.Field(q)
		if t.Crown != nil {
			if c := t.Crown(p, q, side); c.D < crown.D {
				crown, best = c, t.Tooth
			}
		}
		if t.Collar != nil {
			gum = soften(gum, t.Tooth.Turn(t.Collar.Over(q, side)), melt)
		}
		if t.Sulcus != nil {
			c := t.Tooth.Turn(t.Sulcus(q, side))
			if !carved || c.D < carve.D {
				carve, carved = c, true
			}
		}
	}
	for i := range s.Knobs {
		gum = soften(gum, s.Knobs[i].Field(p), melt)
	}
	if carved && !math.IsInf(gum.D, 1) {
		gum = solid.Subtract(gum, carve, crestRound)
	}
	if gum.D < crown.D {
		return nil
	}
	return best
}
