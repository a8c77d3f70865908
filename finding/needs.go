package finding

import "selvage/measure"

// whyMarginOpen is the key of a reason that the rules give themselves.
const whyMarginOpen = "why.margin-open"

// need is one measure of the case or of a restoration that a stage needs.
type need struct {
	name   string // as in the report
	stages []Stage
	state  func(f Facts, r Restoration) Look
}

var (
	bothStages = []Stage{Preparation, Final}
	finalOnly  = []Stage{Final}
)

// caseNeeds are the measures of the whole case. The residual and the shift are
// needed where there is a bite record; many exports have none, the arches being
// posed already.
var caseNeeds = []need{
	{"penetration_max_mm", bothStages, func(f Facts, _ Restoration) Look { return made(f.Bite.Penetration) }},
	{"contacts", bothStages, func(f Facts, _ Restoration) Look { return made(f.Bite.Contacts) }},
	{"residual_um", bothStages, func(f Facts, _ Restoration) Look {
		return ifGiven(f.Bite.RecordGiven, made(f.Bite.Residual))
	}},
	{"shift_at_tooth_mm", bothStages, func(f Facts, _ Restoration) Look {
		return ifGiven(f.Bite.RecordGiven, made(f.Bite.Shift))
	}},
}

// crownNeeds are the measures of one prepared tooth, in the order in which a
// missing one is named. Reduction is needed where there is a scan from before;
// without one the clearance alone says whether there is room. Noise, roughness,
// colour, movement and the like only make notes and are not needed.
var crownNeeds = []need{
	{"missing_surface", bothStages, func(_ Facts, r Restoration) Look { return r.Coverage }},
	{"margin", finalOnly, func(_ Facts, r Restoration) Look {
		if r.Margin.Look.Done && !r.Margin.Closed {
			return NotLooked(whyMarginOpen)
		}
		return r.Margin.Look
	}},
	{"contact_areas", finalOnly, func(_ Facts, r Restoration) Look {
		for _, n := range r.Neighbours {
			if !n.Contact.Done {
				return n.Contact
			}
		}
		return Looked()
	}},
	{"insertion_axis", bothStages, func(_ Facts, r Restoration) Look { return r.AxisMeasured }},
	{"undercut_depth_max_mm", bothStages, func(_ Facts, r Restoration) Look { return made(r.Undercut.Depth) }},
	{"undercut_area_mm2", bothStages, func(_ Facts, r Restoration) Look { return made(r.Undercut.Area) }},
	{"path_overlap_mm", bothStages, func(_ Facts, r Restoration) Look {
		return ifGiven(len(r.Neighbours) > 0, made(r.Path.Overlap))
	}},
	{"clearance_patch_min_mm", bothStages, func(_ Facts, r Restoration) Look { return rooms(r.ClearanceLook, r.Clearance) }},
	{"reduction_occlusal_min_mm", bothStages, func(f Facts, r Restoration) Look {
		return ifGiven(f.hasBefore(), rooms(r.ReductionLook, r.Reduction))
	}},
	{"convergence_mean_deg", finalOnly, func(_ Facts, r Restoration) Look { return made(r.ConvergenceMean) }},
	{"wall_height_min_mm", finalOnly, func(_ Facts, r Restoration) Look { return made(r.WallHeight) }},
	{"height_to_base", finalOnly, func(_ Facts, r Restoration) Look { return made(r.HeightToBase) }},
	{"resistance", finalOnly, func(_ Facts, r Restoration) Look { return made(r.Resistance) }},
	{"finish_line", finalOnly, func(_ Facts, r Restoration) Look { return made(r.FinishLine.WidthMin) }},
}

// otherNeeds are the measures of a restoration that is no crown: this version
// looks only at what is missing.
var otherNeeds = []need{crownNeeds[0]}

// Needed returns the names of the measures that a stage needs for a crown, those
// of the whole case first.
func Needed(s Stage) []string {
	var out []string
	for _, list := range [][]need{caseNeeds, crownNeeds} {
		for _, n := range list {
			if n.at(s) {
				out = append(out, n.name)
			}
		}
	}
	return out
}

func (n need) at(s Stage) bool {
	for _, t := range n.stages {
		if t == s {
			return true
		}
	}
	return false
}

// made turns a value into a Look.
func made(v measure.Value) Look {
	if v.Measured() {
		return Looked()
	}
	return NotLooked(v.Why)
}

// rooms is the Look of a kind of room: looked for, and a patch in one zone at
// least.
func rooms(l Look, list []Room) Look {
	if !l.Done {
		return l
	}
	why := ""
	for _, r := range list {
		if r.Patch.Measured() {
			return Looked()
		}
		why = r.Patch.Why
	}
	return NotLooked(why)
}

func ifGiven(given bool, l Look) Look {
	if !given {
		return Looked()
	}
	return l
}

func (f Facts) hasBefore() bool {
	for _, s := range f.Scans {
		if s.Role == RoleBefore && s.Fault == "" {
			return true
		}
	}
	return false
}

// needs records what the stage needs and the facts lack.
func (j *judge) needs() {
	for _, n := range caseNeeds {
		j.want(n, wholeCase, Restoration{})
	}
	for i, r := range j.f.Restorations {
		list := crownNeeds
		if k := r.Prescription.Kind; k != "" && k != Crown {
			list = otherNeeds
			j.absent = append(j.absent, Absent{Restoration: i, Measure: "measures", Why: j.c.text("why.kind", map[string]string{"kind": k})})
		}
		for _, n := range list {
			j.want(n, i, r)
		}
	}
	if len(j.f.Restorations) == 0 {
		j.absent = append(j.absent, Absent{Restoration: wholeCase, Measure: "restorations", Why: j.c.text("why.no-restoration", nil)})
	}
}

func (j *judge) want(n need, i int, r Restoration) {
	if !n.at(j.f.Stage) {
		return
	}
	l := n.state(j.f, r)
	if l.Done {
		return
	}
	switch l.Why {
	case whyMarginOpen:
		l.Why = j.c.text(whyMarginOpen, nil)
	case "":
		l.Why = j.c.text("why.not-measured", map[string]string{"name": j.c.measure(n.name)})
	}
	j.absent = append(j.absent, Absent{Restoration: i, Measure: n.name, Why: l.Why})
}
