package finding_test

import (
	"testing"

	"selvage/finding"
	"selvage/limit"
	"selvage/tooth"
)

// spoilt is a case whose tooth is wrong in every way that does not touch the bite
// or a file: what is raised of it shows what a failure lets through.
func spoilt() finding.Facts {
	return with(func(r *R) {
		r.Clearance[0].Patch = mm(0.4, 0.1)
		r.Movement[0].Patch = mm(0.3, 0.1)
		r.Reduction[0].Patch = mm(0.4, 0.05)
		r.Undercut = finding.UndercutFacts{Depth: mm(0.4, 0.03), Area: mm2(2, 0.1), Surface: tooth.Mesial}
		r.Neighbours[0].Damage = mm(0.4, 0.05)
		r.ConvergenceMean = deg(30, 0.5)
	})
}

func codes(j finding.Judgement) map[finding.Code]bool {
	out := map[finding.Code]bool{}
	for _, f := range j.Findings {
		out[f.Code] = true
	}
	return out
}

func TestFindingsThatRestOnAFailedOneAreNotRaised(t *testing.T) {
	all := []finding.Code{finding.ClearanceLow, finding.ClearanceInMovement, finding.ReductionLow, finding.Undercut, finding.NeighbourDamaged, finding.ConvergenceHigh}
	for _, c := range []struct {
		name   string
		do     func(*finding.Facts)
		raised []finding.Code
	}{
		{"nothing fails", func(*finding.Facts) {}, all},
		{"bite doubtful", func(f *finding.Facts) { f.Bite.Shift = mm(0.4, 0.02) }, []finding.Code{finding.ReductionLow, finding.Undercut, finding.NeighbourDamaged, finding.ConvergenceHigh}},
		{"bite too close to call", func(f *finding.Facts) { f.Bite.Penetration = mm(0.14, 0.02) }, []finding.Code{finding.ReductionLow, finding.Undercut, finding.NeighbourDamaged, finding.ConvergenceHigh}},
		{"bite only noted", func(f *finding.Facts) { f.Bite.Penetration = mm(0.08, 0.02) }, all},
		{"opposing broken", func(f *finding.Facts) { f.Scans[2].Fault = "it is empty" }, []finding.Code{finding.ReductionLow, finding.Undercut, finding.NeighbourDamaged, finding.ConvergenceHigh}},
		{"before is another mouth", func(f *finding.Facts) { f.Mouth[0].RMS = mm(0.9, 0.05) }, []finding.Code{finding.ClearanceLow, finding.ClearanceInMovement, finding.Undercut, finding.ConvergenceHigh}},
		{"working mirrored", func(f *finding.Facts) { f.Scans[1].Mirrored = finding.Yes }, nil},
		{"wrong tooth", one0(func(r *R) { r.Found.Tooth = 25 }), nil},
		{"preparation doubled", func(f *finding.Facts) {
			f.Scans[1].Doubled = []finding.Patch{{Region: finding.RegionPreparation, Area: mm2(3, 0.1)}}
		}, []finding.Code{finding.NeighbourDamaged, finding.ConvergenceHigh}},
		{"opposing invented", func(f *finding.Facts) {
			f.Scans[2].Invented = []finding.Patch{{Region: finding.RegionOpposing, Area: mm2(3, 0.1)}}
		}, []finding.Code{finding.ReductionLow, finding.Undercut, finding.NeighbourDamaged, finding.ConvergenceHigh}},
	} {
		f := spoilt()
		c.do(&f)
		got := codes(judge(f))
		for _, code := range all {
			want := false
			for _, r := range c.raised {
				want = want || r == code
			}
			if got[code] != want {
				t.Errorf("%s: %s raised %v, want %v", c.name, code, got[code], want)
			}
		}
	}
}

// A mirrored scan shows the wrong side; that is one finding, not two.
func TestMirroredIsNotAlsoAnotherTooth(t *testing.T) {
	f := sound()
	f.Scans[1].Mirrored = finding.Yes
	f.Restorations[0].Found = finding.Found{Answer: finding.No, Sure: true}
	j := judge(f)
	if len(j.Findings) != 1 || j.Findings[0].Code != finding.ScanMirrored {
		t.Errorf("%+v, want scan-mirrored alone", j.Findings)
	}
}

// A bite record that is the wrong file says nothing about the bite; the pose is
// still judged by its overlap.
func TestBrokenBiteRecord(t *testing.T) {
	f := sound()
	f.Scans[3].Fault = "it is empty"
	f.Bite.Shift, f.Bite.Penetration = mm(0.5, 0.02), mm(0.5, 0.02)
	got := codes(judge(f))
	if got[finding.BiteDiffers] || !got[finding.BitePenetrates] || !got[finding.FileUnreadable] {
		t.Errorf("raised %v", got)
	}
}

