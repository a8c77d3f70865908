package check

import (
	"selvage/finding"
	"selvage/measure"
	"selvage/occlusion"
	"selvage/tooth"
)

// biteFacts says how the arches meet, as far as it was measured.
func (r *restoration) biteFacts(c *scanSet) finding.Bite {
	why := ""
	switch {
	case c.opposing == nil:
		why = "no scan of the opposing arch"
	case !r.seen():
		why = r.prepared.Why
	}
	f := finding.Bite{RecordGiven: c.bite != nil}
	b := &r.bite
	f.Residual = orWhy(b.Residual, why)
	f.Shift = orWhy(b.Shift, why)
	f.Penetration = orWhy(b.PenetrationMax, why)
	f.Area = orWhy(b.PenetrationArea, why)
	f.Contacts = orWhy(b.ContactCount, why)
	if why != "" {
		return f
	}
	for _, n := range b.Beside {
		f.Support = append(f.Support, finding.Support{Tooth: r.beside(n.Neighbour.Side), Gap: micrometres(n.Gap)})
	}
	if !r.prepared.Distally.Present {
		f.Unsupported = finding.No
		if !b.Behind.Held {
			f.Unsupported = finding.Yes
		}
	}
	return f
}

func (r *restoration) beside(s occlusion.Side) tooth.Number {
	if s == occlusion.Mesial {
		return r.prepared.Mesially.Number
	}
	return r.prepared.Distally.Number
}

func micrometres(v measure.Value) measure.Value {
	if !v.Measured() {
		return v
	}
	m := measure.Of(v.V*1000, v.U*1000, measure.Micro)
	m.Place = v.Place
	return m
}
