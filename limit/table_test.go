package limit_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"selvage/limit"
)

func find(t *testing.T, id limit.ID, q limit.Selector) limit.Row {
	t.Helper()
	r, ok := limit.Default().Find(id, q)
	if !ok {
		t.Fatalf("no limit %s for %s", id, q)
	}
	return r
}

// Check values of the trade's tables (trade numbers, section 12), each with the
// source that the row names.
func TestCheckValues(t *testing.T) {
	type S = limit.Selector
	const ok, advise, flag = limit.OK, limit.Advised, limit.Flagged
	for _, c := range []struct {
		name   string
		id     limit.ID
		q      S
		v      float64
		want   limit.Grade
		source string // must stand in the row's source
	}{
		{"13 molar height 3.9", limit.WallHeight, S{Class: "molar"}, 3.9, flag, "Goodacre"},
		{"13 molar height 4.0", limit.WallHeight, S{Class: "molar"}, 4.0, ok, "Goodacre"},
		{"14 premolar height 2.9", limit.WallHeight, S{Class: "premolar"}, 2.9, flag, "Goodacre"},
		{"14 premolar height 3.0", limit.WallHeight, S{Class: "premolar"}, 3.0, ok, "Goodacre"},
		{"15 convergence 9.9", limit.ConvergenceLow, S{}, 9.9, advise, "Goodacre"},
		{"15 convergence 10", limit.ConvergenceLow, S{}, 10, ok, "Goodacre"},
		{"15 convergence 20", limit.ConvergenceHigh, S{}, 20, ok, "Goodacre"},
		{"15 convergence 20.1", limit.ConvergenceHigh, S{}, 20.1, advise, "Goodacre"},
		{"1.1 convergence 24.1", limit.ConvergenceHigh, S{}, 24.1, flag, "23.6"},
		{"1.1 convergence 5.9", limit.ConvergenceLow, S{}, 5.9, flag, "undercut"},
		{"1.1 ratio 0.39", limit.HeightToBase, S{}, 0.39, flag, "Goodacre"},
		{"1.3 resistance 0.49", limit.Resistance, S{}, 0.49, flag, "Parker"},
		{"16 chamfer 0.45, cast metal", limit.MaterialMinimum, S{Material: limit.NobleAlloy, Zone: limit.Edge}, 0.45, flag, "Rosenstiel"},
		{"17 3Y zirconia 0.5", limit.MaterialMinimum, S{Material: limit.Zirconia3Y, Zone: limit.Functional}, 0.5, advise, "PMC5917110"},
		{"17 3Y zirconia 0.2", limit.MaterialMinimum, S{Material: limit.Zirconia3Y, Zone: limit.Functional}, 0.2, flag, "PMC5917110"},
		{"18 lithium disilicate 0.5", limit.MaterialMinimum, S{Material: limit.LithiumDisilicate, Cement: limit.Adhesive, Zone: limit.Functional}, 0.5, flag, "PMC13027988"},
		{"19 gold 1.4 on the holding cusp", limit.MaterialMinimum, S{Material: limit.NobleAlloy, Zone: limit.Functional}, 1.4, flag, "Rosenstiel"},
		{"25 gap 15 µm", limit.BiteGap, S{}, 15, ok, "SHIP-1"},
		{"25 gap 25 µm", limit.BiteGap, S{}, 25, advise, "SHIP-1"},
		{"26 overlap 0.05", limit.BitePenetration, S{}, 0.05, ok, "our own choice"},
		{"26 overlap 0.2", limit.BitePenetration, S{}, 0.2, flag, "our own choice"},
		{"56 sulcus 0.11", limit.SulcusNarrow, S{}, 0.11, flag, "0.15"},
		{"56 sulcus 0.15", limit.SulcusNarrow, S{}, 0.15, advise, "Baharav"},
		{"56 sulcus 0.2", limit.SulcusNarrow, S{}, 0.2, ok, "Baharav"},
		{"59 250 MPa, conventional", limit.Strength, S{Cement: limit.Conventional}, 250, flag, "ISO 6872"},
		{"59 250 MPa, adhesive", limit.Strength, S{Cement: limit.Adhesive}, 250, ok, "ISO 6872"},
		{"4.3 spacing 0.12", limit.SamplingCoarse, S{}, 0.12, advise, "0.126"},
		{"4.3 spacing 0.16", limit.SamplingCoarse, S{}, 0.16, flag, "0.126"},
		{"1.6 roughness 60 µm", limit.MarginRough, S{}, 60, advise, "1971 clinical study"},
		{"1.6 roughness 110 µm", limit.MarginRough, S{}, 110, flag, "1971 clinical study"},
		{"same mouth 0.46", limit.SameMouth, S{}, 0.46, flag, "37536075"},
		{"contact hole 1.1", limit.HoleContact, S{}, 1.1, flag, "common practice"},
		{"margin 0.5", limit.MarginUnclear, S{}, 0.5, ok, "common practice"},
		{"margin 0.6", limit.MarginUnclear, S{}, 0.6, flag, "common practice"},
		{"near edge 0.29", limit.RootNotSeen, S{}, 0.29, flag, "0.3-0.5"},
		{"undercut 0.11", limit.UndercutDepth, S{}, 0.11, flag, "PMC5549906"},
		{"undercut 0.05", limit.UndercutDepth, S{}, 0.05, advise, "PMC5549906"},
		{"gap 0.4", limit.GapToNeighbour, S{}, 0.4, flag, "common practice"},
	} {
		r := find(t, c.id, c.q)
		if got := r.Grade(c.v); got != c.want {
			t.Errorf("%s: %s, want %s (%+v)", c.name, got, c.want, r)
		}
		if !strings.Contains(r.Source, c.source) {
			t.Errorf("%s: source %q, want %q in it", c.name, r.Source, c.source)
		}
	}
}

