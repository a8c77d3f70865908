package finding_test

import (
	"strings"
	"testing"

	"selvage/finding"
	"selvage/limit"
	"selvage/tooth"
)

func TestSoundCaseIsClear(t *testing.T) {
	for _, stage := range []finding.Stage{finding.Preparation, finding.Final, ""} {
		f := sound()
		f.Stage = stage
		j := judge(f)
		if j.Verdict != finding.Clear || len(j.Findings) != 0 || len(j.Absent) != 0 || j.Step != 6 {
			t.Errorf("stage %q: %+v, want clear without findings", stage, j)
		}
		if want := "Nothing to scan again. For the dentist to review."; j.Line != want {
			t.Errorf("line %q, want %q", j.Line, want)
		}
	}
}

type R = finding.Restoration

// ruleCase is one fact that a rule must answer.
type ruleCase struct {
	name    string
	facts   finding.Facts
	code    finding.Code
	action  finding.Action
	call    finding.Call
	verdict finding.Verdict
	text    string // must be in the text
}

func scanOf(role finding.Role, change func(*finding.Scan)) finding.Facts {
	return withCase(func(f *finding.Facts) {
		for i := range f.Scans {
			if f.Scans[i].Role == role {
				change(&f.Scans[i])
			}
		}
	})
}

func unclear(length, u float64, s tooth.Surface, corner bool, tries int) finding.Facts {
	return with(func(r *R) {
		r.Margin.Stretches = []finding.Stretch{{State: finding.Unclear, Surface: s, LineAngle: corner, Length: mm(length, u), Tries: tries}}
	})
}

func captured(length, u float64, s tooth.Surface) finding.Facts {
	return with(func(r *R) {
		r.Margin.Stretches = []finding.Stretch{{State: finding.NotCaptured, Surface: s, Length: mm(length, u)}}
	})
}

func hole(p finding.Patch) finding.Facts {
	return with(func(r *R) { r.Missing = []finding.Patch{p} })
}

func room(v, u float64) finding.Facts {
	return with(func(r *R) { r.Clearance[0].Patch = mm(v, u) })
}

// P, C and A shorten the table.
const (
	P = finding.Proven
	C = finding.TooClose
	A = finding.Advised
)

func fileCases() []ruleCase {
	const nc, sa, clear = finding.NotChecked, finding.ScanAgainNow, finding.Clear
	return []ruleCase{
		{"opposing broken", scanOf("opposing", func(s *finding.Scan) { s.Fault = "it ends in the middle of a triangle" }), finding.FileUnreadable, finding.CheckFiles, P, nc, "The file opposing.stl cannot be read: it ends in the middle"},
		{"mirrored", scanOf("working", func(s *finding.Scan) { s.Mirrored = finding.Yes }), finding.ScanMirrored, finding.CheckFiles, P, nc, "mirror image"},
		{"jaws swapped", scanOf("opposing", func(s *finding.Scan) { s.OtherJaw = finding.Yes }), finding.WrongArch, finding.CheckFiles, P, nc, "other jaw"},
		{"no tooth there", with(func(r *R) { r.Found = finding.Found{Answer: finding.No} }), finding.ToothNotFound, finding.CheckFiles, P, nc, "upper left first molar"},
		{"another tooth", with(func(r *R) { r.Found.Tooth = 27 }), finding.ToothDiffers, finding.CheckFiles, P, nc, "The scan shows a preparation at the upper left second molar"},
		{"somewhere else", with(func(r *R) { r.Found = finding.Found{Answer: finding.No, Sure: true} }), finding.ToothDiffers, finding.CheckFiles, P, nc, "another place"},
		{"other mouth", withCase(func(f *finding.Facts) { f.Mouth[0].RMS = mm(0.6, 0.05) }), finding.OtherMouth, finding.CheckFiles, P, nc, "do not match"},
		{"perhaps another mouth", withCase(func(f *finding.Facts) { f.Mouth[0].RMS = mm(0.43, 0.05) }), finding.OtherMouth, finding.Note, C, clear, "too close"},
		{"old file", scanOf("working", func(s *finding.Scan) { s.Outdated, s.Newer = finding.Yes, "working-2.stl" }), finding.ScanOutdated, finding.CheckFiles, P, nc, "working-2.stl is newer"},
		{"no opposing arch", withCase(func(f *finding.Facts) { f.Scans = append(f.Scans[:2:2], f.Scans[3:]...) }), finding.ScanMissing, finding.ScanAgain, P, nc, "no scan of the opposing arch"},
		{"unit in doubt", scanOf("working", func(s *finding.Scan) { s.UnitsDoubt, s.UnitsUsed = true, "inch" }), finding.UnitsUnlikely, finding.Note, P, clear, "read as inch"},
		{"extension lies", scanOf("bite", func(s *finding.Scan) { s.TypeSaid, s.TypeFound = "stl", "PLY" }), finding.FileTypeDiffers, finding.Note, P, clear, "named .stl but holds PLY"},
		{"rough scan", scanOf("working", func(s *finding.Scan) { s.Noise = um(45, 5) }), finding.SurfaceNoisy, finding.Note, P, clear, "45 ± 5 µm"},
		{"rather rough scan", scanOf("working", func(s *finding.Scan) { s.Noise = um(23, 2) }), finding.SurfaceNoisy, finding.Note, A, clear, "advises 20 µm or less"},
		{"crumbs", scanOf("working", func(s *finding.Scan) { s.Fragments, s.Gaps = 3, 5 }), finding.Fragments, finding.Note, P, clear, "Loose pieces: 3. Gaps away from what the crown needs: 5"},
		{"doubled preparation", scanOf("working", func(s *finding.Scan) {
			s.Doubled = []finding.Patch{{Region: finding.RegionPreparation, Tooth: 26, Surface: tooth.Buccal, Area: mm2(3, 0.3)}}
		}), finding.SurfaceDoubled, finding.ScanAgain, P, sa, "Two layers"},
		{"invented contact", scanOf("working", func(s *finding.Scan) {
			s.Invented = []finding.Patch{{Region: finding.RegionContact, Tooth: 25, Area: mm2(3, 0.3)}}
		}), finding.SurfaceInvented, finding.ScanAgain, P, sa, "filled in"},
	}
}

