package packed

import (
	"encoding/json"
	"math"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/internal/meshtest"
	"selvage/occlusion"
	"selvage/r3"
	"selvage/tooth"
)

// outcome is a finished check of an upper left first molar, made by hand: mesial is
// +y, buccal +x, occlusal +z in the working frame; the opposing scan's file frame lies
// 10 mm beside it.
func outcome(t *testing.T) check.Outcome {
	t.Helper()
	n, err := tooth.Parse(tooth.FDI, "26")
	if err != nil {
		t.Fatal(err)
	}
	working := &check.Scan{Role: finding.RoleWorking, Mesh: meshtest.Painted(stump(0.5)), ToWorking: r3.Still()}
	working.Look.Orientation.Occlusal = r3.V(0, 0, 1)
	opposing := &check.Scan{Role: finding.RoleOpposing, Mesh: meshtest.Plate(4, 4, 1, func(int, int) bool { return false }), ToWorking: r3.Still()}
	broken := &check.Scan{Role: finding.RoleBefore, Fault: "cut short"}
	var o check.Outcome
	o.Scene.Scans = []*check.Scan{working, opposing, broken}
	o.Scene.Restorations = []check.SceneTooth{{
		Number: n, Seen: true, Source: working, Center: r3.V(0, 0, 2), Axis: r3.V(0, 0, 1), Mesial: r3.V(0, 1, 0), Buccal: r3.V(1, 0, 0),
		Clearance: []occlusion.ClearanceAt{{Vertex: 3, Distance: 1.25}, {Vertex: 5, Distance: math.Inf(1)}},
	}}
	o.Report.Line = "Scan again: distal margin."
	o.Report.Scans = []casefile.Scan{{Role: finding.RoleWorking}, {Role: finding.RoleOpposing, ToWorking: &casefile.Transform{
		Rows: [3][4]float64{{1, 0, 0, 10}, {0, 1, 0, 0}, {0, 0, 1, 0}},
	}}}
	u, measured := 0.1, 0.8
	r := casefile.RestorationReport{}
	r.Tooth.FDI = "26"
	r.Measures.Margin = casefile.Margin{Closed: true, Scan: finding.RoleWorking, Stretches: []casefile.Stretch{{State: finding.NotCaptured, From: 10, To: 1}}}
	for i := range 12 {
		p := meshtest.Round(5, 2*math.Pi*float64(i)/12, 0.5)
		r.Measures.Margin.Points = append(r.Measures.Margin.Points, [3]float64{p.X, p.Y, p.Z})
	}
	r.Findings = []casefile.Finding{
		{Code: finding.ClearanceLow, Action: finding.AskDentist, Scan: finding.RoleOpposing, At: &[3]float64{-10, 0, 5}, Normal: &[3]float64{0, 0, -1}, Measured: &measured, U: &u, Unit: "mm", Text: "too little room"},
		{Code: finding.MarginNotCaptured, Action: finding.ScanAgain, Scan: finding.RoleWorking, At: &[3]float64{0, -5, 0.5}, Approach: &casefile.Approach{Direction: [3]float64{0, -1, 0}}, Text: "not captured"},
		{Code: finding.WallsShort, Action: finding.Note, Text: "no place"},
	}
	o.Report.Restorations = []casefile.RestorationReport{r}
	return o
}

func site() Site {
	return Site{
		Address: func(r finding.Role, coarse bool) string {
			return "m/" + string(r) + map[bool]string{true: "?coarse"}[coarse]
		},
		Say: func(key string) (string, bool) {
			w, ok := map[string]string{"view.path": "Einschubrichtung"}[key]
			return w, ok
		},
		Point: "p", ClearanceLimit: 1.05,
	}
}

