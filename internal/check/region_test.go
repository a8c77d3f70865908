package check

import (
	"testing"

	"selvage/bvh"
	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/meshtest"
	"selvage/measure"
	"selvage/meshio"
	"selvage/prep"
	"selvage/prep/undercut"
	"selvage/r3"
)

// TestRegionOf: within half a millimetre of the line is the margin, inside it the
// preparation, 2 mm over the line outside it the neighbour, else the gum.
func TestRegionOf(t *testing.T) {
	r := ringed(26, 0, 0, 0)
	for _, c := range []struct {
		at   r3.Vec
		want finding.Region
	}{
		{r3.V(5.4, 0, 0), finding.RegionMargin},
		{r3.V(0, -4.6, 0.2), finding.RegionMargin},
		{r3.V(4.3, 0, 0), finding.RegionPreparation},
		{r3.V(1, 1, 5), finding.RegionPreparation},
		{r3.V(4, 0, -0.6), finding.RegionTissue},
		{r3.V(6, 0, 1.9), finding.RegionTissue},
		{r3.V(6, 0, 2.1), finding.RegionNeighbour},
	} {
		if got := r.regionOf(c.at); got != c.want {
			t.Errorf("%v: %s, want %s", c.at, got, c.want)
		}
	}
}

// TestUndercutUnderASheet: where a program closed a hole in the preparation no undercut is
// told, however large; where the axis was not found, that is the reason.
func TestUndercutUnderASheet(t *testing.T) {
	for _, c := range []struct{ sheet, axis, want bool }{{false, true, true}, {true, true, false}, {true, false, true}} {
		r := ringed(26, 0, 0, 0)
		r.axis.OK = c.axis
		r.undercut = undercut.Result{Depth: measure.Of(0.3, 0.05, measure.MM), Area: measure.Of(2, 0.1, measure.MM2)}
		if c.sheet {
			r.source.Invented = []finding.Patch{{Area: measure.Of(1, 0.1, measure.MM2).At(measure.Place{At: r3.V(3, 1, 2)})}}
		}
		if got := r.facts(&scanSet{quick: true}).Undercut; got.Depth.Measured() != c.want || got.Area.Measured() != c.want {
			t.Errorf("%+v: undercut %+v", c, got)
		}
	}
}

// TestScanFacts: what a file says of itself and what is known of it.
func TestScanFacts(t *testing.T) {
	stl := meshio.Format{Container: meshio.STL}
	newer := &Scan{File: "new.stl"}
	for _, c := range []struct {
		name string
		s    *Scan
		ok   func(f finding.Scan) bool
	}{
		{"named as it is", &Scan{File: "a.stl", Format: stl}, func(f finding.Scan) bool { return f.TypeSaid == "" && f.TypeFound == "" }},
		{"named otherwise", &Scan{File: "a.ply", Format: stl}, func(f finding.Scan) bool { return f.TypeSaid == "ply" && f.TypeFound == stl.Container.String() }},
		{"noise not told", &Scan{File: "a.stl", Format: stl, Noise: 0.01}, func(f finding.Scan) bool { return !f.Noise.Measured() && f.Noise.Why != "" }},
		{"noise told", &Scan{File: "a.stl", Format: stl, Noise: 0.01, NoiseOK: true}, func(f finding.Scan) bool { return f.Noise.V == 10 }},
		{"from before the last cut", &Scan{File: "a.stl", Format: stl, Newer: newer}, func(f finding.Scan) bool { return f.Outdated == finding.Yes && f.Newer == "new.stl" }},
		{"the newest", &Scan{File: "a.stl", Format: stl}, func(f finding.Scan) bool { return f.Outdated == finding.No && f.Newer == "" }},
		{"broken", &Scan{File: "a.stl", Format: stl, Fault: "broken", Newer: newer}, func(f finding.Scan) bool {
			return f.Fault == "broken" && f.Outdated != finding.Yes && f.Noise.Why == ""
		}},
	} {
		if f := scanFacts(c.s); !c.ok(f) {
			t.Errorf("%s: %+v", c.name, f)
		}
	}
}

// TestPair: two prepared teeth of one arch know of each other; those of the two jaws do not.
func TestPair(t *testing.T) {
	a, b, c := &restoration{number: 26}, &restoration{number: 25}, &restoration{number: 36}
	pair([]*restoration{a, b, c})
	if len(a.others) != 1 || a.others[0] != 25 || len(b.others) != 1 || b.others[0] != 26 || len(c.others) != 0 {
		t.Errorf("26 beside %v, 25 beside %v, 36 beside %v", a.others, b.others, c.others)
	}
}

// TestWanting: of a stretch that was not captured what the scan does not hold has to be seen,
// the root where it holds the line; of one that tissue hides, all.
func TestWanting(t *testing.T) {
	const depth = -rootNeeded
	for _, c := range []struct {
		name       string
		state      prep.MarginState
		floor      float64 // of the scan, a plate; the line lies at 0, the root at -0.2
		line, root bool
	}{
		{"neither is held", prep.NotCaptured, 3, true, true},
		{"the line is held", prep.NotCaptured, 0.05, false, true},
		{"both are held", prep.NotCaptured, -0.1 + 1e-9, false, true},
		{"tissue hides them", prep.Unclear, -0.1 + 1e-9, true, true},
	} {
		r := ringed(26, c.state, 100, 120)
		plate := meshtest.Plate(20, 20, 1, nil)
		for i := range plate.Pos {
			plate.Pos[i] = plate.Pos[i].Add(r3.V(-10, -10, c.floor))
		}
		r.source.Tree = bvh.Build(plate)
		pts, nrm := r.wanting(r.stretches()[0])
		var line, root bool
		for _, p := range pts {
			line, root = line || p.Z == 0, root || p.Z == depth
		}
		if line != c.line || root != c.root || len(pts) != len(nrm) || len(pts) < 5 {
			t.Errorf("%s: the line %v, the root %v, %d points", c.name, line, root, len(pts))
		}
	}
}

// TestUnitsOf: an inch is written in full in case.json.
func TestUnitsOf(t *testing.T) {
	for _, name := range []string{"mm", "cm", "m", "in", "um"} {
		u, _ := meshio.UnitNamed(name)
		want := casefile.Units(name)
		if name == "in" {
			want = casefile.Inch
		}
		if got := unitsOf(u); got != want {
			t.Errorf("%s is written %s", name, got)
		}
	}
}