func captureCases() []ruleCase {
	const sa, ask, clear = finding.ScanAgainNow, finding.AskDentistFirst, finding.Clear
	return []ruleCase{
		{"short arch", with(func(r *R) { r.ShortOf = []finding.ShortArch{{Role: "working", Tooth: 23, Side: tooth.Mesial}} }), finding.ArchTooShort, finding.ScanAgain, P, sa, "working arch does not reach the upper left canine"},
		{"hole in the preparation", hole(finding.Patch{Region: finding.RegionPreparation, Tooth: 26, Surface: tooth.Distal, Extent: mm(1.5, 0.2)}), finding.SurfaceMissing, finding.ScanAgain, P, sa, "hole of 1.5 mm at the distal side of the prepared tooth"},
		{"hole that may be small", hole(finding.Patch{Region: finding.RegionPreparation, Extent: mm(0.9, 0.2)}), finding.SurfaceMissing, finding.ScanAgain, C, sa, "too close"},
		{"hole in the opposing tooth", hole(finding.Patch{Region: finding.RegionOpposing, Tooth: 36, Extent: mm(3, 0.2)}), finding.SurfaceMissing, finding.ScanAgain, P, sa, "opposing tooth"},
		{"hole in the gum", hole(finding.Patch{Region: finding.RegionTissue, Tooth: 26, Surface: tooth.Buccal, Extent: mm(4, 0.2)}), finding.SurfaceMissing, finding.ScanAgain, P, sa, "gum on the buccal side"},
		{"contact area", hole(finding.Patch{Region: finding.RegionContact, Tooth: 25, Surface: tooth.Distal, Extent: mm(1.6, 0.2)}), finding.ContactAreaMissing, finding.ScanAgain, P, sa, "mesial contact area"},
		{"margin at the edge", captured(1.2, 0.2, tooth.Distal), finding.MarginNotCaptured, finding.ScanAgain, P, sa, "ends at the margin for 1.2 mm: distal margin"},
		{"margin perhaps at the edge", captured(0.45, 0.2, tooth.Distal), finding.MarginNotCaptured, finding.ScanAgain, C, sa, "too close"},
		{"margin bridged", captured(0.2, 0.1, tooth.Distal), finding.MarginNotCaptured, finding.Note, A, clear, "drawn dashed"},
		{"margin covered", unclear(2.3, 0.1, tooth.Distal, false, 0), finding.MarginUnclear, finding.OpenMargin, P, sa, "2.3 mm of the distal margin cannot be seen. Tissue, fluid or paste lies over it."},
		{"short cover at a line angle", unclear(0.4, 0.1, tooth.Distobuccal, true, 0), finding.MarginUnclear, finding.OpenMargin, P, sa, "distobuccal margin"},
		{"short cover elsewhere", unclear(0.35, 0.1, tooth.Buccal, false, 0), finding.MarginUnclear, finding.Note, A, clear, "number 1, together 0.4 mm"},
		{"covered, one try", unclear(2.3, 0.1, tooth.Distal, false, 1), finding.MarginUnclear, finding.OpenMargin, P, sa, "Tissue"},
		{"covered, two tries", unclear(2.3, 0.1, tooth.Distal, false, 2), finding.MarginUnclear, finding.AskDentist, P, ask, "after 2 tries"},
		{"two lines", with(func(r *R) {
			r.Margin.TwoLines = []finding.Stretch{{Surface: tooth.Lingual, Length: mm(3, 0.2), Apart: mm(0.6, 0.1)}}
		}), finding.MarginTwoLines, finding.OpenMargin, P, sa, "palatal margin"},
		{"coarse at the margin", with(func(r *R) { r.Margin.Spacing = mm(0.2, 0.01) }), finding.SamplingCoarse, finding.ScanAgain, P, sa, "0.20 mm apart"},
		{"rather coarse", with(func(r *R) { r.Margin.Spacing = mm(0.12, 0.01) }), finding.SamplingCoarse, finding.Note, A, clear, "advises 0.1 mm or less"},
		{"bite scan shifted", withCase(func(f *finding.Facts) { f.Bite.Shift = mm(0.2, 0.02) }), finding.BiteDiffers, finding.ScanAgain, P, sa, "0.20 ± 0.02 mm"},
		{"bite scan does not fit", withCase(func(f *finding.Facts) { f.Bite.Residual = um(150, 10) }), finding.BiteDiffers, finding.ScanAgain, P, sa, "150 ± 10 µm"},
		{"bite scan rather off", withCase(func(f *finding.Facts) { f.Bite.Shift = mm(0.07, 0.02) }), finding.BiteDiffers, finding.Note, A, clear, "advises"},
		{"arches overlap", withCase(func(f *finding.Facts) { f.Bite.Penetration = mm(0.3, 0.02) }), finding.BitePenetrates, finding.ScanAgain, P, sa, "0.30 ± 0.02 mm into each other"},
		{"all neighbours open", withCase(func(f *finding.Facts) { f.Bite.Support[0].Gap, f.Bite.Support[1].Gap = um(200, 20), um(300, 20) }), finding.BiteOpen, finding.ScanAgain, P, sa, "The upper left second molar does not meet"},
		{"neighbours perhaps open", withCase(func(f *finding.Facts) { f.Bite.Support[0].Gap, f.Bite.Support[1].Gap = um(60, 20), um(300, 20) }), finding.BiteOpen, finding.ScanAgain, C, sa, "60 ± 20 µm open. Your table allows 50 µm. This is too close"},
		{"front neighbours open, back teeth meet", withCase(func(f *finding.Facts) {
			f.Bite.Support[0].Gap, f.Bite.Support[1].Gap = um(300, 20), um(300, 20)
			f.Bite.Support[0].Tooth, f.Bite.Support[1].Tooth = 21, 23
		}), finding.BiteOpen, finding.Note, A, clear, "does not meet"},
		{"one neighbour open", withCase(func(f *finding.Facts) { f.Bite.Support[1].Gap = um(300, 20) }), finding.BiteOpen, finding.Note, A, clear, "upper left second molar"},
		{"one neighbour open that held", withCase(func(f *finding.Facts) { f.Bite.Support[1].Gap, f.Bite.Support[1].Held = um(300, 20), finding.Yes }), finding.BiteOpen, finding.ScanAgain, P, sa, "touched before"},
		{"nothing touches", withCase(func(f *finding.Facts) { f.Bite.Support, f.Bite.Contacts = nil, one(0, 0) }), finding.BiteOpen, finding.ScanAgain, P, sa, "No tooth meets another"},
		{"another tooth open that held", withCase(func(f *finding.Facts) {
			f.Bite.Tried = []finding.Support{{Tooth: 24, Gap: um(300, 20), Held: finding.Yes}}
		}), finding.BiteOpen, finding.ScanAgain, P, sa, "The upper left first premolar touched before"},
		{"last tooth", withCase(func(f *finding.Facts) { f.Bite.Unsupported = finding.Yes }), finding.BiteUnsupported, finding.Note, P, clear, "the last one"},
	}
}

