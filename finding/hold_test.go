package finding_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"selvage/finding"
	"selvage/limit"
	"selvage/measure"
	"selvage/tooth"
)

func contains(s, part string) bool { return strings.Contains(s, part) }

// callOf judges a clearance with u against the flag 1.05 and the advice 1.15.
func callOf(v, u float64) (finding.Call, finding.Action) {
	j := judge(room(v, u))
	if len(j.Findings) == 0 {
		return "", ""
	}
	return j.Findings[0].Call, j.Findings[0].Action
}

// The borders of the uncertainty zone (ISO 14253-1): a value nearer to the limit
// than its uncertainty is too close to call, one that is just as far away is not.
// Binary fractions make the borders exact.
func TestUncertaintyZone(t *testing.T) {
	const l, u = 0.5, 0.125 // undercut area, flagged above 0.5 mm²
	step := math.Nextafter(l+u, 2) - (l + u)
	for _, c := range []struct {
		v    float64
		u    float64
		want finding.Call
	}{
		{l + u, u, P},
		{l + u - step, u, C},
		{l, u, C},
		{l - u + step, u, C},
		{l - u, u, A},
		{l, 0, A},
		{math.Nextafter(l, 1), 0, P},
	} {
		j := judge(with(func(r *R) { r.Undercut.Depth, r.Undercut.Area = mm(1, 0), mm2(c.v, c.u) }))
		if len(j.Findings) != 1 || j.Findings[0].Call != c.want {
			t.Errorf("area %v ± %v: %+v, want %s", c.v, c.u, j.Findings, c.want)
		}
	}
}

// The worse a value, the more serious the call: good, advised, too close, proven.
func TestCallIsMonotoneInTheValue(t *testing.T) {
	rank := map[finding.Call]int{"": 0, A: 1, C: 2, P: 3}
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.Float64Range(0, 0.5).Draw(t, "u")
		a := rapid.Float64Range(0, 2).Draw(t, "a")
		b := rapid.Float64Range(0, 2).Draw(t, "b")
		better, worse := max(a, b), min(a, b)
		c1, _ := callOf(better, u)
		c2, _ := callOf(worse, u)
		if rank[c2] < rank[c1] {
			t.Fatalf("%v ± %v is %q, %v ± %v is %q", better, u, c1, worse, u, c2)
		}
	})
}

// A larger uncertainty never turns one proof into the other.
func TestUncertaintyOnlyBlurs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(0, 2).Draw(t, "v")
		small := rapid.Float64Range(0, 0.5).Draw(t, "u")
		large := small + rapid.Float64Range(0, 0.5).Draw(t, "more")
		c1, _ := callOf(v, small)
		c2, _ := callOf(v, large)
		if c1 == P && c2 != P && c2 != C || c1 == C && c2 != C || (c1 == "" || c1 == A) && c2 == P {
			t.Fatalf("%v is %q ± %v and %q ± %v", v, c1, small, c2, large)
		}
	})
}

// Too close to call: what the scanner can mend asks for a scan, clearance and
// undercut ask for the dentist, all else is a note.
func TestTooCloseToCall(t *testing.T) {
	for _, c := range ruleCases() {
		if c.call != C {
			continue
		}
		usual, _ := c.code.Usual()
		want := finding.Note
		switch {
		case usual == finding.ScanAgain || usual == finding.OpenMargin:
			want = usual
		case c.code == finding.ClearanceLow || c.code == finding.Undercut:
			want = finding.AskDentist
		}
		if c.action != want {
			t.Errorf("%s: %s, want %s", c.name, c.action, want)
		}
	}
}

func TestShow(t *testing.T) {
	for _, c := range []struct {
		v           measure.Value
		full, plain string
	}{
		{measure.Of(0.83, 0.10, measure.MM), "0.8 ± 0.1 mm", "0.8 mm"},
		{measure.Of(0.83, 0.12, measure.MM), "0.8 ± 0.1 mm", "0.8 mm"},
		{measure.Of(0.83, 0.13, measure.MM), "0.8 ± 0.2 mm", "0.8 mm"},
		{measure.Of(0.836, 0.02, measure.MM), "0.84 ± 0.02 mm", "0.84 mm"},
		{measure.Of(0.996, 0.09, measure.MM), "1.00 ± 0.09 mm", "1.00 mm"},
		{measure.Of(14.24, 0.62, measure.Deg), "14.2 ± 0.6°", "14.2°"},
		{measure.Of(131, 20, measure.Micro), "130 ± 20 µm", "130 µm"},
		{measure.Of(131, 97, measure.Micro), "100 ± 100 µm", "100 µm"},
		{measure.Of(0.5623, 0.021, measure.One), "0.56 ± 0.02", "0.56"},
		{measure.Of(-0.004, 0.03, measure.MM), "0.00 ± 0.03 mm", "0.00 mm"},
		{measure.Of(9, 0, measure.One), "9", "9"},
		{measure.Of(0.12345, 0, measure.MM), "0.123 mm", "0.123 mm"},
		{measure.Of(1.5, 0, measure.MM2), "1.5 mm²", "1.5 mm²"},
		{measure.Not("no opposing arch"), "no opposing arch", "no opposing arch"},
	} {
		if got := finding.Show(c.v); got != c.full {
			t.Errorf("Show(%v ± %v) = %q, want %q", c.v.V, c.v.U, got, c.full)
		}
		if got := finding.ShowPlain(c.v); got != c.plain {
			t.Errorf("ShowPlain(%v ± %v) = %q, want %q", c.v.V, c.v.U, got, c.plain)
		}
	}
}

// Where no direction sees all of a spot the advice says what to do first.
func TestHoldOfAPart(t *testing.T) {
	for seen, want := range map[float64]bool{0: false, 0.7: true} {
		f := hole(finding.Patch{
			Region: finding.RegionPreparation, Tooth: 26, Surface: tooth.Distal, Extent: mm(1.5, 0.2),
			Approach: &finding.Approach{Direction: [3]float64{0, 0, 1}, Tilt: 0.6, From: tooth.Distal, Seen: seen},
		})
		advice := ""
		for _, x := range finding.Judge(f, limit.Default()).Findings {
			if x.Code == finding.SurfaceMissing {
				advice = x.Advice
			}
		}
		if !contains(advice, "Hold the tip tilted") || contains(advice, "retract and dry") != want {
			t.Errorf("seen %.1f: %q", seen, advice)
		}
	}
}
