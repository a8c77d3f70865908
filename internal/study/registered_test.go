package study

import (
	"math"
	"strings"
	"testing"

	"selvage/finding"
	"selvage/internal/check"
	"selvage/phantom"
	"selvage/r3"
)

// The error of a registration is what it leaves at the tooth: of the record, once the
// slip of the opposing scan is taken back.
func TestRegistered(t *testing.T) {
	at := r3.V(20, 10, -5)
	shift := func(v r3.Vec) r3.Rigid { return r3.Rigid{R: r3.Identity(), T: v} }
	out := check.Outcome{Registered: []check.Registered{
		{Role: finding.RoleBefore, Motion: shift(r3.V(0.003, 0.004, 0)), At: at, U: 0.01},
		{Role: finding.RoleBite, Motion: shift(r3.V(-0.2, 0, 0.012)), At: at, U: 0.02},
	}}
	truth := phantom.Truth{Scans: []phantom.ScanTruth{{Role: phantom.Working, Units: "mm"}}}
	truth.Bite.Move = phantom.Point{0.2, 0, 0}
	got := registered(truth, out)
	if len(got) != 2 || math.Abs(got[0].ErrorUm-5) > 1e-9 || math.Abs(got[1].ErrorUm-12) > 1e-9 {
		t.Fatalf("%+v", got)
	}
	r := Result{Trials: []Trial{{NoiseUm: 10, Registered: got}, {NoiseUm: 20, Registered: got}}}
	rows := r.registeredTable().rows
	if len(rows) != 4 || rows[0][1] != "2" || rows[1][1] != "1" || !strings.HasPrefix(rows[3][2], "12.0") {
		t.Errorf("%v", rows)
	}
	truth.Faults = []phantom.Fault{{Name: "other-mouth"}}
	if got := registered(truth, out); len(got) != 1 {
		t.Errorf("a stranger's scan has a true place: %+v", got)
	}
	truth.Scans[0].Mirrored = true
	if got := registered(truth, out); got != nil {
		t.Errorf("a mirrored scan has a true place: %+v", got)
	}
}
