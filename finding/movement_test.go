package finding_test

import (
	"testing"

	"selvage/finding"
)

// Room in movement comes from average values: it is noted where it is below the limit
// and the same zone has room enough at rest, and nowhere else.
func TestMovementIsNotedWhereItSaysSomethingNew(t *testing.T) {
	zone := sound().Restorations[0].Clearance[0].Zone
	for _, c := range []struct {
		name       string
		rest, move float64
		want       bool
	}{
		{"tight in movement alone", 1.6, 0.6, true},
		{"below the limit, within its uncertainty", 1.6, 1.0, true},
		{"above the limit, within its uncertainty", 1.6, 1.2, false},
		{"tight at rest already", 0.6, 0.5, false},
	} {
		f := with(func(r *R) {
			r.Clearance[0].Patch = mm(c.rest, 0.1)
			r.Movement[0].Zone, r.Movement[0].Patch = zone, mm(c.move, 0.3)
		})
		if got := codes(judge(f))[finding.ClearanceInMovement]; got != c.want {
			t.Errorf("%s: noted %v, want %v", c.name, got, c.want)
		}
	}
}