func shapeCases() []ruleCase {
	const ask, clear = finding.AskDentistFirst, finding.Clear
	conventional := func(change func(*R)) finding.Facts {
		return with(func(r *R) {
			r.Prescription.Material, r.Prescription.Cement = limit.Zirconia3Y, limit.Conventional
			change(r)
		})
	}
	return []ruleCase{
		{"little room", room(0.83, 0.10), finding.ClearanceLow, finding.AskDentist, P, ask, "The least room measured at the palatal cusp is 0.8 ± 0.1 mm"},
		{"room too close to call", room(1.1, 0.10), finding.ClearanceLow, finding.AskDentist, C, ask, "too close"},
		{"room without reserve", room(1.1, 0.04), finding.ClearanceLow, finding.Note, A, clear, "advises 1.15 mm or more"},
		{"little reduction", with(func(r *R) { r.Reduction[0].Patch, r.Clearance[0].Patch = mm(0.7, 0.05), mm(1.6, 0.1) }), finding.ReductionLow, finding.AskDentist, P, ask, "least reduction measured at the palatal cusp"},
		{"reduction too close to call", with(func(r *R) { r.Reduction[0].Patch = mm(0.98, 0.05) }), finding.ReductionLow, finding.Note, C, clear, "too close"},
		{"undercut", with(func(r *R) {
			r.Undercut.Depth, r.Undercut.Area, r.Undercut.Surface = mm(0.2, 0.03), mm2(1.5, 0.2), tooth.Mesial
		}), finding.Undercut, finding.AskDentist, P, ask, "leans in by 0.20 ± 0.03 mm, seen along the path of draw, on the mesial side."},
		{"undercut too close to call", with(func(r *R) { r.Undercut.Depth, r.Undercut.Area = mm(0.09, 0.03), mm2(1.5, 0.2) }), finding.Undercut, finding.AskDentist, C, ask, "too close"},
		{"deep undercut over little", with(func(r *R) { r.Undercut.Depth, r.Undercut.Area = mm(0.44, 0.03), mm2(0.35, 0.1) }), finding.Undercut, finding.Note, A, clear, "over a small area"},
		{"shallow undercut", with(func(r *R) { r.Undercut.Depth, r.Undercut.Area = mm(0.06, 0.03), mm2(1.5, 0.2) }), finding.Undercut, finding.Note, A, clear, "shallow"},
		{"undercut near the margin", with(func(r *R) {
			r.Undercut.Depth, r.Undercut.Area = mm(0.06, 0.03), mm2(0.3, 0.1)
			r.Undercut.NearDepth, r.Undercut.NearArea = r.Undercut.Depth, r.Undercut.Area
		}), finding.Undercut, finding.AskDentist, P, ask, "close to the margin"},
		{"path blocked", with(func(r *R) { r.Path = finding.PathFacts{Overlap: mm(0.2, 0.03), Neighbour: 27} }), finding.PathBlocked, finding.AskDentist, P, ask, "The upper left second molar stands 0.20 ± 0.03 mm in the way"},
		{"narrow finish line", with(func(r *R) { r.FinishLine.WidthMin = mm(0.5, 0.05) }), finding.FinishLineNarrow, finding.AskDentist, P, ask, "0.50 ± 0.05 mm wide"},
		{"neighbour bulges", with(func(r *R) { r.Neighbours[0].Bulge = mm(0.8, 0.05) }), finding.NeighbourContour, finding.AskDentist, P, ask, "The upper left second premolar bulges"},
		{"neighbour cut", with(func(r *R) { r.Neighbours[1].Damage = mm(0.3, 0.05) }), finding.NeighbourDamaged, finding.AskDentist, P, ask, "The upper left second molar lost"},
		{"narrow gap", with(func(r *R) { r.Neighbours[0].Gap = mm(0.3, 0.05) }), finding.GapNarrow, finding.AskDentist, P, ask, "From the margin to the upper left second premolar"},
		{"little resistance, conventional", conventional(func(r *R) { r.Resistance = one(0.3, 0.02) }), finding.ResistanceLow, finding.AskDentist, P, ask, "0.30 ± 0.02"},
		{"little resistance, cement unknown", with(func(r *R) {
			r.Resistance, r.Prescription.Cement, r.Prescription.Material = one(0.3, 0.02), "", limit.Zirconia3Y
		}), finding.ResistanceLow, finding.Note, P, clear, "0.30 ± 0.02"},
		{"wide taper", with(func(r *R) { r.ConvergenceMean = deg(27, 0.5) }), finding.ConvergenceHigh, finding.Note, P, clear, "27.0 ± 0.5°"},
		{"parallel", with(func(r *R) { r.ConvergenceBL = deg(4, 0.7) }), finding.ConvergenceLow, finding.Note, P, clear, "nearly parallel"},
		{"low walls", with(func(r *R) { r.WallHeight = mm(3, 0.05) }), finding.WallsShort, finding.Note, P, clear, "on the palatal side"},
		{"low for its width", with(func(r *R) { r.HeightToBase = one(0.3, 0.01) }), finding.WallsShort, finding.Note, P, clear, "times as high"},
		{"another finish line", with(func(r *R) { r.FinishLine.Kind = limit.Mixed }), finding.FinishLineDiffers, finding.Note, P, clear, "looks like several kinds. The prescription says a heavy chamfer"},
		{"sharp edge", with(func(r *R) { r.SharpEdge = mm(0.1, 0.02) }), finding.SharpEdge, finding.Note, P, clear, "0.10 ± 0.02 mm"},
		{"wavering margin", with(func(r *R) { r.Margin.Rough = um(150, 10) }), finding.MarginRough, finding.Note, P, clear, "150 ± 10 µm"},
		{"near the edge", with(func(r *R) { r.Margin.RootBelow, r.Margin.RootSide = mm(0.2, 0.05), tooth.Distal }), finding.RootNotSeen, finding.Note, P, clear, "Only 0.20 mm of tooth is seen below the margin, on the distal side."},
		{"tight sulcus", with(func(r *R) { r.Margin.Sulcus = mm(0.08, 0.03) }), finding.SulcusNarrow, finding.Note, P, clear, "0.08 ± 0.03 mm"},
		{"blood on the tooth", with(func(r *R) { r.Margin.Coloured = mm2(2, 0.2) }), finding.ContrastColour, finding.Note, A, clear, "2.0 mm²"},
		{"tight in movement", with(func(r *R) { r.Movement[0].Patch = mm(0.5, 0.1) }), finding.ClearanceInMovement, finding.Note, P, clear, "jaw movements"},
		{"weak for its cement", with(func(r *R) {
			r.Prescription.Material, r.Prescription.Cement = limit.Leucite, limit.Conventional
			r.Clearance, r.Reduction, r.Movement = r.Clearance[:1], nil, nil
			r.Clearance[0].Patch = mm(2, 0.1)
			r.ReductionLook = finding.Looked()
			r.Reduction = []finding.Room{{Zone: limit.Axial, Patch: mm(1.6, 0.05)}}
			r.FinishLine.WidthMin = mm(1.3, 0.05)
		}), finding.CeramicWeak, finding.Note, P, clear, "120 MPa"},
	}
}

