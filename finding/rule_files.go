package finding

import "selvage/limit"

// files raises what makes a file, mouth or tooth the wrong one.
func (j *judge) files() {
	for _, s := range j.f.Scans {
		d := draft{rest: wholeCase, scan: s.Role, tooth: s.Tooth, words: map[string]string{"file": s.File}}
		if s.Fault != "" {
			d.code, d.words["why"] = FileUnreadable, s.Fault
			j.raise(d)
			continue
		}
		if s.Mirrored == Yes {
			d.code = ScanMirrored
			j.raise(d)
		}
		if s.OtherJaw == Yes {
			d.code = WrongArch
			j.raise(d)
		}
		if s.Outdated == Yes {
			d.code, d.words["newer"] = ScanOutdated, s.Newer
			j.raise(d)
		}
	}
	for _, m := range j.f.Mouth {
		value, id := m.Tooth, limit.SameTooth
		if !value.Measured() {
			value, id = m.RMS, limit.SameMouth
		}
		row, call, level, ok := j.against("scans of one mouth", value, id, limit.Selector{}, wholeCase)
		if !ok || call == good {
			continue
		}
		variant := ""
		if call == TooClose {
			variant = "close"
		}
		j.raise(draft{
			code: OtherMouth, variant: variant, call: call, rest: wholeCase, scan: m.suspect(), value: value, row: row, level: level,
			words: map[string]string{"a": j.c.role(m.A), "b": j.c.role(m.B)},
		})
	}
	j.missingScans()
}

// missingScans raises scan-missing for the arches without which nothing can be
// measured. The absent measures that follow decide the verdict; this puts their
// reason first.
func (j *judge) missingScans() {
	if len(j.f.Scans) == 0 {
		return // facts without files, as in a rule's own tests
	}
	for _, role := range []Role{RoleWorking, RoleOpposing} {
		if j.has(role) {
			continue
		}
		j.raise(draft{code: ScanMissing, rest: wholeCase, scan: role, variant: string(role)})
		j.absent = append(j.absent, Absent{
			Restoration: wholeCase, Measure: string(role), Why: j.c.text("scan-missing."+string(role)+".spot", nil),
		})
	}
}

// has reports whether the case names a scan of a role, readable or not.
func (j *judge) has(role Role) bool {
	for _, s := range j.f.Scans {
		if s.Role == role {
			return true
		}
	}
	return false
}

// found raises that the prepared tooth is not there or is another one. Nothing is
// said of the tooth where the arch itself is the wrong one: a mirrored scan shows
// the wrong side, and that is already said.
func (j *judge) found(i int, r Restoration) {
	if j.broken[RoleWorking] {
		return
	}
	want := r.Prescription.Tooth
	d := draft{rest: i, tooth: want, scan: RoleWorking}
	switch {
	case r.Found.Sure && r.Found.Tooth.Valid() && r.Found.Tooth != want:
		d.code, d.words = ToothDiffers, map[string]string{"found": j.c.tooth(r.Found.Tooth)}
	case r.Found.Sure && r.Found.Answer == No:
		d.code, d.variant = ToothDiffers, "elsewhere"
	case r.Found.Answer == No:
		d.code = ToothNotFound
	default:
		return
	}
	j.raise(d)
}

// suspect returns the scan of the pair that is doubted. Nothing in the numbers says
// which is right; the working arch is what the tooth is measured on.
func (m Match) suspect() Role {
	if m.B == RoleWorking {
		return m.A
	}
	return m.B
}

// brokenRoles lists the roles whose file cannot be trusted after files ran.
func (j *judge) brokenRoles() map[Role]bool {
	broken := map[Role]bool{}
	for _, f := range j.out {
		if f.Action == CheckFiles && f.Restoration == wholeCase {
			broken[f.Scan] = true
		}
	}
	return broken
}

// wrongTooth reports whether restoration i was measured on the wrong tooth.
func (j *judge) wrongTooth(i int) bool {
	for _, f := range j.out {
		if f.Restoration == i && f.Action == CheckFiles {
			return true
		}
	}
	return false
}
