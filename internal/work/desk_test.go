package work_test

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"math"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/internal/packed"
	"selvage/internal/store"
	"selvage/internal/store/folder"
	"selvage/internal/store/sqlite"
	"selvage/internal/work"
	"selvage/limit"
	"selvage/meshio/stl"
	"selvage/phantom"
	"selvage/tooth"
)

// scan is one file of a made case.
type scan struct {
	name string
	data []byte
}

// made is a case of tooth 26, made once: coarse, so that its check is quick.
var made = sync.OnceValues(func() ([]scan, error) {
	c, err := phantom.Make(phantom.Default(tooth.Number(26)))
	if err != nil {
		return nil, err
	}
	var out []scan
	for _, s := range c.Scans {
		var b bytes.Buffer
		if err := stl.Encode(&b, s.Mesh); err != nil {
			return nil, err
		}
		out = append(out, scan{s.File, b.Bytes()})
	}
	return out, nil
})

// storeIn opens the database and the blobs of a folder, with a key that is made where there
// is none.
func storeIn(t testing.TB, dir string) (*sql.DB, *folder.Blobs) {
	t.Helper()
	db, err := sqlite.Open(context.Background(), filepath.Join(dir, "selvage.db"))
	ok(t, err)
	key, err := keyOf(dir, true)
	ok(t, err)
	blobs, err := folder.Open(filepath.Join(dir, "blobs"), key)
	ok(t, err)
	return db, blobs
}

// open opens a desk on a folder, as the program does when it starts.
func open(t testing.TB, dir string) *work.Desk {
	t.Helper()
	db, blobs := storeIn(t, dir)
	return openOn(t, db, blobs)
}

func openOn(t testing.TB, db *sql.DB, blobs store.Blobs) *work.Desk {
	t.Helper()
	ctx := context.Background()
	d, err := work.Open(ctx, work.Options{Ledger: store.New(db, time.Now), Blobs: blobs, Workers: 1, Alone: true})
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Start(ctx); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		stop, cancel := context.WithTimeout(context.Background(), time.Second)
		defer cancel()
		if err := d.Stop(stop); err != nil {
			t.Error(err)
		}
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	return d
}

func name26(c *casefile.Case) error {
	c.Restorations = []casefile.Restoration{{
		Tooth: casefile.CodeOf(26), Kind: casefile.Crown,
		Material: limit.Material("lithium-disilicate"), Cement: limit.Cement("adhesive"), FinishLine: limit.FinishLine("heavy-chamfer"),
	}}
	return nil
}

func incoming(scans []scan) []work.Incoming {
	out := make([]work.Incoming, len(scans))
	for i, s := range scans {
		out[i] = work.Incoming{Name: s.name, Data: bytes.NewReader(s.data)}
	}
	return out
}

