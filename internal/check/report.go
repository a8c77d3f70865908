package check

import (
	"math"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/limit"
	"selvage/prep"
	"selvage/r3"
	"selvage/tooth"
)

// Version is the version of the program, as reports name it.
const Version = "0.1.0"

// report writes down what was found. Every place is turned into the frame of the
// file that it names.
func report(in Input, t limit.Table, scans []*Scan, rs []*restoration, f finding.Facts, j finding.Judgement) casefile.Report {
	out := casefile.Report{
		Schema:  casefile.ReportSchema,
		Program: casefile.Program{Version: Version, Limits: t.Version()},
		Case:    in.Case.Name, Stage: f.Stage, Verdict: j.Verdict, Line: j.Line,
		Findings: []casefile.Finding{}, Restorations: []casefile.RestorationReport{},
	}
	fr := frames(scans)
	for _, s := range scans {
		out.Scans = append(out.Scans, s.report())
	}
	for i, r := range rs {
		out.Restorations = append(out.Restorations, casefile.RestorationReport{
			Tooth: casefile.NamesOf(r.number), Measures: r.measures(&f.Restorations[i], fr), Findings: []casefile.Finding{},
		})
	}
	out.Bite = biteReport(in.Case, rs, f.Bite, fr)
	for _, g := range j.Findings {
		w := fr.finding(g)
		if g.Restoration >= 0 && g.Restoration < len(out.Restorations) {
			rr := &out.Restorations[g.Restoration]
			rr.Findings = append(rr.Findings, w)
		} else {
			out.Findings = append(out.Findings, w)
		}
	}
	return out
}

func (s *Scan) report() casefile.Scan {
	out := casefile.Scan{
		Role: s.Role, File: s.File, SHA256: s.SHA256, Triangles: s.Triangles, Units: unitsOf(s.Unit), Flipped: s.Flipped,
	}
	if s.Fault != "" {
		return out
	}
	out.Vertices, out.Components, out.OpenEdges = s.Vertices, s.Pieces, s.OpenEdges
	if s.NoiseOK {
		um := s.Noise * 1000
		out.NoiseUM = &um
	}
	out.Teeth = s.Teeth
	sp := s.Spacing
	out.SpacingMM = &sp
	if s.Moved {
		g := s.ToWorking
		out.ToWorking = &casefile.Transform{UMM: s.MovedU}
		for i := range 3 {
			out.ToWorking.Rows[i] = [4]float64{g.R[i].X, g.R[i].Y, g.R[i].Z, g.T.Array()[i]}
		}
	}
	return out
}

// frameSet turns places of the working frame into the frames of their own files.
type frameSet map[finding.Role]*Scan

func frames(scans []*Scan) frameSet {
	f := frameSet{}
	for _, s := range scans {
		if s.Fault == "" && s.Moved {
			f[s.Role] = s
		}
	}
	return f
}

func (f frameSet) point(role finding.Role, p r3.Vec) r3.Vec {
	if s, ok := f[role]; ok {
		return s.own(p)
	}
	return p
}

func (f frameSet) dir(role finding.Role, d r3.Vec) r3.Vec {
	if s, ok := f[role]; ok {
		return s.ownDir(d)
	}
	return d
}

