package finding_test

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"selvage/finding"
	"selvage/limit"
	"selvage/measure"
	"selvage/tooth"
)

// mutation is one thing that can be wrong with a case; it must not undo another.
type mutation struct {
	name string
	do   func(*finding.Facts)
}

func one0(change func(*R)) func(*finding.Facts) {
	return func(f *finding.Facts) { change(&f.Restorations[0]) }
}

func mutations() []mutation {
	return []mutation{
		{"mirrored", func(f *finding.Facts) { f.Scans[1].Mirrored = finding.Yes }},
		{"other mouth", func(f *finding.Facts) { f.Mouth[0].RMS = mm(0.9, 0.05) }},
		{"before broken", func(f *finding.Facts) { f.Scans[4].Fault = "it is empty" }},
		{"another tooth", one0(func(r *R) { r.Found.Tooth = 27 })},
		{"bite shifted", func(f *finding.Facts) { f.Bite.Shift = mm(0.3, 0.02) }},
		{"bite open", func(f *finding.Facts) { f.Bite.Support[0].Gap, f.Bite.Support[1].Gap = um(300, 10), um(300, 10) }},
		{"hole", one0(func(r *R) {
			r.Missing = append(r.Missing, finding.Patch{Region: finding.RegionPreparation, Tooth: 26, Extent: mm(2, 0.1)})
		})},
		{"contact", one0(func(r *R) {
			r.Missing = append(r.Missing, finding.Patch{Region: finding.RegionContact, Tooth: 25, Extent: mm(2, 0.1)})
		})},
		{"doubled", func(f *finding.Facts) {
			f.Scans[1].Doubled = []finding.Patch{{Region: finding.RegionPreparation, Tooth: 26, Area: mm2(4, 0.1)}}
		}},
		{"little room", one0(func(r *R) { r.Clearance[0].Patch = mm(0.5, 0.1) })},
		{"undercut", one0(func(r *R) { r.Undercut.Depth, r.Undercut.Area = mm(0.4, 0.03), mm2(2, 0.1) })},
		{"narrow gap", one0(func(r *R) { r.Neighbours[0].Gap = mm(0.1, 0.05) })},
		{"unclear", one0(func(r *R) {
			r.Margin.Stretches = append(r.Margin.Stretches, finding.Stretch{State: finding.Unclear, Surface: tooth.Distal, Length: mm(2.3, 0.1)})
		})},
		{"coarse", one0(func(r *R) { r.Margin.Spacing = mm(0.3, 0.01) })},
		{"no axis", one0(func(r *R) { r.AxisMeasured = finding.NotLooked("the wall is not to be seen") })},
		{"onlay", one0(func(r *R) { r.Prescription.Kind = "onlay" })},
		{"no opposing", func(f *finding.Facts) {
			f.Scans = slices.DeleteFunc(f.Scans, func(s finding.Scan) bool { return s.Role == finding.RoleOpposing })
		}},
		{"taper", one0(func(r *R) { r.ConvergenceMean = deg(30, 0.5) })},
		{"crumbs", func(f *finding.Facts) { f.Scans[0].Fragments = 4 }},
		{"no licence", func(f *finding.Facts) { f.Order.Missing = []string{"prescriber.licence"} }},
	}
}