func ok(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func see(t testing.TB, d *work.Desk, id string) work.Case {
	t.Helper()
	c, err := d.Case(context.Background(), id)
	ok(t, err)
	return c
}

// await waits until the current check of a case has ended.
func await(t testing.TB, d *work.Desk, id string) work.Check {
	t.Helper()
	end := time.Now().Add(3 * time.Minute)
	for time.Now().Before(end) {
		if k, current := see(t, d, id).Current(); current && k.State != work.Waiting && !k.Drawing {
			return k
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatalf("the check did not end: %+v", see(t, d, id).Checks)
	return work.Check{}
}

// TestCaseFromFilesToSignature follows a case through what people do with it. What the
// background check stores must be what check.Run says of the same files.
func TestCaseFromFilesToSignature(t *testing.T) {
	scans, err := made()
	ok(t, err)
	ctx := context.Background()
	d := open(t, t.TempDir())
	id, err := d.NewCase(ctx, "asst", "P-1007", "key-1")
	ok(t, err)
	if again, err := d.NewCase(ctx, "asst", "P-1007", "key-1"); err != nil || again != id {
		t.Errorf("the same key opened another case: %s, %v", again, err)
	}
	ok(t, d.AddScans(ctx, "asst", id, incoming(scans)))
	if c := see(t, d, id); len(c.Used()) != len(scans) || len(c.Checks) != 0 {
		t.Fatalf("%d scans, %d checks; want %d and none before the tooth is known", len(c.Used()), len(c.Checks), len(scans))
	}
	ok(t, d.AddScans(ctx, "asst", id, incoming(scans))) // dropped twice
	if c := see(t, d, id); len(c.Scans) != len(scans) {
		t.Errorf("%d scans after the same files came again, want %d", len(c.Scans), len(scans))
	}
	ok(t, d.SetOrder(ctx, "asst", id, name26))
	k := await(t, d, id)
	if k.State != work.Done {
		t.Fatalf("check: %+v", k)
	}
	result, rep, err := d.Result(ctx, k)
	ok(t, err)
	want := direct(t, see(t, d, id), scans)
	if got := string(result.Report); compact(t, got) != compact(t, want) {
		t.Error("the stored report is not what a check of the same files says")
	}
	if len(result.Figures) == 0 || rep.Verdict != k.Verdict {
		t.Errorf("%d pictures, verdict %s and %s", len(result.Figures), rep.Verdict, k.Verdict)
	}
	for _, f := range result.Figures {
		if data, err := d.Figure(ctx, f.Hash); err != nil || len(data) == 0 {
			t.Errorf("picture %s: %v", f.Slot, err)
		}
	}
	room(t, d, result, rep)
	dentist(t, d, id, k)
	newer(t, d, id, scans)
}

// room reads the room at a tapped place: where the report puts the least room it must be
// what the report says, within the step of the packed values and of the vertices, and far
// from the tooth there is none.
func room(t *testing.T, d *work.Desk, r work.Result, rep casefile.Report) {
	t.Helper()
	least := rep.Restorations[0].Measures.ClearanceMin
	if !least.Measured() || least.At == nil {
		t.Fatalf("no least room: %+v", least)
	}
	at, err := d.Values(context.Background(), r, 0, least.Scan, *least.At)
	mm, ok := at[packed.Clearance]
	if err != nil || !ok || math.Abs(mm-least.Value) > 0.02 {
		t.Errorf("room at the least place %.3f, %v, %v; the report says %.3f", mm, ok, err, least.Value)
	}
	cut := rep.Restorations[0].Measures.ReductionOccl
	if _, ok := at[packed.Reduction]; ok != cut.Measured() {
		t.Errorf("reduction at that place: %v; the report measured it: %v", ok, cut.Measured())
	}
	if far, err := d.Values(context.Background(), r, 0, least.Scan, [3]float64{1000, 0, 0}); len(far) > 0 || err != nil {
		t.Errorf("values a metre away: %v, %v; want none", far, err)
	}
}

// dentist decides and signs.
func dentist(t *testing.T, d *work.Desk, id string, k work.Check) {
	t.Helper()
	ctx := context.Background()
	var p *work.Problem
	if err := d.Sign(ctx, "dr", id, ""); !errors.As(err, &p) {
		t.Errorf("signed before it was accepted: %v", err)
	}
	err := d.Decide(ctx, "dr", id, "", work.Accept, "")
	if k.Verdict == finding.Clear {
		ok(t, err)
	} else if !errors.As(err, &p) {
		t.Errorf("accepted %s without a reason: %v", k.Verdict, err)
	}
	ok(t, d.Decide(ctx, "dr", id, "", work.Accept, "seen in the mouth"))
	ok(t, d.Sign(ctx, "dr", id, ""))
	c := see(t, d, id)
	if s, signed := c.Signature(); !signed || s.By != "dr" {
		t.Errorf("signature %+v, %v", s, signed)
	}
	if err := d.JudgeAlarm(ctx, "dr", id, "", 999, true); !errors.As(err, &p) {
		t.Errorf("an alarm that is not there was judged: %v", err)
	}
}

// newer adds a newer working scan: the word, the decision and the signature are void at
// once, and a check that is cancelled stays so.
func newer(t *testing.T, d *work.Desk, id string, scans []scan) {
	t.Helper()
	ctx := context.Background()
	for _, s := range scans {
		if !strings.Contains(s.name, "working") {
			continue
		}
		data := bytes.Clone(s.data)
		copy(data, "a newer one") // the comment of the file
		ok(t, d.AddScans(ctx, "asst", id, []work.Incoming{{Name: s.name, Data: bytes.NewReader(data)}}))
	}
	ok(t, d.Cancel(ctx, "asst", id, ""))
	c := see(t, d, id)
	k, current := c.Current()
	if !current || k.State != work.Cancelled {
		t.Errorf("current check %+v, %v; want the cancelled one", k, current)
	}
	if _, decided := c.Decision(); decided {
		t.Error("the decision outlived its scans")
	}
	if _, signed := c.Signature(); signed {
		t.Error("the signature outlived its scans")
	}
	if len(c.Used()) != len(scans) || len(c.Scans) != len(scans)+1 {
		t.Errorf("%d used of %d scans, want %d of %d", len(c.Used()), len(c.Scans), len(scans), len(scans)+1)
	}
	if n, err := d.Ledger().Verify(ctx); err != nil || n == 0 {
		t.Errorf("ledger of %d events: %v", n, err)
	}
}

// direct checks the files of a case without the desk.
func direct(t *testing.T, c work.Case, scans []scan) string {
	t.Helper()
	in := check.Input{Case: c.Order}
	in.Case.Name = c.Name
	for _, s := range c.Used() {
		for _, f := range scans {
			if f.name == s.Name {
				in.Files = append(in.Files, check.File{Name: s.Name, Role: s.Role, Data: f.data})
			}
		}
		in.Case.Scans = append(in.Case.Scans, casefile.ScanFile{Role: s.Role, File: s.Name})
	}
	out, err := check.Run(context.Background(), in, nil)
	ok(t, err)
	data, err := out.Report.Encode()
	ok(t, err)
	return string(data)
}

func compact(t *testing.T, s string) string {
	t.Helper()
	rep, err := casefile.ParseReport([]byte(s))
	ok(t, err)
	data, err := rep.Encode()
	ok(t, err)
	return string(data)
}

// TestCheckGoesOnAfterAKill stops the program while a check runs, without a word to the
// queue's rows, and starts it again.
func TestCheckGoesOnAfterAKill(t *testing.T) {
	dir := t.TempDir()
	ctx := context.Background()
	var id string
	t.Run("before", func(t *testing.T) {
		d := open(t, dir)
		var err error
		id, err = d.NewCase(ctx, "asst", "P-1", "")
		ok(t, err)
		ok(t, d.SetOrder(ctx, "asst", id, name26))
		ok(t, d.AddScans(ctx, "asst", id, []work.Incoming{{Name: "working.stl", Data: strings.NewReader("no mesh at all")}}))
		k := await(t, d, id)
		if k.State != work.Refused || !strings.Contains(k.What, "working.stl") {
			t.Fatalf("check %+v, want refused, with the file named", k)
		}
		ok(t, d.Ledger().Change(ctx, func(tx *store.Tx) error { // as a kill leaves it
			_, err := tx.SQL().Exec(`UPDATE river_job SET state = 'running', finalized_at = NULL WHERE id = $1`, k.Job)
			return err
		}))
	})
	d := open(t, dir)
	end := time.Now().Add(time.Minute)
	var state string
	for time.Now().Before(end) {
		k := see(t, d, id).Checks[0]
		ok(t, d.Ledger().DB().QueryRow(`SELECT state FROM river_job WHERE id = $1`, k.Job).Scan(&state))
		if state == "completed" {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	if c := see(t, d, id); state != "completed" || len(c.Checks) != 1 || c.Checks[0].State != work.Refused {
		t.Errorf("job %s, checks %+v: want completed, and the check ended once", state, c.Checks)
	}
}

func TestUnknownCase(t *testing.T) {
	d := open(t, t.TempDir())
	ctx := context.Background()
	if _, err := d.Case(ctx, "none"); !errors.Is(err, work.ErrNoCase) {
		t.Errorf("case: %v", err)
	}
	if err := d.SetOrder(ctx, "asst", "none", name26); !errors.Is(err, work.ErrNoCase) {
		t.Errorf("order: %v", err)
	}
}
