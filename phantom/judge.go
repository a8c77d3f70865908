package phantom

import (
	"math"
	"slices"
	"sort"

	"selvage/limit"
	"selvage/mesh"
	"selvage/r3"
)

// judge lists what a perfect check would raise: the truth held against the table of
// limits, and what the faults broke that no number tells. What rests on a failed
// thing is left out, as the contract has it: nothing about the tooth where the files
// cannot be this mouth, no room where the bite is wrong or absent.
func (b *build) judge() {
	have := func(code string) bool {
		return slices.ContainsFunc(b.asked, func(f Fault) bool { return f.Name == code })
	}
	for _, code := range []string{"scan-mirrored", "tooth-differs", "wrong-arch"} {
		if have(code) {
			b.found = []Finding{{Code: code, Level: "flag", Scan: Working}}
			b.judgePieces()
			return
		}
	}
	b.judgePieces()
	if have(otherMouth) { // the other scans fit each other: only what rests on the one from before falls away
		b.found = append(b.found, Finding{Code: otherMouth, Level: "flag", Scan: Before})
	}
	if b.earlier != nil { // the working scan shows the tooth as it is: all is judged on that
		b.found = append(b.found, Finding{Code: "scan-outdated", Level: "flag", Scan: Preparation})
	}
	b.judgeFiles(have)
	b.judgeShape()
	b.judgeBite()
	b.judgeRoom()
	b.judgeMargin()
	b.judgeNeighbours()
	sort.SliceStable(b.found, func(i, j int) bool { return b.found[i].Code < b.found[j].Code })
}

// report enters a finding at a canonical place.
func (b *build) report(code, scan string, v float64, unit string, at r3.Vec) {
	p := pointOf(at)
	b.found = append(b.found, Finding{Code: code, Level: "flag", Scan: scan, Value: v, Unit: unit, At: &p, Surface: b.surfaceAt(at)})
}

// hold enters a finding if v is beyond a limit for the case's material and tooth. A
// place of zero is none.
func (b *build) hold(code string, row limit.Row, found bool, v float64, unit string, at Point) {
	if !found || math.IsNaN(v) {
		return
	}
	f := Finding{Code: code, Scan: Working, Value: v, Unit: unit}
	switch {
	case row.Flag.Beyond(row.Bad, v):
		f.Level = "flag"
	case row.Advise.Beyond(row.Bad, v):
		f.Level = "advise"
	default:
		return
	}
	if at != (Point{}) {
		f.At, f.Surface = &at, b.surfaceAt(at.Vec())
	}
	if slices.ContainsFunc(b.found, func(o Finding) bool { return o.Code == code && o.Surface == f.Surface }) {
		return
	}
	b.found = append(b.found, f)
}

func (b *build) selector(z limit.Zone) limit.Selector {
	return limit.Selector{
		Material: limit.Material(b.order.Material), Cement: limit.Cement(b.order.Cement),
		Class: string(b.spec.Tooth.Class()), Zone: z,
	}
}

// required looks a limit of a zone up that depends on the material. Where the order
// names none, only what is too little for every material can be told: the loosest row.
func (b *build) required(find func(limit.Selector) (limit.Row, bool), z limit.Zone) (row limit.Row, ok bool) {
	q := b.selector(z)
	if q.Material != "" {
		return find(q)
	}
	for _, m := range limit.Materials() {
		q.Material = m
		r, found := find(q)
		if found && r.Flag.Set && (!ok || r.Flag.V < row.Flag.V) {
			row, ok = r, true
		}
	}
	row.Advise.Set = false
	return row, ok
}

// doubtful reports whether a second or an invented sheet lies on the preparation: no
// room and no undercut is judged there.
func (b *build) doubtful() bool {
	return slices.ContainsFunc(b.found, func(f Finding) bool { return f.Code == "surface-doubled" || f.Code == "surface-invented" })
}

