package picture

import (
	"bytes"
	"image/png"
	"math"
	"testing"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/measure"
	"selvage/r3"
	"selvage/tooth"
)

// patient directions: x to the patient's left, y to the back, z up.
var (
	left, back, up = r3.V(1, 0, 0), r3.V(0, 1, 0), r3.V(0, 0, 1)
)

// stageOf places tooth n in the patient's directions.
func stageOf(n tooth.Number) Stage {
	s := Stage{Tooth: n, Occlusal: up, Mesial: back.Neg(), Buccal: left}
	if n.Jaw() == tooth.Upper {
		s.Occlusal = up.Neg()
	}
	if n.Side() == tooth.Right {
		s.Buccal = left.Neg()
	}
	if n.Position() <= 2 {
		s.Mesial, s.Buccal = s.Buccal.Neg(), back.Neg()
	}
	return s
}

// TestChart checks how every tooth is turned when looked at from its biting side:
// the patient's right on the left of the picture, the front at the top of an upper
// and at the bottom of a lower arch.
func TestChart(t *testing.T) {
	for _, n := range tooth.All() {
		s := stageOf(n)
		p := View{Eye: s.occlusal(), Up: s.upFor(s.occlusal()), Span: 10}.projector(100, 100)
		front, _ := s.front().Unit()
		if _, y, _ := p.dir(front); (y < -0.9) != (n.Jaw() == tooth.Upper) {
			t.Errorf("tooth %v: the front points to y = %.2f", n, y)
		}
		if n.Position() >= 6 {
			x, _, _ := p.dir(left)
			if x < 0.9 {
				t.Errorf("tooth %v: the patient's left points to x = %.2f, want the right of the picture", n, x)
			}
		}
	}
}

// TestSideViewHasHeadUp checks that from the cheek the top of the head is up.
func TestSideViewHasHeadUp(t *testing.T) {
	for _, n := range tooth.All() {
		s := stageOf(n)
		p := View{Eye: s.Buccal, Up: s.upFor(s.Buccal), Span: 10}.projector(100, 100)
		if _, y, _ := p.dir(up); y > -0.99 {
			t.Errorf("tooth %v: up points to y = %.2f", n, y)
		}
	}
}

// TestStates checks how the report's stretches become lines, the end of the list
// included, and that a report with wrong indices does no harm.
func TestStates(t *testing.T) {
	m := casefile.Margin{Closed: true, Points: make([][3]float64, 20), Confidence: make([]float64, 20)}
	for i := range m.Confidence {
		m.Confidence[i] = 0.9
	}
	m.Confidence[10] = 0.2
	m.Stretches = []casefile.Stretch{
		{State: finding.NotCaptured, From: 18, To: 1, LengthMM: 1},
		{State: finding.Unclear, From: 4, To: 5, LengthMM: 0.4},
		{State: finding.Unclear, From: 6, To: 8, LengthMM: 1.4},
		{State: finding.Unclear, From: -3, To: 99, LengthMM: 9},
	}
	want := map[int]State{18: NotCaptured, 19: NotCaptured, 0: NotCaptured, 1: NotCaptured, 4: Bridged, 5: Bridged, 6: Doubtful, 7: Doubtful, 8: Doubtful, 10: Bridged}
	got := states(m)
	for i, s := range got {
		if s != want[i] {
			t.Errorf("point %d: state %d, want %d", i, s, want[i])
		}
	}
	pts := make([]r3.Vec, 20)
	for i := range pts {
		pts[i] = r3.V(float64(i), 0, 0)
	}
	total := 0
	for _, s := range split(pts, got, true) {
		total += len(s.Points) - 1 // runs share their ends
	}
	if total != 20 {
		t.Errorf("the runs have %d sides together, want 20", total)
	}
}

// TestSpotIsSeen checks that the camera does not look through a neighbour: the
// distal margin faces the neighbour, so a look along its normal is blocked.
func TestSpotIsSeen(t *testing.T) {
	s := fixtureStage().prepared()
	p := Spot{At: marginPoint(math.Pi), Normal: r3.V(-1, 0, 0)}
	if s.sees(p, r3.V(-1, 0, 0.05)) {
		t.Fatal("the fixture's neighbour should hide the distal margin from behind")
	}
	if eye := s.spotEye(p); !s.sees(p, eye) {
		t.Errorf("the spot is not seen from the chosen direction %v", eye)
	}
}

