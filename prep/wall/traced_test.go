package wall_test

import (
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/prep"
	"selvage/prep/margin"
	"selvage/prep/wall"
)

// TestHeightWhereTheDataEndsBelowTheLine: where the line was read but the scan ends too near
// to it for it to count as captured, height, base and shelf are measured all the same; where
// the line was not read, they are not.
func TestHeightWhereTheDataEndsBelowTheLine(t *testing.T) {
	m := meshtest.Lathe(meshtest.DefaultStump().Knots(), 0.12, 11, meshtest.Round)
	mg, _ := trace(t, m, 0)
	whole, shelf := wall.Measure(mg), margin.Describe(mg)
	for i := range mg.Points {
		mg.Points[i].State = prep.NotCaptured
	}
	got := wall.Measure(mg)
	if !got.HeightLeast.Measured() || !got.Base.Measured() || math.Abs(got.HeightLeast.V-whole.HeightLeast.V) > 1e-9 {
		t.Errorf("height %+v, base %+v; want those of the line that was read, %.3f", got.HeightLeast, got.Base, whole.HeightLeast.V)
	}
	if f := margin.Describe(mg); !f.WidthLeast.Measured() || math.Abs(f.WidthLeast.V-shelf.WidthLeast.V) > 1e-9 {
		t.Errorf("width %+v, want %.3f", f.WidthLeast, shelf.WidthLeast.V)
	}
	for i := range mg.Points {
		mg.Points[i].Traced = false
	}
	if got := wall.Measure(mg); got.HeightLeast.Measured() || got.Base.Measured() {
		t.Errorf("height %.3f and base %.3f of a line that was not read", got.HeightLeast.V, got.Base.V)
	}
}

// TestRootIsSeenOnlyWhereTheLineIsCaptured: where the data ends so near to the line that it
// does not count as captured, how much root is seen is no measure of the root.
func TestRootIsSeenOnlyWhereTheLineIsCaptured(t *testing.T) {
	m := meshtest.Lathe(meshtest.DefaultStump().Knots(), 0.12, 11, meshtest.Round)
	mg, _ := trace(t, m, 0)
	if got := margin.Beyond(mg); !got.Root.Measured() {
		t.Fatalf("root not measured: %s", got.Root.Why)
	}
	for i := range mg.Points {
		mg.Points[i].State = prep.NotCaptured
	}
	if got := margin.Beyond(mg); got.Root.Measured() {
		t.Errorf("%.2f mm of root where the line is not captured", got.Root.V)
	}
}
