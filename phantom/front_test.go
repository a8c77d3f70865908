package phantom_test

import (
	"testing"

	"selvage/mesh"
	"selvage/phantom"
	"selvage/r3"
)

// TestFrontToothIsWhole: the exact surface of a front tooth with a narrow finish line has
// no hole between its margin and its edge.
func TestFrontToothIsWhole(t *testing.T) {
	s := phantom.Default(23)
	s.Exact, s.Roles = true, []string{phantom.Working}
	s.Stump.FinishLine, s.Stump.FinishWidth = phantom.KnifeEdge, 0.24
	s.Stump.TiltMesial, s.Stump.TiltBuccal = 0.034, -0.059
	s.Scanner.Fine, s.Scanner.Noise = 0.12, 0
	c, err := phantom.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	w, _ := c.Scan(phantom.Working)
	r := c.Truth.Restorations[0]
	up, foot := r.InsertionAxis.Vec(), r.Margin.Points[0].Vec()
	var mid r3.Vec
	for _, p := range r.Margin.Points {
		if p.Vec().Dot(up) < foot.Dot(up) {
			foot = p.Vec()
		}
		mid = mid.Add(p.Vec().Scale(1 / float64(len(r.Margin.Points))))
	}
	for _, l := range mesh.NewTopology(w.Mesh).Loops() {
		for _, h := range l {
			p := w.Mesh.Pos[w.Mesh.From(h)]
			if v := p.Sub(mid); v.Reject(up).Norm() < r.BaseMm/2-0.2 && p.Sub(foot).Dot(up) > 0 {
				t.Fatalf("a hole at %v, %.2f mm above the lowest of the margin", p, p.Sub(foot).Dot(up))
			}
		}
	}
}
