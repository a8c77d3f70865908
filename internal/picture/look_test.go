package picture

import (
	"flag"
	"os"
	"path/filepath"
	"testing"
)

var look = flag.String("look", "", "write the fixture's pictures into this folder, to look at them")

// fixtureFigures are all pictures of the fixture, on a ground.
func fixtureFigures(g Ground) []Figure {
	s := fixtureStage()
	s.Ground = g
	s = s.prepared()
	jobs := []job{
		func() (Figure, bool) { return s.Overview(fixtureSpots()), true },
		func() (Figure, bool) { return s.ClearanceMap(1.5) },
		func() (Figure, bool) { return s.Bite() },
	}
	for _, p := range fixtureSpots() {
		jobs = append(jobs, func() (Figure, bool) { return s.SpotView(p), true },
			func() (Figure, bool) { return s.Hold(p) })
	}
	return drawAll(jobs)
}

// TestLook checks that each picture is there and compact; with -look it writes them.
func TestLook(t *testing.T) {
	const most = 250_000 // bytes: a report with ten pictures stays within an e-mail
	want := []string{"overview", "clearance", "bite", "finding-1", "hold-1", "finding-2", "finding-3", "hold-3"}
	figs := fixtureFigures(Paper)
	if len(figs) != len(want) {
		t.Fatalf("%d pictures, want %d", len(figs), len(want))
	}
	for i, f := range figs {
		if f.Slot != want[i] {
			t.Errorf("picture %d is %q, want %q", i, f.Slot, want[i])
		}
		if len(f.Data) > most || len(f.Data) < 2000 {
			t.Errorf("%s has %d bytes, want 2000 to %d", f.Slot, len(f.Data), most)
		}
		if *look != "" {
			if err := os.WriteFile(filepath.Join(*look, f.Slot+".png"), f.Data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}
