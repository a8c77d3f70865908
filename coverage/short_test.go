package coverage

import (
	"testing"

	"selvage/dentition"
	"selvage/r3"
	"selvage/tooth"
)

// An arch that ends on the tooth beside the preparation lacks that tooth's far side too:
// it is one place to scan, the arch's.
func TestShortArchTakesWhatItCutsOff(t *testing.T) {
	r := &room{in: Input{Prepared: dentition.Prepared{
		Occlusal: r3.V(0, 0, 1),
		Mesially: dentition.Neighbour{Present: true, Center: r3.V(8, 0, 0)},
		Distally: dentition.Neighbour{Present: true, Center: r3.V(-9, 0, 0)},
	}}}
	gaps := []Gap{
		{Part: PartNeighbour, At: r3.V(10, 1, 0)},
		{Part: PartNeighbour, At: r3.V(6, 1, 0)},
		{Part: PartNeighbour, At: r3.V(-11, 1, 0)},
		{Part: PartOpposing, At: r3.V(10, 1, 0)},
	}
	if got := r.before(gaps, nil); len(got) != 4 {
		t.Errorf("of a long arch %d of 4 gaps are left", len(got))
	}
	got := r.before(gaps, []Gap{{Part: PartArch, Surface: tooth.Mesial}})
	if len(got) != 3 || got[0].At.X != 6 {
		t.Errorf("of an arch too short to the mesial: %+v", got)
	}
}