func paperCases() []ruleCase {
	const clear = finding.Clear
	dated := func(prepared, due, seat string) finding.Facts {
		return withCase(func(f *finding.Facts) { f.Order.Prepared, f.Order.Due, f.Order.Seat = prepared, due, seat })
	}
	return []ruleCase{
		{"no shade", with(func(r *R) { r.Prescription.Missing = []string{"shade.body", "if_space_short"} }), finding.PrescriptionIncomplete, finding.FillIn, P, clear, "lacks: shade, what to do if space is short."},
		{"no licence", withCase(func(f *finding.Facts) { f.Order.Missing = []string{"prescriber.licence"} }), finding.PrescriptionIncomplete, finding.FillIn, P, clear, "licence number"},
		{"due before prepared", dated("2026-05-04", "2026-05-01", "2026-05-19"), finding.DateImpossible, finding.FillIn, P, clear, "before the tooth is prepared"},
		{"seat before due", dated("2026-05-04", "2026-05-15", "2026-05-14"), finding.DateImpossible, finding.FillIn, P, clear, "before it is due"},
		{"seat before prepared", dated("2026-05-04", "", "2026-05-01"), finding.DateImpossible, finding.FillIn, P, clear, "before the tooth is prepared"},
		{"one working day", dated("2026-05-04", "2026-05-15", "2026-05-18"), finding.DateImpossible, finding.FillIn, P, clear, "2026-05-18: 1. Your table asks for 2"},
		{"no such day", dated("2026-02-30", "", ""), finding.DateImpossible, finding.FillIn, P, clear, "no such day"},
	}
}

