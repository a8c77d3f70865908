package finding

import (
	"slices"

	"selvage/limit"
)

// bite judges how the arches meet, before anything that rests on it. If it is
// doubtful, no clearance is judged (methods §9).
func (j *judge) bite() {
	if j.broken[RoleWorking] || j.broken[RoleOpposing] {
		return
	}
	before := len(j.out)
	if !j.broken[RoleBite] {
		j.biteDiffers()
	}
	j.bitePenetrates()
	j.biteOpen()
	for _, f := range j.out[before:] {
		j.shaky = j.shaky || f.step == stepRests
	}
	if j.f.Bite.Unsupported == Yes {
		j.raise(draft{code: BiteUnsupported, rest: wholeCase, scan: RoleWorking})
	}
}

// biteDiffers compares the record with the pose that the files carry: the shift at
// the prepared tooth, which is what a clearance feels, or the residual.
func (j *judge) biteDiffers() {
	b := j.f.Bite
	shiftRow, shift, shiftLevel, _ := j.against("shift_at_tooth_mm", b.Shift, limit.BiteShift, limit.Selector{}, wholeCase)
	resRow, res, resLevel, _ := j.against("residual_um", b.Residual, limit.BiteResidual, limit.Selector{}, wholeCase)
	d := draft{code: BiteDiffers, rest: wholeCase, scan: RoleBite, spot: "bite"}
	switch {
	case either(shift, res) == good:
		return
	case weight(shift) >= weight(res):
		d.call, d.value, d.row, d.level = shift, b.Shift, shiftRow, shiftLevel
	default:
		d.call, d.value, d.row, d.level, d.variant = res, b.Residual, resRow, resLevel, "residual"
	}
	j.raise(d)
}

func (j *judge) bitePenetrates() {
	v := j.f.Bite.Penetration
	row, call, level, ok := j.against("penetration_max_mm", v, limit.BitePenetration, limit.Selector{}, wholeCase)
	if ok && call != good {
		j.raise(draft{code: BitePenetrates, call: call, rest: wholeCase, scan: RoleOpposing, value: v, row: row, level: level, spot: "bite"})
	}
}

// biteOpen judges whether the neighbours of the prepared teeth meet their
// opponents. Not every sound tooth touches, so one open neighbour beside one that
// touches is only a note, unless it is known to have touched before. Another tooth that
// is known to have touched and stands open now says the same.
func (j *judge) biteOpen() {
	var worst, close draft
	var calls []Call
	held := false
	for _, s := range j.f.Bite.Support {
		row, call, level, ok := j.against("gap of a neighbour", s.Gap, limit.BiteGap, limit.Selector{}, wholeCase)
		if !ok || s.Held == No {
			continue // a tooth that did not hold shim stock before may stay open
		}
		calls = append(calls, call)
		d := draft{
			code: BiteOpen, rest: wholeCase, scan: RoleOpposing, value: s.Gap, row: row, level: level,
			tooth: s.Tooth, spot: "bite", words: map[string]string{"neighbour": j.c.tooth(s.Tooth)},
		}
		known := s.Held == Yes && call == Proven
		if worst.code == "" || known && !held || known == held && s.Gap.V > worst.value.V {
			worst = d
		}
		if weight(call) < weight(Proven) && (close.code == "" || s.Gap.V < close.value.V) {
			close = d
		}
		held = held || known
	}
	for _, s := range j.f.Bite.Tried {
		row, call, level, ok := j.against("gap of a tried tooth", s.Gap, limit.BiteGap, limit.Selector{}, wholeCase)
		if !ok || s.Held != Yes || call != Proven || held && s.Gap.V <= worst.value.V {
			continue
		}
		held = true
		worst = draft{
			code: BiteOpen, rest: wholeCase, scan: RoleOpposing, value: s.Gap, row: row, level: level,
			tooth: s.Tooth, spot: "bite", words: map[string]string{"neighbour": j.c.tooth(s.Tooth)},
		}
	}
	switch {
	case len(calls) == 0 && !held:
		if c := j.f.Bite.Contacts; c.Measured() && c.V == 0 {
			j.raise(draft{code: BiteOpen, variant: "nowhere", rest: wholeCase, scan: RoleOpposing, spot: "bite"})
		}
		return
	case held:
		worst.call, worst.variant = Proven, "held"
	default:
		call := openCall(calls)
		if call == TooClose && close.code != "" {
			worst = close // the words are about the neighbour that cannot be told
		}
		worst.call = call
		if weight(worst.call) > weight(Advised) && worst.tooth.Front() && j.meetsElsewhere() {
			worst.call = Advised
		}
	}
	if worst.call != good {
		j.raise(worst)
	}
}

// meetsElsewhere reports whether the arches hold each other beside the open front:
// front teeth often stay apart when the back teeth close, so two contacts elsewhere
// make an open front neighbour a note (common practice; no published share found).
func (j *judge) meetsElsewhere() bool {
	const enough = 2
	c := j.f.Bite.Contacts
	return c.Measured() && c.V >= enough
}

// openCall joins the calls on the neighbours: the bite is as open as the neighbour
// that is least so; if one of several is proven open and another is not, that is
// worth a note.
func openCall(calls []Call) Call {
	all := Proven
	for _, c := range calls {
		all = both(all, c)
	}
	if weight(all) < weight(Advised) && slices.Contains(calls, Proven) {
		return Advised
	}
	return all
}
