package occlusion

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/meshio"
	"selvage/r3"
)

// cast reads one of the real plaster casts, in mm. The folder is SELVAGE_DATA, else
// ../shared/data beside the repository; a stranger's clone has none.
func cast(t *testing.T, name string) *mesh.Mesh {
	t.Helper()
	root := os.Getenv("SELVAGE_DATA")
	if root == "" {
		root = "../../shared/data"
	}
	data, err := os.ReadFile(filepath.Join(root, "casts", name))
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal(err)
		}
		t.Skip("SKIPPED: no real scans (set SELVAGE_DATA)")
	}
	soup, _, err := meshio.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	m, _ := mesh.Build(soup)
	return m.Scaled(1000) // the casts are in metres
}

// Real arches: their source says that the jaws stand about 4 mm apart. Closing them
// step by step takes the gap down, first to contact, then to crossing.
func TestJudgeRealCasts(t *testing.T) {
	low, high := cast(t, "lowerteeth.obj"), cast(t, "upperteeth.obj")
	close := high.Box().Center().Sub(low.Box().Center()).UnitOr(up)
	lower := scan(low)
	judge := func(by float64) Result {
		m := high.Moved(r3.Rigid{R: r3.Identity(), T: close.Scale(-by)})
		return Judge(Input{
			Working: lower, Opposing: Scan{Mesh: m, Tree: bvh.Build(m)}, Up: close,
			Tooth: low.Box().Center().Add(r3.V(0, 500, 0)), Radius: 5, // no tooth is left out
		})
	}
	last := math.Inf(1)
	for _, by := range []float64{0, 1, 2, 3, 4} {
		r := judge(by)
		// A gap between slopes shrinks by less than the way, never by more.
		if !r.Gap.Measured() || r.Gap.V > last+1e-9 || by > 0 && last-r.Gap.V > 1.01 {
			t.Errorf("closed by %.0f mm: gap %+v after %.3f", by, r.Gap, last)
		}
		if r.PenetrationMax.V != 0 {
			t.Errorf("closed by %.0f mm: penetration %.3f of jaws that stand apart", by, r.PenetrationMax.V)
		}
		if by == 0 && math.Abs(r.Gap.V-4) > 0.3 {
			t.Errorf("gap %.2f mm, want about 4", r.Gap.V)
		}
		last = math.Min(last, r.Gap.V)
	}
	if r := judge(5.3); r.PenetrationMax.V < 0.2 || r.ContactCount.V < 3 {
		t.Errorf("closed by 5.3 mm: penetration %.3f, contacts %v", r.PenetrationMax.V, r.ContactCount.V)
	}
}