// Every material has a minimum in every zone, with either cement, and the
// recommended value is never below it.
func TestEveryMaterialHasEveryZone(t *testing.T) {
	table := limit.Default()
	for _, m := range limit.Materials() {
		for _, z := range limit.Zones() {
			for _, c := range append(limit.Cements(), "") {
				q := limit.Selector{Material: m, Cement: c, Zone: z}
				r, ok := table.Minimum(q)
				if !ok || !r.Flag.Set || !r.Advise.Set || r.Flag.V <= 0 || r.Flag.V > 2 || r.Advise.V < r.Flag.V {
					t.Errorf("%s: %+v, %v", q, r, ok)
				}
				cl, ok := table.Clearance(q)
				if !ok || math.Abs(cl.Flag.V-r.Flag.V-0.05) > 1e-12 || math.Abs(cl.Advise.V-cl.Flag.V-0.10) > 1e-12 {
					t.Errorf("clearance of %s: %+v, %v, want minimum + cement, + adjustment", q, cl, ok)
				}
			}
		}
	}
}

// The example of trade numbers 2.4: a minimum of 1.0 and cement of 0.05 ask for
// 1.05.
func TestClearanceArithmetic(t *testing.T) {
	r, ok := limit.Default().Clearance(limit.Selector{Material: limit.LithiumDisilicate, Cement: limit.Adhesive, Zone: limit.Functional})
	if !ok || r.Flag.V != 1.05 || r.Grade(1.00) != limit.Flagged || r.Grade(1.10) != limit.Advised || r.Grade(1.2) != limit.OK {
		t.Errorf("%+v", r)
	}
	if _, ok := limit.Default().Clearance(limit.Selector{Zone: limit.Functional}); ok {
		t.Error("there is a clearance limit without a material")
	}
}