// measures writes down one restoration.
func (r *restoration) measures(f *finding.Restoration, fr frameSet) casefile.Measures {
	why := r.why
	cw, rw := r.clearanceWhy, r.reductionWhy
	wall := func(m casefile.Measure) casefile.Measure { return m }
	m := casefile.Measures{
		InsertionAxis:   r.axisMeasure(fr),
		ConvergenceMD:   wall(fr.measure(orWhy(f.ConvergenceMD, r.axisWhy()))),
		ConvergenceBL:   fr.measure(orWhy(f.ConvergenceBL, r.axisWhy())),
		ConvergenceMean: fr.measure(orWhy(f.ConvergenceMean, r.axisWhy())),
		WallHeightMin:   fr.measure(orWhy(f.WallHeight, r.axisWhy())),
		HeightToBase:    fr.measure(orWhy(f.HeightToBase, r.axisWhy())),
		Resistance:      fr.measure(orWhy(f.Resistance, r.axisWhy())),
		UndercutDepth:   fr.measure(orWhy(f.Undercut.Depth, r.axisWhy())),
		UndercutArea:    fr.measure(orWhy(f.Undercut.Area, r.axisWhy())),
		PathOverlap:     fr.measure(orWhy(f.Path.Overlap, why)),
		Margin:          r.marginReport(fr),
		FinishLine:      r.finishReport(f),
		ClearanceMin:    fr.measure(orWhy(r.clearance.Min, cw)),
		ClearancePatch:  fr.measure(orWhy(r.clearance.PatchMin, cw)),
		ClearanceFunc:   fr.measure(orWhy(r.clearance.FunctionalMin, cw)),
		ClearanceAxial:  fr.measure(orWhy(r.clearance.AxisPatchMin, cw)),
		ClearanceMoving: fr.measure(orWhy(r.movement.PatchMin, orText(r.movementWhy, cw))),
		ReductionOccl:   fr.measure(orWhy(r.reduction.OcclusalMin, rw)),
		ReductionAxial:  fr.measure(orWhy(r.reduction.AxialMin, rw)),
		SharpEdge:       fr.measure(orWhy(f.SharpEdge, why)),
		ToolThins:       fr.measure(orWhy(r.edge.Over, why)),
		ToolRemoves:     fr.measure(orWhy(r.edge.Volume, why)),
		Coloured:        fr.measure(orWhy(f.Margin.Coloured, why)),
		MarginRough:     fr.measure(orWhy(f.Margin.Rough, why)),
		RootBelow:       fr.measure(orWhy(f.Margin.RootBelow, why)),
		SulcusMin:       fr.measure(orWhy(f.Margin.Sulcus, why)),
		SpacingAtMargin: fr.measure(orWhy(f.Margin.Spacing, why)),
		GapMesial:       fr.measure(orWhy(r.gap(f, tooth.Mesial), why)),
		GapDistal:       fr.measure(orWhy(r.gap(f, tooth.Distal), why)),
		Neighbours:      r.neighbourReport(fr),
	}
	return m
}

func orText(s, other string) string {
	if s != "" {
		return s
	}
	return other
}

func (r *restoration) axisMeasure(fr frameSet) casefile.AxisMeasure {
	if !r.axis.OK {
		return casefile.AxisMeasure{Not: orText(r.axisWhy(), "the wall is not to be seen")}
	}
	role := r.source.Role
	return casefile.AxisMeasure{Value: fr.dir(role, r.axis.Axis).Array(), UDeg: r.axis.U * 180 / math.Pi, Scan: role}
}

func (r *restoration) marginReport(fr frameSet) casefile.Margin {
	if r.margin == nil {
		return casefile.Margin{Not: orText(r.why, "no margin was traced")}
	}
	role := r.source.Role
	out := casefile.Margin{Closed: true, LengthMM: r.margin.Length(), U: r.lengthU(), Scan: role}
	for _, p := range r.margin.Points {
		out.Points = append(out.Points, fr.point(role, p.At).Array())
		out.Confidence = append(out.Confidence, p.Confidence)
	}
	r.handReport(&out)
	for _, s := range r.stretches() {
		st := casefile.Stretch{
			State: finding.Unclear, From: s.From, To: s.To, LengthMM: s.Length,
			Surface: r.surface(r.margin.Points[s.Middle].At),
		}
		if s.State == prep.NotCaptured {
			st.State = finding.NotCaptured
			out.NotCapturedMM += s.Length
		} else {
			out.UnclearMM += s.Length
		}
		out.Stretches = append(out.Stretches, st)
	}
	out.U = math.Hypot(r.lengthU()*math.Sqrt(float64(max(len(out.Stretches), 1))), r.atLimit())
	return out
}

// atLimit is the length of the margin, mm, beside which the data ends about as far away as
// parts captured from not captured: so much more or less of it may not be captured.
func (r *restoration) atLimit() float64 {
	return r.margin.AtLimit(prep.Stretch{From: 0, To: len(r.margin.Points) - 1})
}

func (r *restoration) finishReport(f *finding.Restoration) casefile.FinishLine {
	if f.FinishLine.Kind == "" {
		return casefile.FinishLine{Not: orText(orText(f.FinishLine.Why, r.why), "the finish line was not measured")}
	}
	return casefile.FinishLine{
		Kind: f.FinishLine.Kind, WidthMinMM: f.FinishLine.WidthMin.V, WidthMedianMM: f.FinishLine.WidthMedian.V, U: f.FinishLine.WidthMin.U,
	}
}