// fixtureReport is a report about the fixture.
func fixtureReport() casefile.Report {
	at := func(p r3.Vec) *[3]float64 { a := p.Array(); return &a }
	two := 1.6
	r := casefile.RestorationReport{Tooth: casefile.NamesOf(fixtureTooth)}
	r.Measures.InsertionAxis = casefile.AxisMeasure{Value: [3]float64{0, 0, 1}, UDeg: 0.4, Scan: finding.RoleWorking}
	for i := range 180 {
		r.Measures.Margin.Points = append(r.Measures.Margin.Points, marginPoint(2*math.Pi*float64(i)/180).Array())
		r.Measures.Margin.Confidence = append(r.Measures.Margin.Confidence, 0.95)
	}
	r.Measures.Margin.Scan, r.Measures.Margin.Closed = finding.RoleWorking, true
	r.Measures.Margin.Stretches = []casefile.Stretch{{State: finding.NotCaptured, From: 80, To: 88, LengthMM: 1.4, Surface: tooth.Distal}}
	r.Measures.ClearancePatch = casefile.Of(measure.Of(1.2, 0.1, measure.MM).At(measure.Place{At: r3.V(1, 0, 4.6), Scan: "working"}))
	r.Findings = []casefile.Finding{
		{
			Code: finding.MarginNotCaptured, Action: finding.ScanAgain, Tooth: "16", Surface: tooth.Distal, Scan: finding.RoleWorking,
			At: at(marginPoint(2.9)), Normal: at(r3.V(-1, 0, 0)), Measured: &two, Unit: "mm", Text: "The scan ends at the margin.",
			Approach: &casefile.Approach{Direction: [3]float64{-0.5, 0, 0.87}, TiltDeg: 30, From: tooth.Distal},
		},
		{Code: finding.WallsShort, Action: finding.Note, Text: "Short.", Tooth: "16"},
	}
	return casefile.Report{Line: "Scan again: distal margin", Restorations: []casefile.RestorationReport{r}}
}

// TestForReport checks which pictures a report gets, and what they say in words.
func TestForReport(t *testing.T) {
	s := fixtureStage()
	src := Source{
		Scans: []Scan{{finding.RoleWorking, s.Prepared}, {finding.RoleOpposing, s.Opposing}},
		Sites: []Site{{Occlusal: s.Occlusal, Mesial: s.Mesial, Buccal: s.Buccal, Clearance: s.Clearance, ClearanceOn: finding.RoleWorking, ClearanceLimit: 1.5}},
	}
	figs := ForReport(fixtureReport(), src)
	want := []struct{ slot, alt string }{
		{"overview-0", "Tooth 16 seen along the insertion axis. Scan again: distal margin"},
		{"clearance-0", "Room to the opposing teeth over the preparation; least over a patch: 1.2 ± 0.1 mm."},
		{"bite-0", "Both arches in the bite that was measured, seen from the cheek at tooth 16."},
		{"finding-1", "The scan ends at the margin."},
		{"hold-1", "Hold the scanner tip tilted by about 30° from straight over the tooth, looking from the distal side."},
	}
	if len(figs) != len(want) {
		t.Fatalf("%d pictures, want %d", len(figs), len(want))
	}
	for i, f := range figs {
		if f.Slot != want[i].slot || f.Alt != want[i].alt {
			t.Errorf("picture %d: %q, %q; want %q, %q", i, f.Slot, f.Alt, want[i].slot, want[i].alt)
		}
		img, err := png.Decode(bytes.NewReader(f.Data))
		if err != nil {
			t.Errorf("%s: %v", f.Slot, err)
		} else if b := img.Bounds(); b.Dx() != 2*f.W || b.Dy() != 2*f.H {
			t.Errorf("%s: %v, want twice %d x %d", f.Slot, b, f.W, f.H)
		}
	}
	if got := ForReport(fixtureReport(), Source{Sites: src.Sites}); len(got) != 0 {
		t.Errorf("%d pictures without a scan, want none", len(got))
	}
}

// TestRoomSection checks that the section holds both ends of the distance and names it.
func TestRoomSection(t *testing.T) {
	s := fixtureStage()
	f, ok := s.RoomSection(fixtureSpots()[1])
	if !ok || f.MIME != "image/svg+xml" {
		t.Fatalf("ok %v, %s", ok, f.MIME)
	}
	for _, want := range []string{">0.8 ± 0.1 mm</text>", `stroke="#161a22"`, `stroke="#4a6078"`} {
		if !bytes.Contains(f.Data, []byte(want)) {
			t.Errorf("the section lacks %s", want)
		}
	}
	s.Opposing = nil
	if _, ok := s.RoomSection(fixtureSpots()[1]); ok {
		t.Error("a section of the room without an opposing arch")
	}
}
