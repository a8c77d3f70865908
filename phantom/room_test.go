package phantom_test

import (
	"testing"

	"selvage/phantom"
	"selvage/r3"
)

// TestFunctionalClearanceIsOnItsCusp: the least clearance of the functional zone is found
// in that zone, on the side of the holding cusps, though less room lies beyond it.
func TestFunctionalClearanceIsOnItsCusp(t *testing.T) {
	for _, seed := range []uint64{1, 2} {
		s := quick(26)
		s.Seed = seed
		s.Roles = []string{phantom.Working, phantom.Opposing}
		truth := mustMake(t, s).Truth.Restorations[0]
		var middle r3.Vec
		for _, p := range truth.Margin.Points {
			middle = middle.AddScaled(1/float64(len(truth.Margin.Points)), p.Vec())
		}
		at := truth.ClearanceFunctionalMm.At.Vec().Sub(middle).Dot(truth.Buccal.Vec())
		t.Logf("seed %d: %.3f mm at %.2f mm towards buccal; least of all %.3f mm", seed, truth.ClearanceFunctionalMm.Value, at, truth.ClearanceMinMm.Value)
		if at > -0.3 { // the zone is the palatal third of a table of 6 mm
			t.Errorf("seed %d: the functional cusp of an upper molar is found %.2f mm towards buccal", seed, at)
		}
	}
}