func TestPreparationStageLeavesMarginAndContactsAlone(t *testing.T) {
	f := with(func(r *R) {
		r.Margin.Stretches = []finding.Stretch{{State: finding.Unclear, Surface: tooth.Distal, Length: mm(5, 0.1)}}
		r.Margin.Rough, r.Margin.RootBelow, r.Margin.Sulcus, r.Margin.Spacing = um(300, 5), mm(0, 0.05), mm(0, 0.05), mm(0.4, 0.01)
		r.FinishLine.WidthMin = mm(0.2, 0.05)
		r.Undercut.NearDepth, r.Undercut.NearArea = mm(0.09, 0.01), mm2(0.3, 0.05)
		r.ShortOf = []finding.ShortArch{{Role: "working", Tooth: 23}}
		for _, region := range []finding.Region{finding.RegionMargin, finding.RegionContact, finding.RegionTissue, finding.RegionNeighbour} {
			r.Missing = append(r.Missing, finding.Patch{Region: region, Tooth: 25, Extent: mm(5, 0.1)})
		}
	})
	f.Scans[1].Doubled = []finding.Patch{{Region: finding.RegionMargin, Area: mm2(5, 0.1)}}
	f.Stage = finding.Preparation
	if j := judge(f); j.Verdict != finding.Clear || len(j.Findings) != 0 {
		t.Errorf("%s: %+v, want clear", j.Verdict, j.Findings)
	}
	f.Stage = finding.Final
	if j := judge(f); len(j.Findings) < 9 {
		t.Errorf("the final stage raises only %+v", j.Findings)
	}
	f = spoilt()
	f.Stage = finding.Preparation
	got := codes(judge(f))
	for _, c := range []finding.Code{finding.ClearanceLow, finding.ReductionLow, finding.Undercut} {
		if !got[c] {
			t.Errorf("the preparation stage does not raise %s", c)
		}
	}
}

// Without a material, what is too little for all is low, what is enough for all is
// enough, and what lies between is not judged and says so.
func TestMaterialNotNamed(t *testing.T) {
	for _, c := range []struct {
		room    float64
		verdict finding.Verdict
		low     bool
	}{
		{0.3, finding.AskDentistFirst, true}, // below 3Y zirconia, the least of all
		{1.0, finding.NotChecked, false},     // enough for zirconia, not for leucite
		{1.8, finding.Clear, false},          // enough for all
	} {
		f := with(func(r *R) {
			r.Prescription.Material, r.Prescription.Cement = "", ""
			r.Prescription.Missing = []string{"material", "cement"}
			r.Clearance = []finding.Room{{Zone: limit.Functional, Patch: mm(c.room, 0.05)}}
			r.Reduction = []finding.Room{{Zone: limit.Functional, Patch: mm(2.1, 0.05)}}
			r.Movement, r.FinishLine.WidthMin = nil, mm(1.6, 0.05)
		})
		j := judge(f)
		if j.Verdict != c.verdict || codes(j)[finding.ClearanceLow] != c.low || !codes(j)[finding.PrescriptionIncomplete] {
			t.Errorf("room %.1f: %s %q, %+v", c.room, j.Verdict, j.Line, j.Findings)
		}
		if c.verdict == finding.NotChecked && j.Line != "Not checked: the prescription names no material, so the room for the crown has no limit" {
			t.Errorf("line %q", j.Line)
		}
	}
}

func TestCementNotNamed(t *testing.T) {
	f := with(func(r *R) {
		r.Prescription.Cement = ""
		r.Clearance[0].Patch = mm(1.3, 0.05) // bonded 1.05, cemented 1.55
	})
	if j := judge(f); j.Verdict != finding.NotChecked || j.Line != "Not checked: the prescription names no cement, so the room for the crown has no limit" {
		t.Errorf("%s, %q", j.Verdict, j.Line)
	}
}

// A knife edge has no shelf; none is demanded where one was prescribed.
func TestKnifeEdgeNeedsNoWidth(t *testing.T) {
	f := with(func(r *R) {
		r.Prescription.FinishLine, r.FinishLine.Kind, r.FinishLine.WidthMin = limit.KnifeEdge, limit.KnifeEdge, mm(0.1, 0.05)
	})
	if j := judge(f); j.Verdict != finding.Clear || len(j.Findings) != 0 {
		t.Errorf("%s, %+v", j.Verdict, j.Findings)
	}
}

// Bonded crowns are held by the bond: no resistance finding.
func TestResistanceOnlyWithConventionalCement(t *testing.T) {
	if j := judge(with(func(r *R) { r.Resistance = one(0.1, 0.02) })); len(j.Findings) != 0 {
		t.Errorf("%+v", j.Findings)
	}
}

