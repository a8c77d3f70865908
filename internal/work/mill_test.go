package work_test

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"html"
	"io"
	"slices"
	"strings"
	"testing"

	"selvage/internal/casefile"
	"selvage/internal/mill"
	"selvage/internal/schedule"
	"selvage/internal/store"
	"selvage/internal/track"
	"selvage/internal/work"
)

// TestBlockIsReleased takes a case that is made in the house to the mill: no day is asked
// for, what speaks against it stops it until somebody says why not, and what comes later
// makes the release void.
func TestBlockIsReleased(t *testing.T) {
	if testing.Short() {
		t.Skip("makes a whole check")
	}
	scans, err := made()
	ok(t, err)
	db, blobs := storeIn(t, t.TempDir())
	then := &meanwhile{Blobs: blobs}
	d := openOn(t, db, then)
	ctx, id := context.Background(), profile(t, d)
	ok(t, d.SetOrder(ctx, "a", id, func(c *casefile.Case) error {
		r := &c.Restorations[0]
		r.MadeBy, r.Shade.Body, r.Shade.Guide, r.Shade.Stump, r.IfSpaceShort = casefile.InHouse, "2M2", "G", "ND3", casefile.Call
		r.Contacts.Mesial, r.Contacts.Distal = "light", "light"
		c.Patient.Reference = "P-1"
		return nil
	}))
	ok(t, d.AddScans(ctx, "a", id, incoming(scans)))
	plan := func() work.Plan {
		p, err := d.Plan(ctx, see(t, d, id), "Dr. A", monday)
		ok(t, err)
		return p
	}
	p := plan()
	if p.Open != 0 || p.Foreseen || len(p.Dates) > 0 {
		t.Errorf("asked for: %+v, days %+v, foreseen %v", p.Missing, p.Dates, p.Foreseen)
	}
	b := mill.Block{18, 14, 14}
	before, err := d.Preflight(ctx, see(t, d, id), p, b)
	ok(t, err)
	if !slices.Contains(before.Blocked, work.NoCheck) || !slices.Contains(before.Blocked, work.NotSigned) {
		t.Errorf("before the check: %+v", before)
	}
	k := await(t, d, id)
	ok(t, d.Decide(ctx, "dr", id, "", work.Accept, "seen in the mouth"))
	ok(t, d.Prescribe(ctx, "dr", "Dr. A", id, p.Hash, monday))
	p = plan()
	f, err := d.Preflight(ctx, see(t, d, id), p, b)
	ok(t, err)
	if len(f.Blocked) > 0 {
		t.Errorf("blocked %v", f.Blocked)
	}
	var problem *work.Problem
	none, err := d.Preflight(ctx, see(t, d, id), p, mill.Block{})
	ok(t, err)
	if !none.Stopped() {
		t.Errorf("no block was named: %+v", none)
	}
	if err := d.Release(ctx, "a", id, p, mill.Block{}, "", " "); !errors.As(err, &problem) {
		t.Errorf("released without a block and without a reason: %v", err)
	}
	if err := d.HandOff(ctx, "a", id, p, wish(), monday); !errors.As(err, &problem) {
		t.Errorf("a parcel for the mill before the release: %v", err)
	}
	then.next = func() { ok(t, d.SetOrder(ctx, "a", id, shade("3M2"))) }
	if err := d.Release(ctx, "a", id, p, b, "L-5", "the dentist decided so"); !errors.As(err, &problem) {
		t.Errorf("released while another shade was ordered: %v", err)
	}
	ok(t, d.SetOrder(ctx, "a", id, shade("2M2")))
	then.next = func() { ok(t, d.Tick(ctx, "a", id, schedule.Tick{What: schedule.CordOut})) }
	ok(t, d.Release(ctx, "a", id, p, b, "L-5", "the dentist decided so"))
	c := see(t, d, id)
	cut, current := c.Released()
	if !current || cut.By != "a" || cut.Check != k.ID || cut.Version != 1 || cut.Block != b || cut.Lot != "L-5" || (cut.Reason != "") != f.Stopped() {
		t.Errorf("released %+v (%v)", cut, current)
	}
	if s := c.Facts(); !s.Cut || !s.House {
		t.Errorf("facts %+v", s)
	}
	if rows, _, err := d.Board(ctx, 10, monday); err != nil || len(rows) != 1 || rows[0].Standing != track.StandHere {
		t.Errorf("the board: %+v, %v", rows, err)
	}
	if last, err := d.LastBlocks(ctx, cut.Material); err != nil || !slices.Equal(last, []mill.Block{b}) {
		t.Errorf("last blocks %v, %v", last, err)
	}
	german := wish()
	german.Lang = "de"
	ok(t, d.HandOff(ctx, "a", id, p, german, monday))
	parcelIn(t, d, id, "de", k)
	ok(t, d.SetOrder(ctx, "a", id, shade("3M2")))
	if _, current := see(t, d, id).Released(); current {
		t.Error("another shade was ordered, and the release holds")
	}
	if err := d.HandOff(ctx, "a", id, plan(), wish(), monday); !errors.As(err, &problem) {
		t.Errorf("a parcel after a void release: %v", err)
	}
}

func shade(body string) func(*casefile.Case) error {
	return func(c *casefile.Case) error { c.Restorations[0].Shade.Body = body; return nil }
}

// meanwhile are blobs before the next of which is read something else is done, once.
type meanwhile struct {
	store.Blobs
	next func()
}

func (m *meanwhile) Get(ctx context.Context, h store.Hash) ([]byte, error) {
	if next := m.next; next != nil {
		m.next = nil
		next()
	}
	return m.Blobs.Get(ctx, h)
}

// parcelIn holds what people read in the last parcel of a case to be in a language; the
// report's file stays as it was made.
func parcelIn(t *testing.T, d *work.Desk, id, lang string, k work.Check) {
	t.Helper()
	sent := see(t, d, id).Sent
	data, err := d.Archive(context.Background(), sent[len(sent)-1])
	ok(t, err)
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	ok(t, err)
	text := func(name string) string {
		f, err := z.Open(name)
		ok(t, err)
		defer f.Close()
		all, err := io.ReadAll(f)
		ok(t, err)
		return html.UnescapeString(string(all))
	}
	line := k.LineIn(lang)
	if line == k.Line {
		t.Fatalf("the check says the same in both languages: %q", line)
	}
	for name, want := range map[string]string{"case_26_report.html": line, "view.html": line, "case_26_report.json": k.Line} {
		if !strings.Contains(text(name), want) {
			t.Errorf("%s does not say %q", name, want)
		}
	}
}
