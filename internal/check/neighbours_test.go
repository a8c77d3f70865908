package check

import (
	"testing"

	"selvage/dentition"
	"selvage/measure"
	"selvage/neighbour"
	"selvage/tooth"
)

// A neighbour that is prepared too was cut on purpose: that is no damage.
func TestPreparedNeighbourIsNotDamaged(t *testing.T) {
	r := &restoration{number: 25, others: []tooth.Number{26}}
	r.neighbour[0].Damage = measure.Of(0.3, 0.05, measure.MM)
	r.neighbour[1] = neighbour.Result{Damage: measure.Of(1.2, 0.05, measure.MM)}
	for i, want := range []bool{true, false} {
		side := []tooth.Surface{tooth.Mesial, tooth.Distal}[i]
		n := []tooth.Number{24, 26}[i]
		f := r.neighbourFact(i, beside{side, dentition.Neighbour{Number: n, Present: true}})
		if f.Damage.Measured() != want {
			t.Errorf("%v: damage %v", n, f.Damage)
		}
	}
}
