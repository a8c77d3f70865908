package casefile

import (
	"slices"
	"testing"

	"selvage/finding"
	"selvage/tooth"
)

// Short names keep the table readable.
const (
	prep = finding.RolePreparation
	work = finding.RoleWorking
	opp  = finding.RoleOpposing
	bite = finding.RoleBite
	befo = finding.RoleBefore
	dsgn = finding.RoleDesign
)

func TestAssignRoles(t *testing.T) {
	tests := []struct {
		name  string
		jaw   tooth.Jaw
		files []string
		want  []finding.Role
	}{
		{"arches of an upper tooth", upperJaw, []string{"lowerteeth.obj", "upperteeth.obj"}, []finding.Role{opp, work}},
		{"arches of a lower tooth", lowerJaw, []string{"Lower.stl", "Upper.stl"}, []finding.Role{work, opp}},
		{"capitals inside a name", upperJaw, []string{"P1007_MaxillaPreOp.stl", "MandibularScan.stl", "MaxillaryScan.stl"}, []finding.Role{befo, opp, work}},
		{"trade words", upperJaw, []string{"bite-left.stl", "before.stl", "antagonist.ply", "working.ply", "preparation_26.stl"}, []finding.Role{bite, befo, opp, work, prep}},
		{"two bite records", lowerJaw, []string{"bite1.stl", "buccal bite 2.stl"}, []finding.Role{bite, bite}},
		{"prep alone is the arch", upperJaw, []string{"prep.stl", "opposing.stl"}, []finding.Role{work, opp}},
		{"prepared arch", lowerJaw, []string{"lower_prep.stl", "upper.stl"}, []finding.Role{work, opp}},
		{"prep beside its arch: the shapes decide", upperJaw, []string{"upper.stl", "upper-prep.stl", "lower.stl"}, []finding.Role{"", "", opp}},
		{"before in two words", upperJaw, []string{"pre-prep.stl", "pre_op.stl"}, []finding.Role{"", ""}},
		{"one before", upperJaw, []string{"26 pre-prep.stl"}, []finding.Role{befo}},
		{"before the preparation", upperJaw, []string{"before_preparation.stl"}, []finding.Role{befo}},
		{"a design", upperJaw, []string{"crown.stl", "upper.stl"}, []finding.Role{dsgn, work}},
		{"crown beside an arch word", upperJaw, []string{"crown-26-upper.stl"}, []finding.Role{work}},
		{"a contradiction", upperJaw, []string{"lower-working.stl"}, []finding.Role{""}},
		{"two words for two roles", upperJaw, []string{"working-opposing.stl"}, []finding.Role{""}},
		{"nothing said", upperJaw, []string{"scan1.stl", "scan2.stl"}, []finding.Role{"", ""}},
		{"a word inside a word", upperJaw, []string{"prepaid.stl", "bitesize.stl"}, []finding.Role{"", ""}},
		{"two of one arch", upperJaw, []string{"upper1.stl", "upper2.stl"}, []finding.Role{"", ""}},
		{"tooth unknown", noJaw, []string{"upper.stl", "lower.stl", "bite.stl"}, []finding.Role{"", "", bite}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := RolesByName(tt.files, tt.jaw)
			if !slices.Equal(got, tt.want) {
				t.Errorf("RolesByName(%q) = %q, want %q", tt.files, got, tt.want)
			}
		})
	}
}

func TestSplitWords(t *testing.T) {
	got := splitWords("P-1007_UpperJaw2 preOp")
	want := []string{"p", "upper", "jaw", "pre", "op"}
	if !slices.Equal(got, want) {
		t.Errorf("splitWords = %q, want %q", got, want)
	}
}
