package study

import (
	"context"
	"slices"
	"testing"

	"selvage/finding"
	"selvage/phantom"
	"selvage/tooth"
)

// A neighbour that leans on the preparation hides a part of it and runs into it. It is
// neither taken for the tooth, nor does it take the line and the walls along: what is to be
// seen of the preparation is measured, and no undercut is made of the neighbour.
func TestLeanedOn(t *testing.T) {
	if testing.Short() {
		t.Skip("makes a case")
	}
	n, err := tooth.New(35)
	if err != nil {
		t.Fatal(err)
	}
	s := phantom.Default(n)
	s.Seed = 2
	for _, f := range []string{"clearance-low", "convergence-low", "finish-line-narrow", "gap-narrow"} {
		s.Faults = append(s.Faults, phantom.Fault{Name: f})
	}
	var b bench
	got, err := b.run(context.Background(), Plan{Spec: s})
	if err != nil {
		t.Fatal(err)
	}
	if got.Failed != "" || len(got.Dropped) > 0 {
		t.Fatalf("not made: %s %v", got.Failed, got.Dropped)
	}
	if got.Margin == nil || got.Margin.Mean > 0.05 {
		t.Errorf("margin %+v", got.Margin)
	}
	for _, code := range []finding.Code{finding.ClearanceLow, finding.ConvergenceLow} {
		if !slices.Contains(got.Raised, code) {
			t.Errorf("%s is missed; raised %v", code, got.Raised)
		}
	}
	if slices.Contains(got.Raised, finding.Undercut) {
		t.Errorf("an undercut was made of the neighbour: %v", got.Raised)
	}
}