func ruleCases() []ruleCase {
	var all []ruleCase
	for _, list := range [][]ruleCase{fileCases(), captureCases(), shapeCases(), paperCases()} {
		all = append(all, list...)
	}
	return all
}

func TestRules(t *testing.T) {
	for _, c := range ruleCases() {
		t.Run(strings.ReplaceAll(c.name, " ", "-"), func(t *testing.T) {
			j := judge(c.facts)
			if len(j.Findings) != 1 {
				t.Fatalf("findings %+v, want one %s", j.Findings, c.code)
			}
			f := j.Findings[0]
			if f.Code != c.code || f.Action != c.action || f.Call != c.call || j.Verdict != c.verdict {
				t.Errorf("%s, %s, %s: %s, want %s, %s, %s: %s", f.Code, f.Action, f.Call, j.Verdict, c.code, c.action, c.call, c.verdict)
			}
			if !strings.Contains(f.Text, c.text) {
				t.Errorf("text %q, want %q in it", f.Text, c.text)
			}
			checkTexts(t, f, j)
		})
	}
}

// checkTexts holds what every finding owes its reader.
func checkTexts(t *testing.T, f finding.Finding, j finding.Judgement) {
	t.Helper()
	for _, s := range []string{f.Text, f.Advice, f.Spot, j.Line} {
		if s == "" && !(f.Code == finding.Fragments && s == f.Spot) && !onPaper(f) {
			t.Errorf("%s: an empty text in %+v, line %q", f.Code, f, j.Line)
		}
		if strings.ContainsAny(s, "{}") || strings.Contains(s, "  ") || strings.Contains(strings.ReplaceAll(s, " .stl", ""), " .") || strings.Contains(s, ", .") {
			t.Errorf("%s: a gap in %q", f.Code, s)
		}
	}
	if f.Measured.Measured() && (!f.HasLimit || f.Source == "") {
		t.Errorf("%s: a measured value without limit or source: %+v", f.Code, f)
	}
}

