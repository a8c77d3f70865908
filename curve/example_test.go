package curve_test

import (
	"fmt"

	"selvage/curve"
	"selvage/r3"
)

// A square of 2 mm, and how far a point lies from it.
func Example() {
	c := curve.Polyline{Closed: true, Pts: []r3.Vec{{}, {X: 2}, {X: 2, Y: 2}, {Y: 2}}}
	fmt.Println("length:", c.Length(), "mm")
	at, _ := c.Nearest(r3.V(2.5, 1, 0))
	fmt.Println("nearest:", at.Point, "at", at.S, "mm, off by", at.D)
	fmt.Println("points 0.5 mm apart:", len(c.Resample(0.5).Pts))
	// Output:
	// length: 8 mm
	// nearest: {2 1 0} at 3 mm, off by 0.5
	// points 0.5 mm apart: 16
}