func TestSceneOfACheck(t *testing.T) {
	o := outcome(t)
	s, ok := SceneOf(o, 0, site())
	if !ok {
		t.Fatal("no scene")
	}
	if c := vec(s.Centre); c.Dist(r3.V(0, 0, 0.5)) > 1e-9 || math.Abs(s.Radius-5) > 1e-9 {
		t.Errorf("the margin's middle is %v and its radius %g", s.Centre, s.Radius)
	}
	// The stretch runs over the end of the list: points 10, 11, 0 and 1.
	var lost []int
	for i, st := range s.Margins[0].State {
		if st == NotCaptured {
			lost = append(lost, i)
		}
	}
	if !slices.Equal(lost, []int{0, 1, 10, 11}) {
		t.Errorf("points %v are not captured, want 0, 1, 10 and 11", lost)
	}
	if len(s.Surfaces) != 2 || s.Surfaces[0].Kind != Subject || !s.Surfaces[0].Shown || !s.Surfaces[0].Colour || s.Surfaces[1].Kind != Opposing || s.Surfaces[1].Shown {
		t.Errorf("surfaces %+v", s.Surfaces)
	}
	if s.Surfaces[0].Coarse != "" {
		t.Error("a small mesh has a twin")
	}
	if len(s.Spots) != 2 {
		t.Fatalf("%d spots, want the two that have a place", len(s.Spots))
	}
	if p := s.Spots[0]; p.Kind != SpotAsk || p.At != [3]float64{0, 0, 5} || p.Text != "0.8 ± 0.1 mm" {
		t.Errorf("the spot on the opposing scan is %+v: it must be brought into the working frame", p)
	}
	if p := s.Spots[1]; p.Kind != SpotScan || p.Eye == nil || *p.Eye != [3]float64{0, -1, 0} || p.Text != "" {
		t.Errorf("the spot to scan again is %+v", p)
	}
	if s.Views[0].Word != "Einschubrichtung" || s.Views[0].Eye != [3]float64{0, 0, 1} || s.Views[0].Up != [3]float64{0, 1, 0} {
		t.Errorf("the first view is %+v: down the axis, the front teeth at the top of an upper arch", s.Views[0])
	}
	if v := s.Views[3]; v.Name != "buccal" || !(v.Eye[0] > 0.9) || v.Up != [3]float64{0, 0, -1} {
		t.Errorf("the view from the cheek is %+v: an upper tooth hangs down", v)
	}
	if len(s.Maps) != 1 || s.Maps[0].Limit == nil || *s.Maps[0].Limit != 1.05 {
		t.Errorf("maps %+v", s.Maps)
	}
	of := Scans(o, 0)[0].Values[0].Of
	if of[3] != 1.25 || !math.IsNaN(of[5]) || !math.IsNaN(of[4]) {
		t.Error("what is beyond reach, or was not measured, must have no value")
	}
}

// TestWhatIsNotKnownIsLeftOut takes away what a check may fail to find.
func TestWhatIsNotKnownIsLeftOut(t *testing.T) {
	o := outcome(t)
	r := &o.Scene.Restorations[0]
	r.Mesial, r.Buccal, r.Clearance = r3.Vec{}, r3.Vec{}, nil
	o.Report.Restorations[0].Measures.Margin = casefile.Margin{Not: "blood"}
	s, ok := SceneOf(o, 0, site())
	if !ok || len(s.Rims) != 0 || len(s.Views) != 1 || len(s.Margins) != 0 || len(s.Maps) != 0 {
		t.Errorf("scene %+v", s)
	}
	if up, eye := vec(s.Views[0].Up), vec(s.Views[0].Eye); math.Abs(up.Norm()-1) > 1e-9 || up.Cross(eye).Norm() < 0.1 {
		t.Errorf("the only view has no upright: eye %v, up %v", eye, up)
	}
	if _, err := json.Marshal(s); err != nil {
		t.Error(err)
	}
	r.Seen, r.Source = false, nil
	if _, ok := SceneOf(o, 0, site()); ok {
		t.Error("a tooth that no scan shows has a scene")
	}
}

// TestBothSidesReadTheSameScene holds the fields of the Go types against the interfaces
// in TypeScript, name by name and which may be left out.
func TestBothSidesReadTheSameScene(t *testing.T) {
	src, err := os.ReadFile("../web/ui/src/scene.ts")
	if err != nil {
		t.Fatal(err)
	}
	for name, v := range map[string]any{"Scene": Scene{}, "Surface": SceneSurface{}, "ValueMap": Map{}, "Margin": Margin{}, "Spot": Spot{}, "View": View{}} {
		_, after, ok := strings.Cut(string(src), "export interface "+name+" {\n")
		if !ok {
			t.Errorf("scene.ts has no interface %s", name)
			continue
		}
		body, _, _ := strings.Cut(after, "\n}\n")
		var theirs, ours []string
		for _, f := range regexp.MustCompile(`(?m)^  (\w+\??):`).FindAllStringSubmatch(body, -1) {
			theirs = append(theirs, f[1])
		}
		for i := range reflect.TypeOf(v).NumField() {
			tag, rest, _ := strings.Cut(reflect.TypeOf(v).Field(i).Tag.Get("json"), ",")
			if rest == "omitempty" {
				tag += "?"
			}
			ours = append(ours, tag)
		}
		slices.Sort(theirs)
		slices.Sort(ours)
		if !slices.Equal(theirs, ours) {
			t.Errorf("%s: Go writes %v, TypeScript reads %v", name, ours, theirs)
		}
	}
}