func (b *build) judgeFiles(have func(string) bool) {
	for _, code := range []string{"units-unlikely", "scan-missing", "arch-too-short", "finish-line-differs", "prescription-incomplete"} {
		if have(code) {
			f := Finding{Code: code, Level: "flag", Scan: Working}
			switch code {
			case "units-unlikely", "finish-line-differs", "prescription-incomplete":
				f.Level = "advise"
			case "scan-missing":
				f.Scan = Opposing
			}
			b.found = append(b.found, f)
		}
	}
	t := limit.Default()
	row, ok := t.Find(limit.Noise, limit.Selector{})
	b.hold("surface-noisy", row, ok, b.spec.Scanner.Noise*1000, "um", Point{})
}

// loosePiece is the area, mm², under which a piece apart is a loose fragment: a third of
// the top of the smallest tooth. What the fault scatters is one, and so are scraps that a
// second sheet or a hole leaves.
const loosePiece = 4.0

// judgePieces looks for loose fragments in the scans whose holes count, of which a
// record of the bite is none: it shows the cheek's side in patches by its nature.
func (b *build) judgePieces() {
	for _, m := range b.scans {
		if m.role == Bite {
			continue
		}
		labels, n := mesh.NewTopology(m.mesh).Components()
		area := make([]float64, n)
		for f := range m.mesh.Tri {
			area[labels[f]] += m.mesh.AreaVector(mesh.FaceID(f)).Norm()
		}
		if slices.Min(area) < loosePiece {
			b.found = append(b.found, Finding{Code: "fragments", Level: "advise", Scan: m.role})
			return
		}
	}
}

func (b *build) judgeShape() {
	t, r := limit.Default(), &b.truth
	q := b.selector("")
	find := func(id limit.ID) (limit.Row, bool) { return t.Find(id, q) }
	row, ok := find(limit.ConvergenceHigh)
	b.hold("convergence-high", row, ok, r.ConvergenceMeanDeg, "deg", Point{})
	row, ok = find(limit.ConvergenceLow)
	low := r.ConvergenceMDDeg
	if math.IsNaN(low) || r.ConvergenceBLDeg < low {
		low = r.ConvergenceBLDeg
	}
	b.hold("convergence-low", row, ok, low, "deg", Point{})
	row, ok = find(limit.WallHeight)
	b.hold("walls-short", row, ok, r.WallHeightMinMm, "mm", Point{})
	row, ok = find(limit.HeightToBase)
	b.hold("walls-short", row, ok, r.HeightToBase, "", Point{})
	if b.order.Cement == string(limit.Conventional) {
		row, ok = find(limit.Resistance)
		b.hold("resistance-low", row, ok, r.Resistance, "", Point{})
	}
	if b.doubtful() {
		return
	}
	deep, _ := find(limit.UndercutDepth)
	wide, _ := find(limit.UndercutArea)
	f := Finding{Code: "undercut", Scan: Working, Value: r.UndercutDepthMm.Value, Unit: "mm", At: &r.UndercutDepthMm.At}
	switch {
	case deep.Flag.Beyond(deep.Bad, f.Value) && wide.Flag.Beyond(wide.Bad, r.UndercutAreaMm2):
		f.Level = "flag"
	case deep.Advise.Beyond(deep.Bad, f.Value) && wide.Advise.Beyond(wide.Bad, r.UndercutAreaMm2):
		f.Level = "advise"
	default:
		return
	}
	f.Surface = b.surfaceAt(f.At.Vec())
	b.found = append(b.found, f)
}

// judgeRoom holds clearance and reduction against the material.
func (b *build) judgeRoom() {
	t, r := limit.Default(), &b.truth
	if b.doubtful() {
		return
	}
	room := func(code string, find func(limit.Selector) (limit.Row, bool), z limit.Zone, v Located) {
		row, ok := b.required(find, z)
		b.hold(code, row, ok, v.Value, "mm", v.At)
	}
	front := b.spec.Tooth.Front()
	if b.scan(Opposing) != nil && b.bite.ShiftMm == 0 && b.opened == (r3.Vec{}) {
		if front {
			room("clearance-low", t.Clearance, limit.Incisal, r.ClearanceIncisalMm)
			room("clearance-low", t.Clearance, limit.LingualFront, r.ClearanceLingualMm)
		} else {
			room("clearance-low", t.Clearance, limit.Functional, r.ClearanceFunctionalPatchMm)
			room("clearance-low", t.Clearance, limit.NonFunctional, r.ClearancePatchMinMm)
		}
	}
	if b.scan(Before) == nil || b.stranger != nil {
		return
	}
	if front {
		room("reduction-low", t.Minimum, limit.Incisal, r.ReductionOcclusalMm)
	} else {
		room("reduction-low", t.Minimum, limit.Functional, r.ReductionFunctionalMm)
		room("reduction-low", t.Minimum, limit.NonFunctional, r.ReductionOcclusalMm)
	}
	room("reduction-low", t.Minimum, limit.Axial, r.ReductionAxialMm)
}

