package coverage

import (
	"testing"

	"selvage/dentition"
	"selvage/r3"
)

// A scan may end on the far edge of the tooth of the other side: what shows its shape is
// the rest, from the edge towards the prepared tooth.
func TestTwinToItsFarEdge(t *testing.T) {
	twin := dentition.Tooth{
		Number: 13, Width: 7.0, // of about 7.6: the scan ends before its distal edge
		Mesial: r3.V(1, 0, 0), Buccal: r3.V(0, 1, 0), Occlusal: r3.V(0, 0, 1),
	}
	for x, want := range map[float64]bool{3.6: false, 3.4: true, 0: true, -1.5: true, -2.5: false, -3.4: false} {
		if got := onCrown(r3.V(x, 0, -1), twin); got != want {
			t.Errorf("%.1f mm mesial of the middle: needed %v, want %v", x, got, want)
		}
	}
}
