package work_test

import (
	"context"
	"testing"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/watch"
	"selvage/internal/work"
)

// delivery is what arrives in a folder: names and contents in turn.
func delivery(folder string, parts ...string) watch.Delivery {
	d := watch.Delivery{Folder: folder}
	for i := 0; i < len(parts); i += 2 {
		d.Files = append(d.Files, watch.File{Mark: watch.Mark{Path: folder + "/" + parts[i], Size: int64(len(parts[i+1]))}, Name: parts[i], Data: []byte(parts[i+1])})
	}
	return d
}

// cases returns the cases by id.
func cases(t *testing.T, d *work.Desk) []work.Case {
	t.Helper()
	all, err := d.Recent(context.Background(), 100)
	ok(t, err)
	return all
}

// used lists the names of a case's scans that count, with their contents' roles.
func used(c work.Case) map[string]finding.Role {
	out := map[string]finding.Role{}
	for _, s := range c.Used() {
		out[s.Name] = s.Role
	}
	return out
}

func TestDeliveriesFindTheirCase(t *testing.T) {
	ctx := context.Background()
	d := open(t, t.TempDir())
	give := func(in watch.Delivery) { t.Helper(); ok(t, d.Deliver(ctx, "share", in)) }
	count := func(n int) {
		t.Helper()
		if all := cases(t, d); len(all) != n {
			t.Fatalf("%d cases, want %d: %+v", len(all), n, all)
		}
	}
	give(delivery("P-7", "prep.stl", "prep 1", "antagonist.stl", "opp 1"))
	count(1)
	c := cases(t, d)[0]
	if c.Name != "P-7" || used(c)["antagonist.stl"] != finding.RoleOpposing || used(c)["prep.stl"] != finding.RoleWorking {
		t.Errorf("case %q with %v, want its name and roles from folder and files", c.Name, used(c))
	}
	give(delivery("P-7", "prep.stl", "prep 1", "antagonist.stl", "opp 1")) // again, after a start
	count(1)
	if c := see(t, d, c.ID); len(c.Scans) != 2 {
		t.Errorf("%d scans after the same files came again", len(c.Scans))
	}
	ok(t, d.SetRole(ctx, "asst", c.ID, c.Scans[0].ID, finding.RolePreparation))
	given := c.Scans[0].Name
	give(delivery("P-7", given, "a newer one"))
	count(1)
	if c := see(t, d, c.ID); len(c.Scans) != 3 || len(c.Used()) != 2 || used(c)[given] != finding.RolePreparation {
		t.Errorf("after a newer file of the same name: %+v, want the older left out, and the role that was given kept", c.Scans)
	}
	give(delivery("P-8", "antagonist.stl", "opp 2", "prep.stl", "prep 8"))
	count(2)
	give(delivery("P-8b", "antagonist.stl", "opp 2", "prep.stl", "prep 8, newer")) // one file, byte for byte
	count(2)
	id, err := d.NewCase(ctx, "asst", "planned", "")
	ok(t, err)
	ok(t, d.SetOrder(ctx, "asst", id, func(c *casefile.Case) error { c.Patient.Reference = "R-9"; return nil }))
	give(delivery("r-9", "prep.stl", "prep 9"))
	count(3)
	if c := see(t, d, id); len(c.Used()) != 1 {
		t.Errorf("the planned case has %v", used(c))
	}
	give(delivery("", "prep.stl", "prep 9 again")) // the case that changed last holds that name
	count(3)
	if c := see(t, d, id); len(c.Scans) != 2 || len(c.Used()) != 1 {
		t.Errorf("the case at the chair has %+v", c.Scans)
	}
	give(delivery("", "other.stl", "other"))
	count(4)
	if n, err := d.Ledger().Verify(ctx); err != nil || n == 0 {
		t.Errorf("%d events, %v", n, err)
	}
}

// TestSignedCaseIsLeftAlone: what comes by name alone after a signature opens a case of
// its own.
func TestSignedCaseIsLeftAlone(t *testing.T) {
	ctx := context.Background()
	d := open(t, t.TempDir())
	ok(t, d.Deliver(ctx, "share", delivery("scans", "prep.stl", string(solid("first")))))
	ok(t, d.Deliver(ctx, "share", delivery("scans", "prep.stl", string(solid("better"))))) // the first is left out
	id := cases(t, d)[0].ID
	ok(t, d.SetOrder(ctx, "asst", id, name26))
	if k := await(t, d, id); k.State != work.Done {
		t.Fatalf("check %+v", k)
	}
	ok(t, d.Decide(ctx, "dr", id, "", work.Accept, "seen"))
	ok(t, d.Sign(ctx, "dr", id, ""))
	ok(t, d.Deliver(ctx, "share", delivery("scans", "prep.stl", "of the next patient")))
	if c := see(t, d, id); len(c.Scans) != 2 || len(c.Used()) != 1 || len(cases(t, d)) != 2 {
		t.Errorf("%d scans, %d cases; want the signed case as it was, and a new one", len(c.Scans), len(cases(t, d)))
	}
}

func TestWatchedIsRemembered(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	d := open(t, dir)
	begun, taken, err := d.Watched(ctx, "share")
	ok(t, err)
	if begun.IsZero() || len(taken) != 0 {
		t.Errorf("begun %v, taken %v", begun, taken)
	}
	in := delivery("P-7", "a.stl", "a", "b.stl", "b")
	ok(t, d.Deliver(ctx, "share", in))
	ok(t, d.Deliver(ctx, "another", delivery("P-7", "c.stl", "c")))
	again, taken, err := d.Watched(ctx, "share")
	ok(t, err)
	if !again.Equal(begun) || len(taken) != 2 || taken[0].Path != "P-7/a.stl" || !taken[1].Changed.Equal(in.Files[1].Changed) {
		t.Errorf("begun %v and %v, taken %v", begun, again, taken)
	}
}
