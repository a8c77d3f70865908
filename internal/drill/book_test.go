package drill

import (
	"context"
	"errors"
	"path/filepath"
	"testing"
	"time"

	"selvage/finding"
	"selvage/internal/store"
	"selvage/internal/store/sqlite"
)

// TestADrillIsOnesOwn goes through a drill: nobody else finds it, nothing ends before every
// place has a word, nothing is said after it was told, and another book of the same ledger
// knows the same. No case comes of it.
func TestADrillIsOnesOwn(t *testing.T) {
	ctx := context.Background()
	db, err := sqlite.Open(ctx, filepath.Join(t.TempDir(), "selvage.db"))
	must(t, err)
	defer func() { must(t, db.Close()) }()
	ledger := store.New(db, time.Now)
	b := Open(ledger)
	m := &Made{Version: "v", Truth: []Spot{{Place: Mesial, Code: finding.Undercut, Do: Ask}}, Program: []Spot{{Place: Mesial, Code: finding.Undercut, Do: Ask}, {Place: Distal, Code: finding.MarginUnclear, Do: Scan}}}

	id, err := b.Begin(ctx, "p-a")
	must(t, err)
	_, err = b.Find(ctx, "p-b", id)
	is(t, err, ErrNone)
	is(t, b.Say(ctx, "p-b", id, Mesial, Ask), ErrNone)
	is(t, b.Say(ctx, "p-a", id, "inside", Ask), ErrChoices)
	is(t, b.Say(ctx, "p-a", id, Mesial, "perhaps"), ErrChoices)
	is(t, b.End(ctx, "p-a", id, m), ErrNotYet)
	for _, p := range Places() {
		must(t, b.Say(ctx, "p-a", id, p, Scan))
	}
	must(t, b.Say(ctx, "p-a", id, Mesial, Ask))
	must(t, b.Say(ctx, "p-a", id, Bite, Nothing))
	must(t, b.End(ctx, "p-a", id, m))
	is(t, b.Say(ctx, "p-a", id, Bite, Ask), ErrOver)
	is(t, b.End(ctx, "p-a", id, m), ErrOver)

	d, err := Open(ledger).Find(ctx, "p-a", id)
	must(t, err)
	if !d.Done() || d.Right() != 2 || d.Version != "v" { // mesial and the bite
		t.Errorf("%d right: %+v", d.Right(), d.Told)
	}
	for _, x := range d.Told {
		if x.Place == Distal && (x.There != Nothing || x.Program != Scan || x.Person != Scan || x.Right()) {
			t.Errorf("distal: %+v", x)
		}
	}
	if rows, err := ledger.Recent(ctx, 10); err != nil || len(rows) != 0 {
		t.Errorf("%d cases came of it (%v)", len(rows), err)
	}
	events, err := ledger.Since(ctx, 0, 100)
	must(t, err)
	for _, e := range events {
		if e.Case != "" || !Private(e) {
			t.Errorf("an event of case %q, %s", e.Case, e.Kind)
		}
	}
}

// TestEveryRecipeComes: a person meets each recipe once before one comes again.
func TestEveryRecipeComes(t *testing.T) {
	ctx := context.Background()
	db, err := sqlite.Open(ctx, filepath.Join(t.TempDir(), "selvage.db"))
	must(t, err)
	defer func() { must(t, db.Close()) }()
	b := Open(store.New(db, time.Now))
	for range recipes {
		_, err := b.Begin(ctx, "p-a")
		must(t, err)
	}
	all, err := b.Of(ctx, "p-a")
	must(t, err)
	seen := map[string]bool{}
	for _, d := range all {
		seen[d.Recipe] = true
	}
	if len(seen) != len(recipes) {
		t.Errorf("%d of %d recipes came: %v", len(seen), len(recipes), seen)
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func is(t *testing.T, err, want error) {
	t.Helper()
	if !errors.Is(err, want) {
		t.Errorf("%v, want %v", err, want)
	}
}
