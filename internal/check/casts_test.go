package check_test

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"selvage/dentition"
	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/limit"
	"selvage/mesh"
	"selvage/meshio"
	"selvage/surface"
	"selvage/tooth"
)

// castsDir is the folder of real scans: SELVAGE_DATA, else ../shared/data beside
// the repository. A stranger's clone has none and skips; CI must have them.
func castsDir(t *testing.T) string {
	t.Helper()
	root := os.Getenv("SELVAGE_DATA")
	if root == "" {
		root = "../../../shared/data"
	}
	dir := filepath.Join(root, "casts")
	if _, err := os.Stat(dir); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("real scans are not at %s", dir)
		}
		t.Skipf("SKIPPED: real scans are not at %s (set SELVAGE_DATA)", dir)
	}
	return dir
}

func castFiles(t *testing.T) []check.File {
	t.Helper()
	dir := castsDir(t)
	var out []check.File
	for _, name := range []string{"upperteeth.obj", "lowerteeth.obj"} {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, check.File{Name: name, Data: data})
	}
	return out
}

// Real casts in metres, no prepared tooth: the unit is found and said, the jaws are
// told apart, and at 26 no prepared tooth is to be seen. No number is invented.
func TestRealCasts(t *testing.T) {
	in := check.Input{
		Case: casefile.Case{Restorations: []casefile.Restoration{{
			Tooth: casefile.CodeOf(tooth.Number(26)), Kind: casefile.Crown, Material: limit.Material("zirconia-3y"),
		}}},
		Files: castFiles(t),
	}
	out, err := check.Run(context.Background(), in, nil)
	if err != nil {
		t.Fatal(err)
	}
	if out.Report.Verdict != finding.NotChecked {
		t.Errorf("verdict %s (%s), want not-checked", out.Report.Verdict, out.Report.Line)
	}
	codes := map[finding.Code]bool{}
	for _, f := range out.Judgement.Findings {
		codes[f.Code] = true
		t.Logf("%s %s: %s", f.Action, f.Code, f.Text)
	}
	for _, want := range []finding.Code{finding.ToothNotFound, finding.UnitsUnlikely} {
		if !codes[want] {
			t.Errorf("%s is not among the findings", want)
		}
	}
	for _, s := range out.Report.Scans {
		if s.Units != casefile.Metre {
			t.Errorf("%s: unit %s, want m", s.File, s.Units)
		}
		want := finding.RoleWorking
		if s.File == "lowerteeth.obj" {
			want = finding.RoleOpposing
		}
		if s.Role != want {
			t.Errorf("%s: role %s, want %s", s.File, s.Role, want)
		}
	}
	m := out.Report.Restorations[0].Measures
	for name, v := range map[string]casefile.Measure{
		"clearance": m.ClearanceMin, "height": m.WallHeightMin, "undercut": m.UndercutDepth, "reduction": m.ReductionOccl,
	} {
		if v.Measured() {
			t.Errorf("%s = %v was invented", name, v.Value)
		}
	}
	if m.InsertionAxis.Not == "" || m.Margin.Not == "" {
		t.Error("an axis or a margin was invented")
	}
}

// On real casts nothing is taken for a hole that a program closed but the closing of the
// bases: everything near the teeth was scanned.
func TestRealCastsInventNothing(t *testing.T) {
	const nearTeeth = 9.0 // mm below the tips: crowns and the gum about them
	for _, f := range castFiles(t) {
		soup, _, err := meshio.Decode(f.Data)
		if err != nil {
			t.Fatal(err)
		}
		m, _ := mesh.Build(soup)
		look := dentition.Look(f.Name, m.Scaled(1000)) // the files are in metres
		for _, d := range surface.Filled(look.Mesh, look.Topo, surface.VertexNormals(look.Mesh), 0.3) {
			low := math.Inf(1)
			for _, p := range look.Arch.Ridge {
				low = min(low, p.Sub(d.At).Dot(look.Arch.Occlusal))
			}
			if low < nearTeeth {
				t.Errorf("%s: %.1f mm² at %v, %.1f mm below the tips", f.Name, d.Area, d.At, low)
			}
		}
	}
}
