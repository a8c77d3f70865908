package layers

import (
	"strconv"
	"strings"
	"testing"
)

// ranks says how high each package stands. A package may import only packages of
// a lower rank. A pattern that ends in /* stands for the packages directly below.
var ranks = []struct {
	pattern string
	rank    int
}{
	{"r3", 0},
	{"internal/num", 0},
	{"tooth", 0},
	{"calendar", 0},
	{"shade", 0},
	{"quality", 0},
	{"measure", 1},
	{"mesh", 1},
	{"limit", 1},
	{"internal/schema", 0},
	{"internal/holiday", 1},
	{"internal/turnaround", 1},
	{"internal/photo", 1},
	{"internal/query", 2},
	{"internal/track", 3},
	{"meshio", 2},
	{"meshio/*", 2},
	{"bvh", 2},
	{"curve", 2},
	{"surface", 2},
	{"register", 3},
	{"phantom/*", 2}, // exact shapes, which know nothing of teeth
	{"phantom", 3},
	{"dentition", 4},
	{"prep", 4},
	{"prep/*", 5},
	{"coverage", 5},
	{"occlusion", 5},
	{"neighbour", 5},
	{"crown", 5},
	{"finding", 6},
	{"internal/casefile", 7},
	{"internal/check", 8},
	{"internal/since", 8},
	{"internal/prescription", 8},
	{"internal/store", 9},
	{"internal/store/*", 9},
	{"internal/job", 9},
	{"internal/packed", 9},
	{"internal/picture", 9},
	{"internal/picture/*", 2}, // inks and letters, which know no scan
	{"internal/report", 9},
	{"internal/workorder", 9},
	{"internal/sheet", 9},
	{"internal/exchange", 9},
	{"internal/schedule", 9},
	{"internal/seating", 9},
	{"internal/watch", 9},
	{"internal/mill", 9},
	{"internal/news", 9},
	{"internal/home", 10},
	{"internal/work", 10},
	{"internal/study", 10},
	{"internal/people", 10},
	{"internal/drill", 10},
	{"internal/web/ui", 10}, // what the browser runs; the server embeds it
	{"internal/web", 11},
	{"internal/web/*", 11},
	{"internal/cli", 11},
	{"cmd/*", 12},
	{"bench", 12},
	{"bench/*", 12},
	{"internal/layers", 12},
	{"internal/outside", 12},
	{"internal/meshtest", 12}, // imported by tests alone
	{"internal/golden", 12},
	{"internal/browser", 12},
	{"internal/storetest", 12},
}

// families are packages of one rank that may import within themselves: a door, the
// rooms behind it, and what the rooms share.
var families = []string{"meshio", "phantom", "internal/store", "internal/web"}

// findingMay lists all that the rules may see: measures, never meshes.
var findingMay = map[string]bool{
	"measure": true, "limit": true, "tooth": true, "calendar": true,
	"r3": true, // measure.Place holds its point as an r3.Vec
}

// phantomImporters may import phantom outside their tests.
var phantomImporters = map[string]bool{
	"internal/study": true, "internal/cli": true, "bench": true, "internal/drill": true, "cmd/sheet": true,
}

// testOnly may be imported by test files alone.
var testOnly = map[string]bool{"internal/browser": true, "internal/meshtest": true, "internal/golden": true, "internal/storetest": true}

// rankOf returns the rank of the package in dir.
func rankOf(dir string) (int, bool) {
	for _, r := range ranks {
		if r.pattern == dir {
			return r.rank, true
		}
		below, star := strings.CutSuffix(r.pattern, "*")
		if rest, under := strings.CutPrefix(dir, below); star && under && !strings.Contains(rest, "/") {
			return r.rank, true
		}
	}
	return 0, false
}

// imports lists the packages of this module that f imports, as directories.
func imports(f goFile) []string {
	var dirs []string
	for _, spec := range f.syntax.Imports {
		p, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			continue
		}
		if dir, own := strings.CutPrefix(p, modulePath+"/"); own {
			dirs = append(dirs, dir)
		}
	}
	return dirs
}

// TestImportRanks checks that imports go down, that siblings of one rank leave
// each other alone, and that no package is without a rank.
func TestImportRanks(t *testing.T) {
	tr := load(t)
	for _, f := range tr.files {
		if f.test {
			continue
		}
		from, ok := rankOf(f.dir)
		if !ok {
			t.Errorf("%s: package %s has no rank; give it one in ARCHITECTURE.md and internal/layers/rank_test.go", f.path, f.dir)
			continue
		}
		for _, dir := range imports(f) {
			to, ok := rankOf(dir)
			switch {
			case !ok:
				t.Errorf("%s imports %s, which has no rank", f.path, dir)
			case to > from:
				t.Errorf("%s (rank %d) imports %s (rank %d): imports must go down", f.path, from, dir, to)
			case to == from && !oneFamily(f.dir, dir):
				t.Errorf("%s (rank %d) imports its sibling %s: move what they share to a lower rank", f.path, from, dir)
			}
		}
	}
}

// oneFamily reports whether both packages belong to one family.
func oneFamily(a, b string) bool {
	for _, f := range families {
		if (a == f || strings.HasPrefix(a, f+"/")) && (b == f || strings.HasPrefix(b, f+"/")) {
			return true
		}
	}
	return false
}

// TestAnalysesDoNotSeeTheTruth checks that only the study, training cases, the command
// line, the sheet of made cases and the benchmarks import phantom, and that phantom imports nothing that measures:
// a truth computed by the code under test would be no truth.
func TestAnalysesDoNotSeeTheTruth(t *testing.T) {
	tr := load(t)
	for _, f := range tr.files {
		for _, dir := range imports(f) {
			if strings.HasPrefix(dir, "phantom") && !f.test &&
				!phantomImporters[f.dir] && !strings.HasPrefix(f.dir, "phantom") {
				t.Errorf("%s imports phantom: outside tests only %s may", f.path, "internal/study, internal/drill, internal/cli, cmd/sheet and bench")
			}
			if rank, _ := rankOf(dir); strings.HasPrefix(f.dir, "phantom") && rank >= 4 {
				t.Errorf("%s imports %s: a phantom's truth must not come from an analysis, not even in its tests", f.path, dir)
			}
		}
	}
}

// TestRulesSeeNoMesh checks that finding and report work on measures alone.
func TestRulesSeeNoMesh(t *testing.T) {
	tr := load(t)
	for _, f := range tr.files {
		if f.test {
			continue
		}
		for _, dir := range imports(f) {
			if f.dir == "finding" && !findingMay[dir] {
				t.Errorf("%s imports %s: the rules see measure, limit, tooth and calendar only", f.path, dir)
			}
			if f.dir == "internal/report" && (dir == "mesh" || dir == "bvh") {
				t.Errorf("%s imports %s: a report shows what was measured and sees no mesh", f.path, dir)
			}
			if testOnly[dir] {
				t.Errorf("%s imports %s, which is for tests", f.path, dir)
			}
		}
	}
}
