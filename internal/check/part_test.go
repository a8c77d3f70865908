package check_test

import (
	"bytes"
	"slices"
	"testing"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/limit"
	"selvage/meshio/stl"
	"selvage/phantom"
	"selvage/tooth"
)

// TestParts listens to the parts of a check: they come in order, none holds a verdict,
// what they find is in the report in the end, and listening changes nothing of it.
func TestParts(t *testing.T) {
	spec := phantom.Default(tooth.Number(26))
	spec.Faults = []phantom.Fault{{Name: "margin-not-captured"}, {Name: "clearance-low"}}
	spec.Scanner.Triangles = 40_000 // coarse, so that it is quick
	c, err := phantom.Make(spec)
	if err != nil {
		t.Fatal(err)
	}
	in := check.Input{Stage: finding.Final}
	in.Case.Restorations = []casefile.Restoration{{
		Tooth: casefile.CodeOf(26), Kind: casefile.Crown, Material: limit.Material("lithium-disilicate"), Cement: limit.Cement("adhesive"),
	}}
	for _, s := range c.Scans {
		var b bytes.Buffer
		if err := stl.Encode(&b, s.Mesh); err != nil {
			t.Fatal(err)
		}
		in.Files = append(in.Files, check.File{Name: s.File, Role: finding.Role(s.Role), Data: b.Bytes()})
	}
	plain, err := check.Run(t.Context(), in, nil)
	if err != nil {
		t.Fatal(err)
	}
	var told []string
	found := map[string][]finding.Finding{}
	in.Parts = func(p check.Part) {
		told = append(told, p.Name)
		found[p.Name] = p.Findings(finding.English())
	}
	out, err := check.Run(t.Context(), in, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(told, check.Parts()) {
		t.Errorf("parts came as %v, want %v", told, check.Parts())
	}
	a, errA := plain.Report.Encode()
	b, errB := out.Report.Encode()
	if errA != nil || errB != nil || !bytes.Equal(a, b) {
		t.Errorf("the report is another where somebody listens (%v, %v)", errA, errB)
	}
	for part, list := range found {
		for _, f := range list {
			if !slices.ContainsFunc(out.Judgement.Findings, func(g finding.Finding) bool { return g.Code == f.Code && g.Text == f.Text }) {
				t.Errorf("part %s found %q, which is not in the report", part, f.Text)
			}
		}
	}
	for part, code := range map[string]finding.Code{check.PartMargin: finding.MarginNotCaptured, check.PartRoom: finding.ClearanceLow} {
		if !slices.ContainsFunc(found[part], func(f finding.Finding) bool { return f.Code == code }) {
			t.Errorf("part %s did not find %s", part, code)
		}
	}
}

// TestEveryCodeHasAPart checks that no finding is told twice, and which are told by no
// part: those of the prescription and the table alone.
func TestEveryCodeHasAPart(t *testing.T) {
	seen := check.CodesOfParts()
	for _, c := range finding.Codes() {
		paper := c == finding.PrescriptionIncomplete || c == finding.DateImpossible || c == finding.LimitsEdited || c == finding.CeramicWeak
		if n := seen[c]; n != 1 && !paper || n > 1 {
			t.Errorf("%s is told by %d parts", c, n)
		}
	}
}