// A case with one more thing wrong never decides at a later step: no finding makes
// a verdict milder.
func TestMoreWrongIsNeverMilder(t *testing.T) {
	all := mutations()
	rapid.Check(t, func(t *rapid.T) {
		order := rapid.Permutation(all).Draw(t, "order")
		n := rapid.IntRange(1, len(all)).Draw(t, "n")
		// Scans are addressed by index, so the one that takes a scan away goes last.
		slices.SortStableFunc(order[:n], func(a, b mutation) int { return boolInt(a.name == "no opposing") - boolInt(b.name == "no opposing") })
		f := sound()
		step := judge(f).Step
		for _, m := range order[:n] {
			m.do(&f)
			j := judge(f)
			if j.Step > step {
				t.Fatalf("after %q the verdict went from step %d to step %d (%s)", m.name, step, j.Step, j.Line)
			}
			step = j.Step
		}
	})
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

func TestSameFactsSameJudgement(t *testing.T) {
	f := sound()
	for _, m := range mutations()[4:] {
		m.do(&f)
	}
	first := judge(f)
	for range 20 {
		if again := judge(f); !reflect.DeepEqual(first, again) {
			t.Fatalf("%+v, then %+v", first, again)
		}
	}
	if !slices.IsSortedFunc(first.Findings, func(a, b finding.Finding) int {
		return slices.Index(finding.Actions(), a.Action) - slices.Index(finding.Actions(), b.Action)
	}) && first.Findings[0].Action == finding.Note {
		t.Errorf("a note comes first: %+v", first.Findings[0])
	}
}

// The order of the contract, (1) to (6): each step wins over all later ones.
func TestVerdictOrder(t *testing.T) {
	steps := []struct {
		name    string
		do      func(*finding.Facts)
		verdict finding.Verdict
		line    string
	}{
		{
			"wrong file", func(f *finding.Facts) { f.Mouth[0].RMS = mm(0.9, 0.05) }, finding.NotChecked,
			"Not checked: the scan from before and the working arch do not match",
		},
		{"bite", func(f *finding.Facts) { f.Bite.Penetration = mm(0.4, 0.02) }, finding.ScanAgainNow, "Scan again: bite"},
		{
			"bur", one0(func(r *R) {
				r.Undercut = finding.UndercutFacts{Depth: mm(0.4, 0.03), Area: mm2(2, 0.1), Surface: tooth.Mesial}
			}), finding.AskDentistFirst,
			"Get the dentist: 0.40 ± 0.03 mm undercut, on the mesial side",
		},
		{"margin", one0(func(r *R) {
			r.Margin.Stretches = []finding.Stretch{{State: finding.NotCaptured, Surface: tooth.Distal, Length: mm(2, 0.1)}}
		}), finding.ScanAgainNow, "Scan again: distal margin"},
		{
			"absent", one0(func(r *R) {
				r.FinishLine = finding.FinishLineFacts{WidthMin: measure.Not("the shelf is not to be seen")}
			}), finding.NotChecked,
			"Not checked: the shelf is not to be seen",
		},
		{"nothing", func(*finding.Facts) {}, finding.Clear, "Nothing to scan again. For the dentist to review."},
	}
	for first := range steps {
		f := sound()
		for _, s := range steps[first:] {
			s.do(&f)
		}
		j := judge(f)
		if s := steps[first]; j.Step != first+1 || j.Verdict != s.verdict || j.Line != s.line {
			t.Errorf("%s and all that is milder: step %d, %s, %q, want %d, %s, %q", s.name, j.Step, j.Verdict, j.Line, first+1, s.verdict, s.line)
		}
	}
}

// The lines of the contract's table, word for word.
func TestLinesOfTheContract(t *testing.T) {
	for _, c := range []struct {
		facts finding.Facts
		want  string
	}{
		{sound(), "Nothing to scan again. For the dentist to review."},
		{captured(2, 0.1, tooth.Distal), "Scan again: distal margin"},
		{room(0.83, 0.10), "Get the dentist: 0.8 ± 0.1 mm at the palatal cusp"},
		{withCase(func(f *finding.Facts) { f.Scans = append(f.Scans[:2:2], f.Scans[3:]...) }), "Not checked: no opposing arch"},
	} {
		if got := judge(c.facts).Line; got != c.want {
			t.Errorf("line %q, want %q", got, c.want)
		}
	}
}

// Open-margin is shown as such and counts as scan-again.
func TestOpenMarginIsShownAsSuch(t *testing.T) {
	j := judge(unclear(2.3, 0.1, tooth.Distal, false, 0))
	if j.Verdict != finding.ScanAgainNow || j.Line != "Open the margin, then scan again: distal margin" {
		t.Errorf("%s, %q", j.Verdict, j.Line)
	}
}

func TestLineNamesTwoPlacesAndCountsTheRest(t *testing.T) {
	j := judge(with(func(r *R) {
		for i, s := range []tooth.Surface{tooth.Mesial, tooth.Distal, tooth.Buccal, tooth.Distal} {
			r.Margin.Stretches = append(r.Margin.Stretches, finding.Stretch{State: finding.NotCaptured, Surface: s, Length: mm(1+float64(i), 0.1)})
		}
	}))
	if want := "Scan again: distal margin, buccal margin and 1 more"; j.Line != want {
		t.Errorf("line %q, want %q", j.Line, want)
	}
	if len(j.Findings) != 4 || j.Findings[0].Measured.V != 4 || j.Findings[3].Measured.V != 1 {
		t.Errorf("findings are not listed worst first: %+v", j.Findings)
	}
}

// Each measure that the stage needs makes the case not-checked when it is absent,
// with its own reason; one that the stage does not need does not.
func TestAbsentMeasures(t *testing.T) {
	why := measure.Not("the light was bad")
	not := finding.NotLooked("the light was bad")
	for _, c := range []struct {
		name        string
		do          func(*finding.Facts)
		preparation bool // needed at that stage too
	}{
		{"penetration_max_mm", func(f *finding.Facts) { f.Bite.Penetration = why }, true},
		{"contacts", func(f *finding.Facts) { f.Bite.Contacts = why }, true},
		{"residual_um", func(f *finding.Facts) { f.Bite.Residual = why }, true},
		{"shift_at_tooth_mm", func(f *finding.Facts) { f.Bite.Shift = why }, true},
		{"missing_surface", one0(func(r *R) { r.Coverage = not }), true},
		{"margin", one0(func(r *R) { r.Margin.Look = not }), false},
		{"contact_areas", one0(func(r *R) { r.Neighbours[1].Contact = not }), false},
		{"insertion_axis", one0(func(r *R) { r.AxisMeasured = not }), true},
		{"undercut_depth_max_mm", one0(func(r *R) { r.Undercut.Depth = why }), true},
		{"undercut_area_mm2", one0(func(r *R) { r.Undercut.Area = why }), true},
		{"path_overlap_mm", one0(func(r *R) { r.Path.Overlap = why }), true},
		{"clearance_patch_min_mm", one0(func(r *R) { r.Clearance, r.ClearanceLook = nil, not }), true},
		{"clearance_patch_min_mm", one0(func(r *R) { r.Clearance = []finding.Room{{Patch: why}} }), true},
		{"reduction_occlusal_min_mm", one0(func(r *R) { r.ReductionLook = not }), true},
		{"convergence_mean_deg", one0(func(r *R) { r.ConvergenceMean = why }), false},
		{"wall_height_min_mm", one0(func(r *R) { r.WallHeight = why }), false},
		{"height_to_base", one0(func(r *R) { r.HeightToBase = why }), false},
		{"resistance", one0(func(r *R) { r.Resistance = why }), false},
		{"finish_line", one0(func(r *R) { r.FinishLine.WidthMin = why }), false},
	} {
		for _, stage := range []finding.Stage{finding.Preparation, finding.Final} {
			f := sound()
			f.Stage = stage
			c.do(&f)
			j := judge(f)
			needed := c.preparation || stage == finding.Final
			if needed != slices.Contains(finding.Needed(stage), c.name) {
				t.Errorf("Needed(%s) and the test disagree on %s", stage, c.name)
			}
			if !needed {
				if j.Verdict != finding.Clear {
					t.Errorf("%s absent at %s: %s, want clear", c.name, stage, j.Verdict)
				}
				continue
			}
			if j.Verdict != finding.NotChecked || j.Line != "Not checked: the light was bad" || len(j.Absent) != 1 || j.Absent[0].Measure != c.name {
				t.Errorf("%s absent at %s: %s, %q, %+v", c.name, stage, j.Verdict, j.Line, j.Absent)
			}
		}
	}
}

func TestNeededTableIsTestedWhole(t *testing.T) {
	if got := len(finding.Needed(finding.Final)); got != 18 {
		t.Errorf("the final stage needs %d measures; add the new ones to TestAbsentMeasures", got)
	}
}

// Facts that nobody filled in are absent, never a pass.
func TestEmptyFactsAreNotChecked(t *testing.T) {
	for _, f := range []finding.Facts{{}, {Restorations: []finding.Restoration{{}}}, {Stage: finding.Preparation, Restorations: []finding.Restoration{{}}}} {
		j := judge(f)
		if j.Verdict != finding.NotChecked || j.Line == "" || strings.HasSuffix(j.Line, ": ") {
			t.Errorf("%+v: %s, %q", f, j.Verdict, j.Line)
		}
		for _, a := range j.Absent {
			if a.Why == "" {
				t.Errorf("%s is absent without a reason", a.Measure)
			}
		}
	}
}

// What may be missing without harm: a bite record, a scan from before, neighbours.
func TestWhatIsNotNeeded(t *testing.T) {
	none := measure.Not("the case has none")
	for name, f := range map[string]finding.Facts{
		"no bite record": withCase(func(f *finding.Facts) {
			f.Bite.RecordGiven, f.Bite.Residual, f.Bite.Shift = false, none, none
			f.Scans = append(f.Scans[:3:3], f.Scans[4])
		}),
		"no scan from before": withCase(func(f *finding.Facts) {
			f.Scans, f.Mouth = f.Scans[:4], nil
			f.Restorations[0].Reduction, f.Restorations[0].ReductionLook = nil, finding.NotLooked("no scan from before the preparation")
		}),
		"no neighbours": with(func(r *R) { r.Neighbours, r.Path = nil, finding.PathFacts{Overlap: none} }),
	} {
		if j := judge(f); j.Verdict != finding.Clear {
			t.Errorf("%s: %s, %q, want clear", name, j.Verdict, j.Line)
		}
	}
}

func TestMarginThatDoesNotClose(t *testing.T) {
	j := judge(with(func(r *R) { r.Margin.Closed = false }))
	if j.Verdict != finding.NotChecked || j.Line != "Not checked: the margin does not run round the tooth" {
		t.Errorf("%s, %q", j.Verdict, j.Line)
	}
}

func TestOtherKindsAreNotChecked(t *testing.T) {
	j := judge(with(func(r *R) { r.Prescription.Kind = "veneer" }))
	if j.Verdict != finding.NotChecked || !strings.Contains(j.Line, "this version measures crowns") || !strings.Contains(j.Line, "veneer") {
		t.Errorf("%s, %q", j.Verdict, j.Line)
	}
}

// A value in a unit that its limit cannot take does not pass in silence.
func TestWrongUnitIsNotChecked(t *testing.T) {
	for name, f := range map[string]finding.Facts{
		"undercut": with(func(r *R) { r.Undercut.Depth = deg(0, 0.1) }),
		"noise":    scanOf("working", func(s *finding.Scan) { s.Noise = mm2(1, 0.1) }),
		"room":     with(func(r *R) { r.Clearance[0].Patch = deg(3, 0.1) }),
		"width":    with(func(r *R) { r.FinishLine.WidthMin = deg(3, 0.1) }),
	} {
		if j := judge(f); j.Verdict != finding.NotChecked || !strings.Contains(j.Line, "was expected") {
			t.Errorf("%s: %s, %q, want not-checked", name, j.Verdict, j.Line)
		}
	}
}

// Millimetres and micrometres are turned into each other.
func TestUnitsOfLengthAreConverted(t *testing.T) {
	j := judge(with(func(r *R) { r.Margin.Rough = mm(0.15, 0.01) }))
	if len(j.Findings) != 1 || j.Findings[0].Limit != 0.1 {
		t.Fatalf("%+v, want margin-rough with the limit 0.1 mm", j.Findings)
	}
	if j := judge(with(func(r *R) { r.Margin.Rough = mm(0.04, 0.01) })); len(j.Findings) != 0 {
		t.Errorf("0.04 mm is raised: %+v", j.Findings)
	}
	j = judge(with(func(r *R) { r.SharpEdge = um(100, 10) }))
	if len(j.Findings) != 1 || j.Findings[0].Limit != 300 {
		t.Fatalf("%+v, want sharp-edge with the limit 300 µm", j.Findings)
	}
}

// The verdict of a case with two prepared teeth is that of the worse one.
func TestTwoRestorations(t *testing.T) {
	f := sound()
	f.Restorations = append(f.Restorations, soundTooth(15))
	f.Restorations[1].Clearance[0].Patch = mm(0.4, 0.1)
	f.Restorations[0].ConvergenceMean = deg(30, 0.5)
	j := judge(f)
	if j.Verdict != finding.AskDentistFirst || len(j.Findings) != 2 || j.Findings[0].Restoration != 1 || j.Findings[1].Restoration != 0 {
		t.Errorf("%s: %+v", j.Verdict, j.Findings)
	}
}

func ExampleJudge() {
	f := sound()
	f.Restorations[0].Clearance[0].Patch = measure.Of(0.83, 0.10, measure.MM)
	j := finding.Judge(f, limit.Default())
	fmt.Println(j.Line)
	fmt.Println(j.Findings[0].Text)
	fmt.Println(j.Findings[0].Advice)
	// Output:
	// Get the dentist: 0.8 ± 0.1 mm at the palatal cusp
	// The least room measured at the palatal cusp is 0.8 ± 0.1 mm, although the tooth was reduced enough there. Your table asks for 1.05 mm or more.
	// Look at the bite first, then at the opposing tooth: it may be overgrown.
}
