package coverage

import (
	"math"
	"testing"

	"selvage/r3"
)

// TestLargestPiece: what is missing of a contact area is the largest joined piece that is
// somewhere half a millimetre broad; slivers, as grazing rays leave along the gum, are none.
func TestLargestPiece(t *testing.T) {
	type block struct{ i, j, n, m int }
	for _, c := range []struct {
		name   string
		unseen []block
		want   int // cells
	}{
		{"nothing", nil, 0},
		{"a row of four cells' height", []block{{0, 8, 21, 4}}, 0},
		{"half a millimetre", []block{{3, 3, 5, 5}}, 25},
		{"the larger of two", []block{{1, 1, 5, 5}, {10, 10, 6, 7}}, 42},
		{"with its slivers left off", []block{{5, 5, 5, 5}, {10, 7, 8, 1}}, 25},
		{"two that a sliver joins", []block{{1, 1, 5, 5}, {6, 3, 6, 1}, {12, 1, 5, 6}}, 30},
		{"two that touch at a corner", []block{{1, 1, 5, 5}, {6, 6, 5, 6}}, 30},
		{"two that are joined broadly", []block{{1, 1, 5, 5}, {6, 1, 5, 5}}, 50},
		{"at the two ends of one row", []block{{16, 5, 5, 5}, {0, 6, 5, 6}}, 30},
		{"in the first and the last row", []block{{8, 0, 5, 5}, {8, 15, 5, 6}}, 30},
	} {
		x := &raster{n: 21, m: 21, low: 1, dir: r3.V(1, 0, 0), origin: r3.V(3, 0, 0), state: make([]cellState, 21*21)}
		for i := range x.n {
			x.across = append(x.across, float64(i-x.n/2)*rasterCell)
		}
		for k := range x.state {
			x.state[k] = seen
		}
		for _, b := range c.unseen {
			for j := b.j; j < b.j+b.m; j++ {
				for i := b.i; i < b.i+b.n; i++ {
					x.state[j*x.n+i] = unseen
				}
			}
		}
		pts := x.largest(r3.V(5, 0, 2))
		if len(pts) != c.want {
			t.Errorf("%s: %d cells, want %d", c.name, len(pts), c.want)
		}
		for _, p := range pts { // on the neighbour, within the raster
			if math.Abs(p.X-5) > 1e-9 || math.Abs(p.Y) > 1.01 || p.Z < 0.99 || p.Z > 3.01 {
				t.Errorf("%s: a cell at %v", c.name, p)
				break
			}
		}
	}
}
