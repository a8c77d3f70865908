package check

import (
	"math"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/measure"
	"selvage/r3"
	"selvage/tooth"
)

// measure writes a value down in the frame of the scan that its place names.
func (f frameSet) measure(v measure.Value) casefile.Measure {
	if p := v.Place; p != nil {
		role := finding.Role(p.Scan)
		v = v.At(measure.Place{At: f.point(role, p.At), Normal: f.dir(role, p.Normal), Scan: p.Scan})
	}
	return casefile.Of(v)
}

// finding writes a finding down.
func (f frameSet) finding(g finding.Finding) casefile.Finding {
	out := casefile.Finding{
		Code: g.Code, Action: g.Action, Call: g.Call, Surface: g.Surface, Scan: g.Scan,
		Text: g.Text, Advice: g.Advice, Source: g.Source, Missing: g.Missing,
	}
	if g.Tooth != 0 {
		out.Tooth = g.Tooth.String()
	}
	if g.Measured.Measured() {
		v, u := g.Measured.V, g.Measured.U
		out.Measured, out.U, out.Unit = &v, &u, unitName(g.Measured.Unit)
	}
	if g.HasLimit {
		l := g.Limit
		out.Limit = &l
	}
	if p := g.Place; p != nil {
		role := finding.Role(p.Scan)
		at := f.point(role, p.At).Array()
		out.At, out.Scan = &at, role
		if p.Normal.Norm2() > 0 {
			n := f.dir(role, p.Normal).Array()
			out.Normal = &n
		}
	}
	if a := g.Approach; a != nil {
		out.Approach = f.approach(out.Scan, *a)
	}
	return out
}

// approach writes down how to hold the scanner, in the frame of a scan.
func (f frameSet) approach(role finding.Role, a finding.Approach) *casefile.Approach {
	d := r3.V(a.Direction[0], a.Direction[1], a.Direction[2])
	out := &casefile.Approach{Direction: f.dir(role, d).Array(), TiltDeg: a.Tilt * 180 / math.Pi, From: a.From, Seen: a.Seen}
	for _, t := range a.Then {
		out.Then = append(out.Then, *f.approach(role, t))
	}
	return out
}

// unitName writes a unit as the report's field names do.
func unitName(u measure.Unit) string {
	switch u {
	case measure.MM2:
		return "mm2"
	case measure.MM3:
		return "mm3"
	case measure.Deg:
		return "deg"
	case measure.Micro:
		return "um"
	default:
		return string(u)
	}
}

// gap is the distance from the margin to a neighbour.
func (r *restoration) gap(f *finding.Restoration, side tooth.Surface) measure.Value {
	at := r.prepared.Mesially
	if side == tooth.Distal {
		at = r.prepared.Distally
	}
	if r.seen() && !at.Present {
		return measure.Not("there is no neighbour on this side")
	}
	for _, n := range f.Neighbours {
		if n.Side == side {
			return n.Gap
		}
	}
	return measure.Value{}
}
