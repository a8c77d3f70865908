package check

import (
	"math"
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
	bare := wall.Measure(mg).Resistance
	for i := range mg.Walls { // the skin slopes inwards over a sixth of the turn
		if w := &mg.Walls[i]; w.Found() && (i < 60 || i >= 660) {
			mid := fan.Profiles[i].Z[(w.From+w.To)/2]
			w.A, w.B = w.At(mid)+0.8*mid, 0.8
		}
	}
	skin := wall.Measure(mg)
	if v, at := wall.Hold(mg); v != skin.Resistance || at != skin.ResistanceAt {
		t.Fatalf("Hold says %+v at %v, Measure %+v at %v", v, at, skin.Resistance, skin.ResistanceAt)
	}
	if skin.Resistance.V > bare.V-0.2 {
		t.Fatalf("resistance %.2f with the skin, %.2f without: nothing to tell", skin.Resistance.V, bare.V)
	}
	for _, c := range []struct {
		name string
		at   r3.Vec
		area float64
		out  bool // the skin is left out
	}{
		{"on the wall", r3.V(3.8, 0, 2), 16, true},
		{"on the gum", r3.V(7, 0, 0.5), 1, false},
	} {
		r := &restoration{prep: fan.Prep, margin: mg, axis: axis.Result{OK: true}, wall: skin, source: &Scan{}}
		area := measure.Of(c.area, 0.1, measure.MM2).At(measure.Place{At: c.at, Scan: "working"})
		r.source.Invented = []finding.Patch{{Area: area}}
		r.holdWithoutSheets()
		got := r.wall.Resistance
		if held := got.Measured() && got.V-got.U <= bare.V && got.V+got.U >= bare.V; held != c.out {
			t.Errorf("%s: resistance %+v, of the bare wall %.3f", c.name, got, bare.V)
		}
	}
}

// TestSheetIsOneDisc: the edge under an invented surface and the wall under it are left out
// over one and the same disc, that of its area and 0.2 mm beyond it; a second pass of the
// scanner over a millimetre more; a patch without a place is nowhere.
func TestSheetIsOneDisc(t *testing.T) {
	patch := finding.Patch{Area: measure.Of(math.Pi*4, 0.1, measure.MM2).At(measure.Place{At: r3.V(1, 2, 3)})}
	lost := finding.Patch{Area: measure.Of(100, 0.1, measure.MM2)}
	r := &restoration{source: &Scan{Invented: []finding.Patch{lost, patch}}}
	twice := &restoration{source: &Scan{Doubled: []finding.Patch{lost, patch}}}
	for _, c := range []struct {
		off             float64
		invented, twice bool
	}{{0, true, true}, {2.15, true, true}, {2.25, false, true}, {2.95, false, true}, {3.05, false, false}} {
		at := r3.V(1, 2+c.off, 3)
		if r.onSheet(at) != c.invented || near(r.source.Invented, at, besideSheet) != c.invented {
			t.Errorf("%.2f mm from the middle of an invented disc of 2 mm: %v", c.off, r.onSheet(at))
		}
		if twice.onSheet(at) != c.twice || twice.inDoubled(at) != c.twice {
			t.Errorf("%.2f mm from the middle of a doubled disc of 2 mm: %v", c.off, twice.onSheet(at))
		}
	}
	if (&restoration{}).onSheet(r3.Vec{}) {
		t.Error("without a scan a place lies on a sheet")
	}
}
