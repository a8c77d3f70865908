package casefile_test

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/measure"
	"selvage/r3"
)

func value(v, u float64, at ...float64) casefile.Measure {
	m := measure.Of(v, u, measure.MM)
	if len(at) == 3 {
		m = m.At(measure.Place{At: r3.V(at[0], at[1], at[2]), Scan: "working"})
	}
	return casefile.Of(m)
}

func number(v float64) *float64 { return &v }

// sample is the report of the contract's example, filled out where the contract
// abridges it.
func sample() casefile.Report {
	not := casefile.NotMeasured("this example is abridged")
	at, up := [3]float64{1, 2, 3}, [3]float64{0, 0, 1}
	m := casefile.Measures{
		InsertionAxis:   casefile.AxisMeasure{Value: [3]float64{0.02, -0.05, 0.998}, UDeg: 0.4, Scan: "working"},
		ConvergenceMD:   value(14.2, 0.6),
		ConvergenceBL:   value(17.9, 0.7),
		ConvergenceMean: value(16.0, 0.5),
		WallHeightMin:   value(3.8, 0.05, 1, 2, 3),
		HeightToBase:    value(0.44, 0.01),
		Resistance:      value(0.56, 0.02),
		UndercutDepth:   value(0, 0.03),
		UndercutArea:    value(0, 0.1),
		PathOverlap:     not,
		Margin: casefile.Margin{
			Closed: true, LengthMM: 31.4, U: 0.2, Points: [][3]float64{{1, 2, 3}}, Confidence: []float64{0.97}, Scan: "working",
			Stretches: []casefile.Stretch{{State: finding.Unclear, From: 12, To: 31, LengthMM: 2.3, Surface: "distal"}},
		},
		FinishLine:     casefile.FinishLine{Kind: "heavy-chamfer", WidthMinMM: 0.8, WidthMedianMM: 1, U: 0.05},
		ClearanceMin:   value(1.12, 0.10, 1, 2, 3),
		ClearancePatch: value(1.18, 0.10, 1, 2, 3),
		ClearanceFunc:  value(1.30, 0.10, 1, 2, 3),
		ClearanceAxial: not, ClearanceMoving: not,
		ReductionOccl:  value(1.4, 0.05, 1, 2, 3),
		ReductionAxial: casefile.NotMeasured("no scan from before the preparation"),
		SharpEdge:      not, ToolThins: not, ToolRemoves: not, Coloured: not, MarginRough: not, RootBelow: not, SulcusMin: not, SpacingAtMargin: not, GapMesial: not, GapDistal: not,
	}
	return casefile.Report{
		Schema: casefile.ReportSchema, Program: casefile.Program{Version: "0.1.0", Limits: "1.0.0+abc"},
		Case: "demo-26", Stage: finding.Final, Verdict: finding.ScanAgainNow, Line: "Scan again: distal margin",
		Scans: []casefile.Scan{{
			Role: "working", File: "working.ply", SHA256: "00", Triangles: 412345, Vertices: 207001,
			Units: "mm", Components: 3, OpenEdges: 1204, NoiseUM: number(11.2), SpacingMM: number(0.11),
		}},
		Restorations: []casefile.RestorationReport{{
			Tooth: casefile.NamesOf(26), Measures: m,
			Findings: []casefile.Finding{{
				Code: finding.MarginUnclear, Action: finding.OpenMargin, Call: finding.Proven, Surface: "distal", Scan: "working",
				At: &at, Normal: &up, Measured: number(2.3), Limit: number(0.5), Unit: "mm", U: number(0.1),
				Text: "2.3 mm of the distal margin cannot be seen.", Advice: "Dry.", Source: "common practice",
				Approach: &casefile.Approach{Direction: [3]float64{0.3, -0.5, 0.8}, TiltDeg: 35, From: "distobuccal"},
			}},
		}},
		Bite: casefile.BiteReport{ResidualUM: value(24, 6), ShiftMM: value(0.03, 0.02), PenetrationMM: value(0.04, 0.02), Contacts: casefile.Count(9)},
	}
}

func TestReportRoundTrip(t *testing.T) {
	first, err := sample().Encode()
	if err != nil {
		t.Fatal(err)
	}
	r, err := casefile.ParseReport(first)
	if err != nil {
		t.Fatal(err)
	}
	again, err := r.Encode()
	if err != nil {
		t.Fatal(err)
	}
	if string(first) != string(again) {
		t.Errorf("read back and written again:\n%s\nwant\n%s", again, first)
	}
	want := sample()
	want.Findings = []casefile.Finding{}
	if !reflect.DeepEqual(r, want) {
		t.Errorf("read back\n%+v\nwant\n%+v", r, want)
	}
	if strings.Contains(string(first), "null") {
		t.Errorf("the report holds null:\n%s", first)
	}
}

func TestParseReportRefusesOtherForms(t *testing.T) {
	for _, s := range []string{`{}`, `{"schema":"selvage.report/2"}`, `[]`, ``} {
		if _, err := casefile.ParseReport([]byte(s)); err == nil {
			t.Errorf("ParseReport(%s) gave no error", s)
		}
	}
}

