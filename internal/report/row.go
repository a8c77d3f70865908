package report

import (
	"slices"
	"strconv"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/limit"
	"selvage/measure"
	"selvage/tooth"
)

// row is one line of the table of measures.
type row struct {
	Name   string
	Value  string
	Place  string
	Held   string // what the practice's table asks; empty: nothing
	Source string // where that comes from
	Note   int    // number of the source in the list below the table; 0: none
	Not    string // why it was not measured; then Value is empty
}

// group is a part of the table.
type group struct {
	Name string
	Rows []row
}

// tabler collects rows.
type tabler struct {
	w    *Words
	held held
	out  []group
}

func (t *tabler) group(key string) { t.out = append(t.out, group{Name: t.w.T("group." + key)}) }

func (t *tabler) add(r row) {
	r.Value, r.Held, r.Not = t.w.num(r.Value), t.w.num(r.Held), t.w.reason(r.Not)
	g := &t.out[len(t.out)-1]
	g.Rows = append(g.Rows, r)
}

func (t *tabler) measure(key string, m casefile.Measure, unit measure.Unit) {
	r := row{Name: t.w.T("m." + key)}
	if m.Measured() {
		r.Value, r.Place = show(m, unit), t.w.place(m)
		r.Held, r.Source = t.held.of(key)
	} else {
		r.Not = inert(m.Not)
	}
	t.add(r)
}

// measures lists everything measured on restoration r; the bite, which concerns
// the whole case, goes with the first.
func (in Input) measures(r int) []group {
	w := in.words()
	rr := in.Report.Restorations[r]
	n, _ := tooth.Parse(tooth.FDI, rr.Tooth.FDI)
	t := &tabler{w: w, held: in.heldFor(r, n)}
	m := rr.Measures
	t.group("room")
	t.measure("clearance_patch_min_mm", m.ClearancePatch, measure.MM)
	t.measure("clearance_functional_min_mm", m.ClearanceFunc, measure.MM)
	t.measure("clearance_min_mm", m.ClearanceMin, measure.MM)
	t.measure("clearance_along_axis_min_mm", m.ClearanceAxial, measure.MM)
	t.measure("clearance_in_movement_min_mm", m.ClearanceMoving, measure.MM)
	t.measure("reduction_occlusal_min_mm", m.ReductionOccl, measure.MM)
	t.measure("reduction_axial_min_mm", m.ReductionAxial, measure.MM)
	if r == 0 {
		b := in.Report.Bite
		t.measure("residual_um", b.ResidualUM, measure.Micro)
		t.measure("shift_at_tooth_mm", b.ShiftMM, measure.MM)
		t.measure("penetration_max_mm", b.PenetrationMM, measure.MM)
		t.measure("contacts", b.Contacts, measure.One)
	}
	if in.Report.Stage != finding.Preparation || m.Margin.Not == "" {
		t.group("margin")
		t.margin(m)
		t.measure("margin_roughness_um", m.MarginRough, measure.Micro)
		t.measure("root_seen_min_mm", m.RootBelow, measure.MM)
		t.measure("sulcus_width_min_mm", m.SulcusMin, measure.MM)
		t.measure("margin_spacing_mm", m.SpacingAtMargin, measure.MM)
		t.measure("gap_mesial_min_mm", m.GapMesial, measure.MM)
		t.measure("gap_distal_min_mm", m.GapDistal, measure.MM)
	}
	t.group("shape")
	t.axis(m.InsertionAxis)
	t.measure("convergence_mesiodistal_deg", m.ConvergenceMD, measure.Deg)
	t.measure("convergence_buccolingual_deg", m.ConvergenceBL, measure.Deg)
	t.measure("convergence_mean_deg", m.ConvergenceMean, measure.Deg)
	t.measure("wall_height_min_mm", m.WallHeightMin, measure.MM)
	t.measure("height_to_base", m.HeightToBase, measure.One)
	t.measure("resistance", m.Resistance, measure.One)
	t.measure("undercut_depth_max_mm", m.UndercutDepth, measure.MM)
	t.measure("undercut_area_mm2", m.UndercutArea, measure.MM2)
	t.measure("path_overlap_mm", m.PathOverlap, measure.MM)
	t.measure("edge_radius_min_mm", m.SharpEdge, measure.MM)
	t.measure("tool_thins_max_mm", m.ToolThins, measure.MM)
	t.measure("tool_removes_mm3", m.ToolRemoves, measure.MM3)
	return t.out
}

