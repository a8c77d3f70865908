package phantom

import (
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
)

// TestOnSurface: a place beside the end of a scan is not shown by it, however near; one
// over its middle is, within the distance.
func TestOnSurface(t *testing.T) {
	m := &mesh.Mesh{
		Pos: []r3.Vec{{}, {X: 1}, {X: 1, Y: 1}, {Y: 1}},
		Tri: [][3]mesh.VertexID{{0, 1, 2}, {0, 2, 3}},
	}
	tree := bvh.Build(m)
	for _, c := range []struct {
		at   r3.Vec
		want bool
	}{
		{r3.V(0.5, 0.4, 0.04), true},
		{r3.V(0.5, 0.4, 0.06), false},
		{r3.V(1.03, 0.5, 0), false},
		{r3.V(1.01, 0.5, 0), true},
	} {
		if got := onSurface(tree, c.at, 0.05); got != c.want {
			t.Errorf("%v is shown: %v, want %v", c.at, got, c.want)
		}
	}
}