// Same-day crowns ask for no due date and no buffer before seating.
func TestSameDayInHouse(t *testing.T) {
	f := with(func(r *R) { r.Prescription.MadeBy = finding.InHouse })
	f.Order = finding.Order{Prepared: "2026-05-04", Seat: "2026-05-04"}
	if j := judge(f); len(j.Findings) != 0 {
		t.Errorf("%+v", j.Findings)
	}
	f.Order = finding.Order{Prepared: "2026-05-04", Due: "2026-05-04", Seat: "2026-05-04"}
	if j := judge(f); len(j.Findings) != 0 {
		t.Errorf("%+v", j.Findings)
	}
	f.Restorations[0].Prescription.MadeBy = finding.Laboratory
	if j := judge(f); len(j.Findings) != 1 || j.Findings[0].Code != finding.DateImpossible {
		t.Errorf("%+v, want date-impossible", j.Findings)
	}
}

// Variants of the texts that need a particular fact.
func TestVariants(t *testing.T) {
	tilt := &finding.Approach{Direction: [3]float64{0, 0.17, 0.98}, Tilt: 0.1745, From: tooth.Mesial}
	for _, c := range []struct {
		name, text, advice string
		facts              finding.Facts
	}{
		{"room short although reduced enough", "although the tooth was reduced enough there", "Look at the bite first", room(0.5, 0.05)},
		{"room short and not reduced", "is 0.50 ± 0.05 mm. Your", "take more off", with(func(r *R) {
			r.Clearance[0].Patch, r.Reduction = mm(0.5, 0.05), nil
			r.Reduction = []finding.Room{{Zone: limit.Axial, Patch: mm(1.2, 0.05)}}
		})},
		{"path that a tilt frees", "in the way", "A path tilted by 10° would be free", with(func(r *R) { r.Path = finding.PathFacts{Overlap: mm(0.3, 0.02), Neighbour: 27, Free: tilt} })},
		{"not captured after three tries", "after 3 tries", "a second cord, wait, a conventional impression", with(func(r *R) {
			r.Margin.Stretches = []finding.Stretch{{State: finding.NotCaptured, Surface: tooth.Distal, Length: mm(2, 0.1), Tries: 3}}
		})},
		{"two lines after two tries", "after 2 tries", "mark the line", with(func(r *R) {
			r.Margin.TwoLines = []finding.Stretch{{Surface: tooth.Distal, Length: mm(2, 0.1), Apart: mm(0.6, 0.1), Tries: 2}}
		})},
		{"how to hold the tip", "Tissue", "then scan the distal margin. Hold the tip tilted by 35°, from the distopalatal side: roll it in towards the palate and push it back past the tooth and tip it to look forward.", with(func(r *R) {
			r.Margin.Stretches = []finding.Stretch{{State: finding.Unclear, Surface: tooth.Distal, Length: mm(2, 0.1), Approach: &finding.Approach{Tilt: 0.61, From: tooth.Distolingual}}}
		})},
		{"further ways round a long stretch", "Tissue", "from the buccal side: roll it out towards the cheek, then by 40° from the distal side.", with(func(r *R) {
			r.Margin.Stretches = []finding.Stretch{{State: finding.Unclear, Surface: tooth.Buccal, Length: mm(2, 0.1), Approach: &finding.Approach{
				Tilt: 0.61, From: tooth.Buccal, Then: []finding.Approach{{Tilt: 0.698, From: tooth.Distal}},
			}}}
		})},
		{"a spot that nothing sees", "Tissue", "No way of holding the tip sees this spot", with(func(r *R) {
			r.Margin.Stretches = []finding.Stretch{{State: finding.Unclear, Surface: tooth.Distal, Length: mm(2, 0.1), Approach: &finding.Approach{Bar: finding.Shadowed}}}
		})},
		{"tip straight above", "Tissue", "Hold the tip straight above.", with(func(r *R) {
			r.Margin.Stretches = []finding.Stretch{{State: finding.Unclear, Surface: tooth.Distal, Length: mm(2, 0.1), Approach: &finding.Approach{Tilt: 0.1, From: tooth.Distolingual}}}
		})},
		{"margin lost all round", "ends at the margin for 30.0 mm: margin, nearly all round.", "Dry", with(func(r *R) {
			r.Margin.Stretches = []finding.Stretch{{State: finding.NotCaptured, Surface: tooth.Distal, Length: mm(30, 0.2)}}
		})},
		{"distal cusp of the holding side", "at the distopalatal cusp", "", with(func(r *R) { r.Clearance[0].Patch, r.Clearance[0].Surface = mm(0.5, 0.05), tooth.Distal })},
	} {
		j := judge(c.facts)
		if len(j.Findings) != 1 || !contains(j.Findings[0].Text, c.text) || !contains(j.Findings[0].Advice, c.advice) {
			t.Errorf("%s: %+v", c.name, j.Findings)
			continue
		}
		checkTexts(t, j.Findings[0], j)
	}
}