func (t *tabler) axis(a casefile.AxisMeasure) {
	r := row{Name: t.w.T("m.insertion_axis"), Not: inert(a.Not)}
	if a.Not == "" {
		r.Value = vector(a.Value) + " ± " + finding.ShowPlain(measure.Of(max(a.UDeg, finest(measure.Deg)), 0, measure.Deg))
		r.Place = t.w.T("role." + string(a.Scan))
	}
	t.add(r)
}

// byHand says what a person did to the line, where one did.
func (t *tabler) byHand(m casefile.Margin) {
	if m.ByHandMM > 0 {
		t.add(row{Name: t.w.T("m.margin_by_hand"), Value: finding.Show(measure.Of(m.ByHandMM, m.U, measure.MM))})
	}
	if m.PinsLeftOut > 0 {
		t.add(row{Name: t.w.T("m.pins_left_out"), Value: strconv.Itoa(m.PinsLeftOut)})
	}
	if m.AcceptedBy != "" {
		t.add(row{Name: t.w.T("m.margin_accepted"), Value: inert(m.AcceptedBy)})
	}
}

func (t *tabler) margin(m casefile.Measures) {
	if m.Margin.Not != "" {
		t.add(row{Name: t.w.T("m.margin"), Not: inert(m.Margin.Not)})
	} else {
		for _, p := range [...]struct {
			key string
			v   float64
		}{
			{"margin_length", m.Margin.LengthMM}, {"margin_unclear", m.Margin.UnclearMM}, {"margin_missing", m.Margin.NotCapturedMM},
		} {
			r := row{Name: t.w.T("m." + p.key), Value: finding.Show(measure.Of(p.v, m.Margin.U, measure.MM))}
			r.Held, r.Source = t.held.of(p.key)
			t.add(r)
		}
	}
	t.byHand(m.Margin)
	f := m.FinishLine
	if f.Not != "" {
		t.add(row{Name: t.w.T("m.finish_line"), Not: inert(f.Not)})
		return
	}
	t.add(row{Name: t.w.T("m.finish_line"), Value: t.w.T("finish." + string(f.Kind))})
	r := row{Name: t.w.T("m.finish_width_min"), Value: finding.Show(measure.Of(f.WidthMinMM, f.U, measure.MM))}
	r.Held, r.Source = t.held.of("finish_width_min")
	t.add(r)
	t.add(row{Name: t.w.T("m.finish_width_median"), Value: finding.Show(measure.Of(f.WidthMedianMM, f.U, measure.MM))})
}

// parted separates what was measured from what was not; rows without a value are
// gathered by their reason.
func parted(groups []group) (made []group, not []reason) {
	for _, g := range groups {
		k := group{Name: g.Name}
		for _, r := range g.Rows {
			if r.Not == "" {
				k.Rows = append(k.Rows, r)
			} else {
				not = addReason(not, r)
			}
		}
		if len(k.Rows) > 0 {
			made = append(made, k)
		}
	}
	return made, not
}

// sourced numbers the sources of the rows, each source once, and lists them.
func sourced(groups []group) []string {
	var list []string
	for _, g := range groups {
		for i := range g.Rows {
			r := &g.Rows[i]
			if r.Source == "" {
				continue
			}
			k := slices.Index(list, r.Source)
			if k < 0 {
				k, list = len(list), append(list, r.Source)
			}
			r.Note = k + 1
		}
	}
	return list
}

// reason is why some measures were not made.
type reason struct {
	Why   string
	Names []string
}

func addReason(list []reason, r row) []reason {
	for i := range list {
		if list[i].Why == r.Not {
			list[i].Names = append(list[i].Names, r.Name)
			return list
		}
	}
	return append(list, reason{Why: r.Not, Names: []string{r.Name}})
}

// held knows what the practice's table asks of a measure.
type held struct {
	w     *Words
	table *limit.Table
	q     limit.Selector
	front bool
}

func (in Input) heldFor(r int, n tooth.Number) held {
	h := held{w: in.words(), table: in.Limits, front: n.Front()}
	h.q.Class = string(n.Class())
	if in.Case != nil && r < len(in.Case.Restorations) {
		h.q.Material, h.q.Cement = in.Case.Restorations[r].Material, in.Case.Restorations[r].Cement
	}
	return h
}

