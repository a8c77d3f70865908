package check

import (
	"testing"

	"selvage/finding"
	"selvage/internal/meshtest"
	"selvage/measure"
	"selvage/mesh"
	"selvage/prep"
	"selvage/prep/axis"
	"selvage/prep/margin"
	"selvage/prep/wall"
	"selvage/r3"
)

// TestHoldLeavesAnInventedSurfaceOut: what a program laid over a hole in the wall neither
// holds a crown nor lets it go; a patch beside the wall changes nothing.
func TestHoldLeavesAnInventedSurfaceOut(t *testing.T) {
	m := meshtest.Lathe(meshtest.DefaultStump().Knots(), 0.12, 11, meshtest.Round)
	p := prep.CutOut(m, mesh.NewTopology(m), r3.V(0, 0, 2), r3.V(0, 0, 1), r3.V(1, 0, 0), r3.V(0, 1, 0))
	p.Noise, p.Spacing, p.Scan = 0.005, 0.12, "working"
	fan, _ := prep.Cut(p)
	mg, ok := margin.Detect(fan, margin.Options{})
	if !ok {
		t.Fatal("no wall")
	}
	whole := wall.Measure(mg)
	for _, c := range []struct {
		name string
		at   r3.Vec
		area float64
		same bool
	}{
		{"on the wall", r3.V(3.8, 0, 2), 12, false},
		{"on the gum", r3.V(7, 0, 0.5), 1, true},
	} {
		r := &restoration{prep: fan.Prep, margin: mg, axis: axis.Find(mg), wall: whole, source: &Scan{}}
		area := measure.Of(c.area, 0.1, measure.MM2).At(measure.Place{At: c.at, Scan: "working"})
		r.source.Invented = []finding.Patch{{Area: area}}
		r.holdWithoutSheets()
		got := r.wall.Resistance
		if same := got.Measured() && got.V == whole.Resistance.V && got.U == whole.Resistance.U; same != c.same {
			t.Errorf("%s: resistance %+v, of the bare wall %+v", c.name, got, whole.Resistance)
		}
		if got.Measured() && !c.same && (got.U <= whole.Resistance.U || got.V-got.U > whole.Resistance.V || got.V+got.U < whole.Resistance.V) {
			t.Errorf("%s: %.3f ± %.3f does not hold the wall's %.3f", c.name, got.V, got.U, whole.Resistance.V)
		}
	}
}
