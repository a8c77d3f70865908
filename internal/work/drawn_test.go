package work_test

import (
	"bytes"
	"context"
	"io"
	"slices"
	"testing"
	"time"

	"selvage/finding"
	"selvage/internal/store"
	"selvage/internal/work"
	"selvage/limit"
)

// slow is a keeper of blobs that takes so many and then keeps whoever puts one waiting.
type slow struct {
	store.Blobs
	left chan struct{}
}

// Put waits for its turn, or for the end of ctx.
func (s slow) Put(ctx context.Context, r io.Reader) (store.Hash, int64, error) {
	select {
	case <-s.left:
		return s.Blobs.Put(ctx, r)
	case <-ctx.Done():
		return "", 0, ctx.Err()
	}
}

// slowDesk opens a desk on a folder that stores n files, and more as they are let in. die
// takes it down as a kill does: nothing is said to the queue's rows.
func slowDesk(t *testing.T, dir string, n int) (desk *work.Desk, let chan<- struct{}, die func()) {
	t.Helper()
	ctx := context.Background()
	db, blobs := storeIn(t, dir)
	left := make(chan struct{}, n+1)
	for range n {
		left <- struct{}{}
	}
	d, err := work.Open(ctx, work.Options{Ledger: store.New(db, time.Now), Blobs: slow{blobs, left}, Workers: 1, Alone: true})
	ok(t, err)
	ok(t, d.Start(ctx))
	return d, left, func() {
		stop, cancel := context.WithTimeout(ctx, 10*time.Millisecond)
		defer cancel()
		_ = d.Stop(stop) // it is cut off
		_, err := db.Exec(`UPDATE river_job SET state = 'running', finalized_at = NULL WHERE state IN ('available', 'retryable', 'cancelled', 'scheduled')`)
		ok(t, err)
		ok(t, db.Close())
	}
}

// TestKilledBetweenVerdictAndPictures: the verdict is out before anything is drawn. What a
// kill then takes is drawn again when the program comes back, and is the same to the last
// byte, also where a limit was changed meanwhile.
func TestKilledBetweenVerdictAndPictures(t *testing.T) {
	scans, err := made()
	ok(t, err)
	ctx := context.Background()
	dir := t.TempDir()
	d, _, die := slowDesk(t, dir, len(scans)+1) // the scans and the report
	id, err := d.NewCase(ctx, "asst", "P-1", "")
	ok(t, err)
	ok(t, d.SetOrder(ctx, "asst", id, name26))
	ok(t, d.AddScans(ctx, "asst", id, incoming(scans)))
	k := verdict(t, d, id)
	r, rep, err := d.Result(ctx, k)
	ok(t, err)
	if !k.Drawing || k.Shown != "" || len(r.Figures)+len(r.Models) > 0 || rep.Verdict != k.Verdict {
		t.Fatalf("check %+v with %d pictures, verdict %s; want the verdict alone", k, len(r.Figures), rep.Verdict)
	}
	limits := d.Limits().Rows()
	i := slices.IndexFunc(limits, func(r limit.Row) bool { return r.Flag.Set })
	less := limits[i].Flag.V / 2
	ok(t, d.ChangeLimit(ctx, "quality", work.LimitChange{ID: limits[i].ID, For: limits[i].For, Flag: &less, Source: "own", Reason: "to see"}))
	die()

	d = open(t, dir)
	again := await(t, d, id)
	if again.Shown == "" || again.Unshown != "" || again.Verdict != k.Verdict || again.Result != k.Result {
		t.Fatalf("after the kill %+v, want the same verdict, and pictures", again)
	}
	got, _, err := d.Result(ctx, again)
	ok(t, err)
	for _, f := range got.Figures {
		if _, err := d.Figure(ctx, f.Hash); err != nil {
			t.Errorf("picture %s: %v", f.Slot, err)
		}
	}
	undisturbed := open(t, t.TempDir())
	other, err := undisturbed.NewCase(ctx, "asst", "P-1", "")
	ok(t, err)
	ok(t, undisturbed.SetOrder(ctx, "asst", other, name26))
	ok(t, undisturbed.AddScans(ctx, "asst", other, incoming(scans)))
	want, _, err := undisturbed.Result(ctx, await(t, undisturbed, other))
	ok(t, err)
	if len(want.Figures) == 0 || !slices.Equal(got.Figures, want.Figures) || !slices.Equal(got.Models, want.Models) {
		t.Errorf("%d pictures and %d surfaces, want the %d and %d that are drawn without a kill", len(got.Figures), len(got.Models), len(want.Figures), len(want.Models))
	}
	ends := 0
	events, err := d.Events(ctx, id)
	ok(t, err)
	for _, e := range events {
		if e.Kind == "check-done" || e.Kind == "check-shown" {
			ends++
		}
	}
	if ends != 2 {
		t.Errorf("%d events of the end of the check, want one verdict and one list of pictures", ends)
	}
}

// TestNewerFileStopsDrawing: what is not current any more is not drawn, and its verdict
// stands in the ledger as it was said.
func TestNewerFileStopsDrawing(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	d, let, die := slowDesk(t, dir, 1+1) // a scan and a report
	defer die()
	id, err := d.NewCase(ctx, "asst", "P-1", "")
	ok(t, err)
	ok(t, d.SetOrder(ctx, "asst", id, name26))
	ok(t, d.AddScans(ctx, "asst", id, []work.Incoming{{Name: "working.stl", Data: bytes.NewReader(solid("one"))}}))
	k := verdict(t, d, id)
	_, err = d.Check(ctx, "asst", id, finding.Preparation)
	ok(t, err)
	was := see(t, d, id).Checks[0]
	if was.State != work.Done || was.Drawing || was.Unshown == "" || was.Verdict != k.Verdict {
		t.Errorf("the first check %+v, want its verdict, and not drawn", was)
	}
	let <- struct{}{}
	if now := verdict(t, d, id); now.ID == k.ID || now.Stage != finding.Preparation {
		t.Errorf("check %+v, want the one that was asked for last", now)
	}
}

// verdict waits until the current check has its verdict, be it drawn or not.
func verdict(t *testing.T, d *work.Desk, id string) work.Check {
	t.Helper()
	end := time.Now().Add(3 * time.Minute)
	for time.Now().Before(end) {
		if k, now := see(t, d, id).Current(); now && k.State == work.Done {
			return k
		}
		time.Sleep(5 * time.Millisecond)
	}
	t.Fatalf("no verdict: %+v", see(t, d, id).Checks)
	return work.Check{}
}
