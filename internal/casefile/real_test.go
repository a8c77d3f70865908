package casefile_test

import (
	"bytes"
	"context"
	"testing"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/limit"
	"selvage/meshio/stl"
	"selvage/phantom"
)

// A report that the program makes of a phantom matches the published schema, and
// goes round through its file without change.
func TestRealReport(t *testing.T) {
	spec := phantom.Default(26)
	spec.Roles = []string{"working", "opposing"} // two scans and a coarse mesh: this is about form, not accuracy
	spec.Scanner.Fine, spec.Scanner.Coarse = 0.15, 0.4
	c, err := phantom.Make(spec)
	if err != nil {
		t.Fatal(err)
	}
	in := check.Input{Case: casefile.Case{Name: "phantom", Restorations: []casefile.Restoration{{
		Tooth: casefile.CodeOf(26), Kind: casefile.Crown, Material: limit.LithiumDisilicate, Cement: limit.Adhesive,
	}}}}
	for _, s := range c.Scans {
		var b bytes.Buffer
		if err := stl.Encode(&b, s.Mesh); err != nil {
			t.Fatal(err)
		}
		in.Files = append(in.Files, check.File{Name: s.File, Role: finding.Role(s.Role), Data: b.Bytes()})
	}
	out, err := check.Run(context.Background(), in, nil)
	if err != nil {
		t.Fatal(err)
	}
	data, err := out.Report.Encode()
	if err != nil {
		t.Fatal(err)
	}
	if err := validate(t, compiled(t, casefile.SchemaOfReport), data); err != nil {
		t.Errorf("the report does not match its schema: %v", err)
	}
	back, err := casefile.ParseReport(data)
	if err != nil {
		t.Fatal(err)
	}
	again, err := back.Encode()
	if err != nil || !bytes.Equal(data, again) {
		t.Errorf("read and written again the report is another one (%v)", err)
	}
	t.Log(out.Report.Verdict, out.Report.Line)
	for _, f := range out.Judgement.Findings {
		t.Logf("%s %s %s: %s | %s | %s", f.Action, f.Call, f.Code, f.Text, f.Advice, f.Spot)
	}
	for _, a := range out.Judgement.Absent {
		t.Logf("absent %+v", a)
	}
}