// judgeMargin holds margin, shelf, sulcus and contact areas against the limits.
func (b *build) judgeMargin() {
	t, r := limit.Default(), &b.truth
	for _, s := range r.Margin.Stretches {
		code, id := "margin-not-captured", limit.MarginNotCaptured
		if s.State == "unclear" {
			code, id = "margin-unclear", limit.MarginUnclear
		}
		if s.Corner {
			id = limit.MarginLineAngle
		}
		row, ok := t.Find(id, limit.Selector{})
		b.hold(code, row, ok, s.LengthMm, "mm", s.At)
	}
	for _, c := range r.Contacts {
		if !c.Captured {
			at := c.At
			b.found = append(b.found, Finding{Code: "contact-area-missing", Level: "flag", Scan: Working, Surface: c.Side, At: &at, Unit: "mm"})
		}
	}
	row, ok := b.required(t.Minimum, limit.Edge)
	b.hold("finish-line-narrow", row, ok && b.order.FinishLine != string(KnifeEdge), r.FinishLine.WidthMinMm, "mm", Point{})
	row, ok = t.Find(limit.SulcusNarrow, limit.Selector{})
	b.hold("sulcus-narrow", row, ok, r.Margin.SulcusMm, "mm", Point{})
	row, ok = t.Find(limit.MarginRough, limit.Selector{})
	b.hold("margin-rough", row, ok, r.Margin.RoughnessUm, "um", Point{})
	row, ok = t.Find(limit.SharpEdge, limit.Selector{})
	b.hold("sharp-edge", row, ok, r.EdgeRadiusMm, "mm", Point{})
	if b.scan(Working) != nil {
		row, ok = t.Find(limit.RootNotSeen, limit.Selector{})
		b.hold("root-not-seen", row, ok, r.Margin.RootSeenMm, "mm", Point{})
		row, ok = t.Find(limit.SamplingCoarse, limit.Selector{})
		b.hold("sampling-coarse", row, ok, r.Margin.SpacingMm, "mm", Point{})
	}
}

// judgeNeighbours holds the space beside the tooth against the limits.
func (b *build) judgeNeighbours() {
	t := limit.Default()
	for _, c := range b.truth.Contacts {
		for _, h := range []struct {
			code string
			id   limit.ID
			v    float64
		}{
			{"gap-narrow", limit.GapToNeighbour, c.GapMm},
			{"path-blocked", limit.PathOverlap, c.PathOverlapMm},
			{"neighbour-contour", limit.NeighbourBulge, c.BulgeMm},
			{"neighbour-damaged", limit.NeighbourLoss, c.DamageMm},
		} {
			row, ok := t.Find(h.id, limit.Selector{})
			b.hold(h.code, row, ok && (h.code != "neighbour-damaged" || b.stranger == nil), h.v, "mm", c.At)
		}
	}
}

// edgeAtMargin is the median edge of the mesh within 0.5 mm of the true margin.
func (b *build) edgeAtMargin(m *mesh.Mesh) float64 {
	var line []r3.Vec
	for i := 0; i < len(b.truth.Margin.Points); i += 4 {
		line = append(line, b.truth.Margin.Points[i].Vec())
	}
	center := b.w.prepared.Mouth.T
	reach := b.w.prepared.Form.Width + 1
	var edges []float64
	for _, t := range m.Tri {
		a := m.Pos[t[0]]
		if a.Dist(center) < reach && nearest(line, a) < 0.5 {
			for i := range 3 {
				edges = append(edges, m.Pos[t[i]].Dist(m.Pos[t[(i+1)%3]]))
			}
		}
	}
	sort.Float64s(edges)
	if len(edges) == 0 {
		return math.NaN()
	}
	return edges[len(edges)/2]
}
