package phantom_test

import (
	"fmt"

	"selvage/phantom"
)

// A case with a hole in the margin, and what a perfect check would say about it.
func Example() {
	spec := phantom.Default(26)
	spec.Variety = 0                                  // the average mouth
	spec.Scanner.Fine, spec.Scanner.Coarse = 0.2, 0.5 // coarse, for speed
	spec.Stump.ConvergenceMD = 0.5                    // radians: 28.6°
	spec.Roles = []string{phantom.Working, phantom.Opposing}
	c, err := phantom.Make(spec)
	if err != nil {
		fmt.Println(err)
		return
	}
	r := c.Truth.Restorations[0]
	fmt.Printf("tooth %d, %d scans, margin of %.0f mm in %d points\n",
		r.Tooth, len(c.Scans), r.Margin.LengthMm, len(r.Margin.Points))
	fmt.Printf("mesiodistal convergence %.1f°\n", r.ConvergenceMDDeg)
	// Output:
	// tooth 26, 2 scans, margin of 29 mm in 720 points
	// mesiodistal convergence 28.7°
}