// The more specific row wins, and an unknown cement takes the row for either.
func TestFindTakesTheMostSpecificRow(t *testing.T) {
	q := limit.Selector{Material: limit.LithiumDisilicate, Zone: limit.Functional}
	if r := find(t, limit.MaterialMinimum, q); r.Flag.V != 1.5 {
		t.Errorf("cement unknown: %v, want 1.5", r.Flag)
	}
	q.Cement = limit.Adhesive
	if r := find(t, limit.MaterialMinimum, q); r.Flag.V != 1.0 {
		t.Errorf("adhesive: %v, want 1.0", r.Flag)
	}
	q.Cement = limit.Conventional
	if r := find(t, limit.MaterialMinimum, q); r.Flag.V != 1.5 {
		t.Errorf("conventional: %v, want 1.5", r.Flag)
	}
	if _, ok := limit.Default().Find("no-such-limit", limit.Selector{}); ok {
		t.Error("found a limit that does not exist")
	}
}

// Every constant of the package has a row, every row a constant, and all rows keep
// the rules that Parse holds a practice's copy to.
func TestShippedTable(t *testing.T) {
	table := limit.Default()
	ids := []limit.ID{
		limit.MarginUnclear, limit.MarginNotCaptured, limit.MarginLineAngle, limit.MarginTwoLines, limit.MarginRough,
		limit.RootNotSeen, limit.SulcusNarrow, limit.SamplingCoarse, limit.ContrastColour, limit.UndercutDepth,
		limit.UndercutArea, limit.UndercutNearMargin, limit.PathOverlap, limit.ConvergenceHigh, limit.ConvergenceLow,
		limit.WallHeight, limit.HeightToBase, limit.Resistance, limit.SharpEdge, limit.ToolRadius, limit.MaterialMinimum, limit.CementSpace,
		limit.Adjustment, limit.GapToNeighbour, limit.NeighbourBulge, limit.NeighbourLoss, limit.Strength, limit.MaterialReaches,
		limit.BitePenetration, limit.BiteResidual, limit.BiteShift, limit.BiteGap, limit.HoleContact, limit.HolePreparation,
		limit.HoleOpposing, limit.HoleElsewhere, limit.Doubled, limit.Invented, limit.Noise, limit.SameMouth, limit.SameTooth, limit.SeatBuffer, limit.SeatReady, limit.QueryAnswer, limit.TemporaryStay, limit.MillEnlargement, limit.MillBorder,
		limit.CondylarGuidance, limit.BennettAngle, limit.IncisalGuidance, limit.CanineGuidance, limit.BonwillSide,
		limit.BalkwillAngle, limit.CondylarPath,
	}
	var seen []limit.ID
	for _, r := range table.Rows() {
		seen = append(seen, r.ID)
		if !slices.Contains(ids, r.ID) {
			t.Errorf("the row %s has no constant", r.ID)
		}
		if r.Unit == limit.MPa && r.For == (limit.Selector{}) {
			t.Errorf("%s is for every material", r.ID)
		}
	}
	for _, id := range ids {
		if !slices.Contains(seen, id) {
			t.Errorf("%s has no row", id)
		}
	}
	if table.Setting(limit.CementSpace) != 0.05 || table.Setting(limit.UndercutNearMargin) != 0.5 || table.Setting("none") != 0 {
		t.Error("settings are wrong")
	}
}

func TestRowsAreACopy(t *testing.T) {
	table := limit.Default()
	table.Rows()[0].Flag.V = 99
	if table.Rows()[0].Flag.V == 99 {
		t.Error("a caller can alter the table")
	}
}

func Example() {
	table := limit.Default()
	row, _ := table.Clearance(limit.Selector{Material: limit.Zirconia5Y, Zone: limit.Functional})
	fmt.Printf("flag below %.2f mm, advise below %.2f mm: %s\n", row.Flag.V, row.Advise.V, row.Source)
	// Output: flag below 0.85 mm, advise below 0.95 mm: consensus teaching; compare Materials 2024;17:365
}
