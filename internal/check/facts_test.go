package check

import (
	"testing"

	"selvage/finding"
)

// Crumbs of an arch are told; a record of the bite consists of pieces by its nature.
func TestCrumbsOfARecordAreNoFragments(t *testing.T) {
	for role, want := range map[finding.Role]int{finding.RoleWorking: 3, finding.RoleBefore: 3, finding.RoleBite: 0} {
		if got := scanFacts(&Scan{File: "a.stl", Role: role, Crumbs: 3}).Fragments; got != want {
			t.Errorf("%s: %d fragments, want %d", role, got, want)
		}
	}
}