// onPaper reports whether a finding has no place on a tooth.
func onPaper(f finding.Finding) bool {
	switch f.Code {
	case finding.PrescriptionIncomplete, finding.DateImpossible, finding.LimitsEdited, finding.UnitsUnlikely,
		finding.FileTypeDiffers, finding.SurfaceNoisy, finding.BiteUnsupported:
		return f.Text != "" && f.Advice != ""
	}
	return false
}

// Every code of the contract has a rule that a test has seen fire.
func TestEveryCodeHasARule(t *testing.T) {
	seen := map[finding.Code]bool{finding.LimitsEdited: true} // TestEditedLimits
	for _, c := range ruleCases() {
		seen[c.code] = true
	}
	for _, code := range finding.Codes() {
		if !seen[code] {
			t.Errorf("no test sees %s raised", code)
		}
	}
}

func TestEditedLimits(t *testing.T) {
	own, err := limit.Parse([]byte("version = \"1.0.0\"\n[[limit]]\nid = \"wall-height\"\nclass = \"molar\"\nunit = \"mm\"\nbad = \"below\"\nflag = 3.5\nsource = \"our own choice\"\n"))
	if err != nil {
		t.Fatal(err)
	}
	j := finding.Judge(sound(), own)
	if len(j.Findings) != 1 || j.Findings[0].Code != finding.LimitsEdited || j.Findings[0].Action != finding.Note || j.Verdict != finding.Clear {
		t.Fatalf("%+v, want limits-edited", j)
	}
	if want := "wall-height (molar): flag 4 → 3.5"; !strings.Contains(j.Findings[0].Text, want) {
		t.Errorf("text %q, want %q in it", j.Findings[0].Text, want)
	}
}
