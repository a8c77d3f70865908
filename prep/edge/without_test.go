package edge

import (
	"testing"

	"selvage/r3"
)

// TestWithoutLeavesOutWhatIsHidden: the border of a sheet that is not the tooth is no edge.
func TestWithoutLeavesOutWhatIsHidden(t *testing.T) {
	r := Result{spacing: 0.1, tool: 0.5}
	for i := range 20 {
		at := r3.V(0, 0, 0.1*float64(i))
		tooth := Place{At: at, Along: r3.V(0, 0, 1), Radius: 0.6, Arc: 0.6, Turn: 1.4, fixed: 0.03, scatter: 0.02}
		sheet := tooth
		sheet.At, sheet.Radius, sheet.Arc = at.Add(r3.V(5, 0, 0)), 0.1, 0.1
		r.Places = append(r.Places, tooth, sheet)
	}
	r.summarise()
	if r.Radius.V > 0.2 {
		t.Fatalf("radius %.2f: want the edge of the sheet before it is hidden", r.Radius.V)
	}
	got := r.Without(func(at r3.Vec) bool { return at.X > 3 })
	if !got.Radius.Measured() || got.Radius.V < 0.55 || len(got.Places) != 20 {
		t.Errorf("radius %+v, %d places; want the edge of the tooth alone", got.Radius, len(got.Places))
	}
	if got = r.Without(func(r3.Vec) bool { return true }); got.Radius.Measured() || got.Over.Measured() || got.Volume.Measured() || got.Over.Why == "" {
		t.Errorf("with every edge hidden: %+v; want nothing measured, and why", got)
	}
}