// limitOf names the limits of the measures that have one each.
var limitOf = [...]struct {
	key string
	id  limit.ID
}{
	{"convergence_mean_deg", limit.ConvergenceHigh},
	{"convergence_mean_deg", limit.ConvergenceLow},
	{"wall_height_min_mm", limit.WallHeight},
	{"height_to_base", limit.HeightToBase},
	{"resistance", limit.Resistance},
	{"undercut_depth_max_mm", limit.UndercutDepth},
	{"undercut_area_mm2", limit.UndercutArea},
	{"path_overlap_mm", limit.PathOverlap},
	{"edge_radius_min_mm", limit.SharpEdge},
	{"margin_unclear", limit.MarginUnclear},
	{"margin_missing", limit.MarginNotCaptured},
	{"margin_roughness_um", limit.MarginRough},
	{"root_seen_min_mm", limit.RootNotSeen},
	{"sulcus_width_min_mm", limit.SulcusNarrow},
	{"margin_spacing_mm", limit.SamplingCoarse},
	{"gap_mesial_min_mm", limit.GapToNeighbour},
	{"gap_distal_min_mm", limit.GapToNeighbour},
	{"residual_um", limit.BiteResidual},
	{"shift_at_tooth_mm", limit.BiteShift},
	{"penetration_max_mm", limit.BitePenetration},
}

// of returns what a measure is held against and where that comes from. Room and
// reduction differ by zone: all zones that this tooth has are named.
func (h held) of(key string) (text, source string) {
	if h.table == nil {
		return "", ""
	}
	switch key {
	case "clearance_patch_min_mm":
		return h.zones(h.table.Clearance, limit.Functional, limit.NonFunctional, limit.Fossa)
	case "clearance_functional_min_mm":
		return h.zones(h.table.Clearance, limit.Functional)
	case "reduction_occlusal_min_mm":
		return h.zones(h.table.Minimum, limit.Functional, limit.NonFunctional, limit.Fossa)
	case "reduction_axial_min_mm":
		return h.zones(h.table.Minimum, limit.Axial)
	case "finish_width_min":
		return h.zones(h.table.Minimum, limit.Edge)
	}
	for _, l := range limitOf {
		if l.key != key {
			continue
		}
		if r, ok := h.table.Find(l.id, h.q); ok {
			if text != "" {
				text += "; "
			}
			text += h.levels(r)
			source = r.Source
		}
	}
	return text, source
}

// zones joins the limits of several zones; zones that ask the same are said once.
func (h held) zones(find func(limit.Selector) (limit.Row, bool), zones ...limit.Zone) (text, source string) {
	if h.front && len(zones) > 1 {
		zones = []limit.Zone{limit.Incisal, limit.LingualFront}
	}
	var seen []string
	for _, z := range zones {
		q := h.q
		q.Zone = z
		r, ok := find(q)
		if !ok {
			continue
		}
		s := h.levels(r)
		source = r.Source
		known := false
		for _, o := range seen {
			known = known || o == s
		}
		if known {
			continue
		}
		seen = append(seen, s)
		if text != "" {
			text += "; "
		}
		text += s
		if len(zones) > 1 {
			text += " (" + h.w.T("zone."+string(z)) + ")"
		}
	}
	if len(seen) == 1 && len(zones) > 1 { // one limit for all zones: no zone need be named
		text = seen[0]
	}
	return text, source
}

// levels writes a row's levels: "1.5 mm or more, 2 advised".
func (h held) levels(r limit.Row) string {
	unit := map[limit.Unit]measure.Unit{
		limit.One: measure.One, limit.MM: measure.MM, limit.MM2: measure.MM2,
		limit.Deg: measure.Deg, limit.UM: measure.Micro,
	}[r.Unit]
	side := h.w.T("orMore")
	if r.Bad == limit.Above {
		side = h.w.T("orLess")
	}
	plain := func(v float64) string { return finding.ShowPlain(measure.Of(v, 0, unit)) }
	switch {
	case r.Flag.Set && r.Advise.Set && r.Flag.V != r.Advise.V:
		return plain(r.Flag.V) + " " + side + ", " + plain(r.Advise.V) + " " + h.w.T("advised")
	case r.Flag.Set:
		return plain(r.Flag.V) + " " + side
	case r.Advise.Set:
		return plain(r.Advise.V) + " " + side + " " + h.w.T("advised")
	default:
		return ""
	}
}