func TestMeasureHasValueOrReason(t *testing.T) {
	for _, c := range []struct {
		name string
		m    casefile.Measure
		want string // empty: an error
	}{
		{"value", value(1.12, 0.1), `{"value":1.12,"u":0.1}`},
		{"value with place", value(1.12, 0.1, 1, 2, 3), `{"value":1.12,"u":0.1,"at":[1,2,3],"scan":"working"}`},
		{"zero is a value", value(0, 0), `{"value":0,"u":0}`},
		{"count", casefile.Count(9), `{"value":9}`},
		{"reason", casefile.NotMeasured("no opposing arch"), `{"not_measured":"no opposing arch"}`},
		{"from a reason", casefile.Of(measure.Not("too dark")), `{"not_measured":"too dark"}`},
		{"neither", casefile.Measure{}, ""},
		{"neither, from the zero value", casefile.Of(measure.Value{}), ""},
		{"both", func() casefile.Measure { m := value(1, 0.1); m.Not = "x"; return m }(), ""},
		{"not a number", func() casefile.Measure { m := value(1, 0.1); m.Value = math.NaN(); return m }(), ""},
		{"negative uncertainty", func() casefile.Measure { m := value(1, 0.1); m.U = -1; return m }(), ""},
		{"place without scan", func() casefile.Measure { m := value(1, 0.1, 1, 2, 3); m.Scan = ""; return m }(), ""},
	} {
		got, err := json.Marshal(c.m)
		if c.want == "" {
			if err == nil {
				t.Errorf("%s: written as %s, want an error", c.name, got)
			}
			continue
		}
		if err != nil || string(got) != c.want {
			t.Errorf("%s: %s, %v, want %s", c.name, got, err, c.want)
			continue
		}
		var back casefile.Measure
		if err := json.Unmarshal(got, &back); err != nil || !reflect.DeepEqual(back, c.m) {
			t.Errorf("%s: read back %+v, %v, want %+v", c.name, back, err, c.m)
		}
	}
	for _, bad := range []string{`{}`, `{"u":1}`, `{"value":1,"not_measured":"x"}`, `{"value":"1"}`, `3`} {
		var m casefile.Measure
		if json.Unmarshal([]byte(bad), &m) == nil {
			t.Errorf("%s was read as a measure", bad)
		}
	}
}

func TestCompoundMeasuresHaveValueOrReason(t *testing.T) {
	points := casefile.Margin{Points: [][3]float64{{1, 2, 3}}, Confidence: []float64{1}, Scan: "working"}
	for _, c := range []struct {
		name string
		v    any
		ok   bool
	}{
		{"axis", casefile.AxisMeasure{Value: [3]float64{0, 0, 1}, Scan: "working"}, true},
		{"axis with reason", casefile.AxisMeasure{Not: "no wall"}, true},
		{"axis with both", casefile.AxisMeasure{Value: [3]float64{0, 0, 1}, Not: "no wall"}, false},
		{"axis with neither", casefile.AxisMeasure{}, false},
		{"margin", points, true},
		{"margin with reason", casefile.Margin{Not: "no wall"}, true},
		{"margin with neither", casefile.Margin{Closed: true}, false},
		{"margin without confidence", casefile.Margin{Points: points.Points, Scan: "working"}, false},
		{"margin without scan", casefile.Margin{Points: points.Points, Confidence: []float64{1}}, false},
		{"finish line", casefile.FinishLine{Kind: "chamfer"}, true},
		{"finish line with reason", casefile.FinishLine{Not: "no margin"}, true},
		{"finish line with both", casefile.FinishLine{Kind: "chamfer", Not: "no margin"}, false},
		{"finish line with neither", casefile.FinishLine{WidthMinMM: 1}, false},
	} {
		data, err := json.Marshal(c.v)
		if (err == nil) != c.ok {
			t.Errorf("%s: %s, %v, want ok %v", c.name, data, err, c.ok)
		}
		if err != nil {
			continue
		}
		back := reflect.New(reflect.TypeOf(c.v))
		if err := json.Unmarshal(data, back.Interface()); err != nil || !reflect.DeepEqual(back.Elem().Interface(), c.v) {
			t.Errorf("%s: read back %+v, %v", c.name, back.Elem(), err)
		}
	}
	for _, bad := range []string{`{}`, `{"points":[[1,2,3]],"value":[0,0,1],"kind":"chamfer","not_measured":"x"}`} {
		var a casefile.AxisMeasure
		var m casefile.Margin
		var f casefile.FinishLine
		for _, p := range []any{&a, &m, &f} {
			if json.Unmarshal([]byte(bad), p) == nil {
				t.Errorf("%s was read as %T", bad, p)
			}
		}
	}
}

func TestReportWithAnUnwrittenMeasureIsNotWritten(t *testing.T) {
	r := sample()
	r.Restorations[0].Measures.SharpEdge = casefile.Measure{}
	if _, err := r.Encode(); err == nil {
		t.Error("a report with a measure that has neither value nor reason was written")
	}
}
