package check

import (
	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/measure"
	"selvage/occlusion"
	"selvage/tooth"
)

// biteFacts says how the arches meet, as far as it was measured.
func (r *restoration) biteFacts(c *scanSet, order casefile.Case) finding.Bite {
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
		t := r.beside(n.Neighbour.Side)
		f.Support = append(f.Support, finding.Support{Tooth: t, Gap: micrometres(n.Gap), Held: shim(order, t)})
	}
	for i, n := range b.Others {
		t := r.tried[i]
		f.Tried = append(f.Tried, finding.Support{Tooth: t, Gap: micrometres(n.Gap), Held: shim(order, t)})
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

// shim says whether tooth n is known to have held shim stock.
func shim(order casefile.Case, n tooth.Number) finding.Answer {
	switch held, ok := order.Shim(n); {
	case !ok:
		return finding.Unknown
	case held:
		return finding.Yes
	default:
		return finding.No
	}
}

// biteReport writes the bite down: that of the first restoration.
func biteReport(order casefile.Case, rs []*restoration, b finding.Bite, fr frameSet) casefile.BiteReport {
	out := casefile.BiteReport{
		ResidualUM: fr.measure(b.Residual), ShiftMM: fr.measure(b.Shift),
		PenetrationMM: fr.measure(b.Penetration), Contacts: fr.measure(b.Contacts),
	}
	if len(rs) == 0 {
		return out
	}
	r := rs[0]
	optional := func(v measure.Value) *casefile.Measure {
		if !v.Measured() && v.Why == "" {
			return nil
		}
		m := fr.measure(v)
		return &m
	}
	out.LiftMM, out.TiltDeg, out.BeforeGapMM = optional(r.bite.Lift), optional(r.bite.Tilt), optional(r.bite.BeforeGap)
	met := func(t tooth.Number, n occlusion.Beside) casefile.BiteTooth {
		held := map[finding.Answer]string{finding.Yes: "yes", finding.No: "no"}[shim(order, t)]
		return casefile.BiteTooth{Tooth: t.String(), GapUM: fr.measure(micrometres(n.Gap)), Contacts: n.Contacts, Held: held}
	}
	for _, n := range r.bite.Beside {
		out.Beside = append(out.Beside, met(r.beside(n.Neighbour.Side), n))
	}
	for i, n := range r.bite.Others {
		out.Tried = append(out.Tried, met(r.tried[i], n))
	}
	return out
}
