package work_test

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"selvage/internal/casefile"
	"selvage/internal/exchange"
	"selvage/internal/job"
	"selvage/internal/seating"
	"selvage/internal/store"
	"selvage/internal/store/folder"
	"selvage/internal/store/postgres"
	"selvage/internal/store/sqlite"
	"selvage/internal/storetest"
	"selvage/internal/track"
	"selvage/internal/work"
)

// server opens a desk on a database, which checks nothing, as one of several.
func server(t testing.TB, db *sql.DB, dialect job.Dialect) *work.Desk {
	t.Helper()
	dir := t.TempDir()
	key, err := folder.LoadKey(filepath.Join(dir, "key"), true)
	if err != nil {
		t.Fatal(err)
	}
	blobs, err := folder.Open(filepath.Join(dir, "blobs"), key)
	if err != nil {
		t.Fatal(err)
	}
	d, err := work.Open(context.Background(), work.Options{Ledger: store.New(db, time.Now), Blobs: blobs, Dialect: dialect})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// databases opens an empty database of each kind.
func databases(t testing.TB, f func(name string, open func() (*sql.DB, job.Dialect))) {
	t.Helper()
	keep := func(db *sql.DB, err error) *sql.DB {
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = db.Close() })
		return db
	}
	file := filepath.Join(t.TempDir(), "selvage.db")
	f("SQLite", func() (*sql.DB, job.Dialect) {
		return keep(sqlite.Open(context.Background(), file)), job.SQLite
	})
	dsn := ""
	f("PostgreSQL", func() (*sql.DB, job.Dialect) {
		if dsn == "" {
			dsn = storetest.Postgres(t)
		}
		return keep(postgres.Open(context.Background(), dsn)), job.Postgres
	})
}

// TestBoardIsAReplay holds the board against a replay of all events: while cases change by
// two servers, after a start, and after an earlier version wrote no facts, or other ones.
func TestBoardIsAReplay(t *testing.T) {
	databases(t, func(name string, open func() (*sql.DB, job.Dialect)) {
		t.Run(name, func(t *testing.T) {
			db, dialect := open()
			a, b := server(t, db, dialect), server(t, db, dialect)
			r := rand.New(rand.NewPCG(3, 4))
			var ids []string
			for i := range 60 {
				d := []*work.Desk{a, b}[i%2]
				if i < 8 || i%10 == 0 {
					id, err := d.NewCase(t.Context(), "a", fmt.Sprintf("C-%d", i), "")
					ok(t, err)
					ids = append(ids, id)
				}
				happen(t, d, r, ids[r.IntN(len(ids))])
				if i%7 == 0 {
					replayed(t, db, a, ids)
					replayed(t, db, b, ids)
				}
			}
			replayed(t, db, a, ids)
			for _, q := range []string{``, `DELETE FROM case_track`, `UPDATE case_track SET form = form + 1, facts = '{}'`} {
				if q != "" {
					_, err := db.Exec(q)
					ok(t, err)
				}
				replayed(t, db, server(t, db, dialect), ids)
			}
		})
	})
}

// happen lets something happen to a case; what cannot be is refused, which is no matter.
func happen(t *testing.T, d *work.Desk, r *rand.Rand, id string) {
	t.Helper()
	ctx := t.Context()
	rec := exchange.Receipt{Schema: exchange.ReceiptSchema, Reason: exchange.ShadeDoubt, By: "T.", At: "2026-05-04T12:00:00Z"}
	rec.Answer = exchange.Answers()[r.IntN(3)]
	seat := seating.Seated{Outcome: seating.Outcomes()[r.IntN(3)], Seen: seating.FaultMargin}
	_ = []func() error{
		func() error {
			return d.SetOrder(ctx, "a", id, func(c *casefile.Case) error {
				c.Dates.Seat, c.Dates.Due = fmt.Sprintf("2026-05-%02d", 10+r.IntN(20)), "2026-05-08"
				return nil
			})
		},
		func() error { return d.SetOrder(ctx, "a", id, name26) },
		func() error { return d.SentElsewhere(ctx, "a", id) },
		func() error { return d.SentElsewhere(ctx, "a", id) },
		func() error { return d.NoteReceipt(ctx, "a", id, rec, true, monday) },
		func() error { return d.NoteReceipt(ctx, "a", id, rec, true, monday) },
		func() error { return d.Answer(ctx, "a", id, "so", 0) },
		func() error { return d.TakeQuery(ctx, "b", id) },
		func() error { return d.NoteTemporary(ctx, "a", id, r.IntN(2) == 0) },
		func() error { return d.Return(ctx, "a", id, work.Points()[:r.IntN(8)], "", "", monday) },
		func() error { return d.Seat(ctx, "a", id, seat) },
	}[r.IntN(11)]()
}

// replayed holds a desk's board against the events.
func replayed(t *testing.T, db *sql.DB, d *work.Desk, ids []string) {
	t.Helper()
	now := time.Date(2026, 5, 20, 9, 0, 0, 0, time.UTC)
	day, err := d.Day(t.Context(), now)
	ok(t, err)
	want := map[string]track.Facts{}
	l := store.New(db, time.Now)
	for _, id := range ids {
		events, err := l.Events(t.Context(), id)
		ok(t, err)
		c, err := work.Replay(id, events)
		ok(t, err)
		if f := c.Facts(); !f.Over {
			want[id] = f
		}
	}
	rows, counts, err := d.Board(t.Context(), 1000, now)
	ok(t, err)
	sum := 0
	for _, n := range counts {
		sum += n
	}
	if len(rows) != len(want) || sum != len(want) {
		t.Fatalf("%d rows, %d counted, want %d", len(rows), sum, len(want))
	}
	for i, x := range rows {
		if x.Facts != want[x.ID] || x.Standing != want[x.ID].Standing(day) {
			t.Errorf("%s: %+v (%s), want %+v", x.ID, x.Facts, x.Standing, want[x.ID])
		}
		if i > 0 && slices.Index(track.Standings(), x.Standing) < slices.Index(track.Standings(), rows[i-1].Standing) {
			t.Errorf("%s stands behind %s", x.Standing, rows[i-1].Standing)
		}
	}
}

// BenchmarkBoard looks at the board of 50,000 cases on their way, each with its events, while
// a case changes between two looks; it reports the median of a look, and how long a start
// takes, which reads them all.
func BenchmarkBoard(b *testing.B) {
	const cases = 50_000
	databases(b, func(name string, open func() (*sql.DB, job.Dialect)) {
		b.Run(name, func(b *testing.B) {
			db, dialect := open()
			many(b, db, cases)
			ctx, now := context.Background(), time.Date(2026, 5, 20, 9, 0, 0, 0, time.UTC)
			server(b, db, dialect) // makes the queue's tables, as the first start does
			begun := time.Now()
			d := server(b, db, dialect)
			first := time.Since(begun)
			rows, counts, err := d.Board(ctx, 200, now)
			if err != nil || len(rows) != 200 || len(counts) < 4 {
				b.Fatal(len(rows), counts, err)
			}
			var took []time.Duration
			for b.Loop() {
				b.StopTimer()
				if err := d.NoteTemporary(ctx, "a", rows[len(took)%200].ID, len(took)%2 == 0); err != nil {
					b.Fatal(err)
				}
				b.StartTimer()
				begun := time.Now()
				if rows, _, err = d.Board(ctx, 200, now); err != nil {
					b.Fatal(err)
				}
				took = append(took, time.Since(begun))
			}
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)/2].Microseconds())/1e3, "ms/median")
			b.ReportMetric(float64(first.Microseconds())/1e3, "ms/start")
		})
	})
}

// many writes cases with their events straight into the ledger, many in a transaction.
func many(b *testing.B, db *sql.DB, cases int) {
	b.Helper()
	r := rand.New(rand.NewPCG(5, 6))
	at := time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)
	l := store.New(db, func() time.Time { return at })
	for from := 0; from < cases; from += 500 {
		at = time.Date(2026, 5, 4+from*14/cases, 9, 0, from, 0, time.UTC)
		err := l.Change(context.Background(), func(tx *store.Tx) error {
			for i := from; i < min(from+500, cases); i++ {
				if err := one(tx, r, fmt.Sprintf("case-%06d", i)); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			b.Fatal(err)
		}
	}
}

func one(tx *store.Tx, r *rand.Rand, id string) error {
	seat := time.Date(2026, 5, 15+r.IntN(40), 0, 0, 0, 0, time.UTC)
	order := fmt.Sprintf(`{"order":{"restorations":[{"tooth":{"system":"fdi","code":"26"},"made_by":"laboratory"}],"dates":{"prepared":"2026-05-04","due":%q,"seat":%q},"laboratory":{"name":"North Bench"}}}`,
		seat.AddDate(0, 0, -4).Format(time.DateOnly), seat.Format(time.DateOnly))
	events := [][2]string{{"case-opened", `{"name":"` + id + `"}`}, {"order-changed", order}}
	if r.IntN(10) > 0 {
		events = append(events, [2]string{"handed-off", `{"parcel":"` + id + `","version":1}`})
		switch r.IntN(10) {
		case 0:
			events = append(events, [2]string{"receipt-noted", `{"receipt":{"answer":"query","reason":"shade","by":"T."},"to":"assistant","until":"2026-05-20"}`})
		case 1:
		default:
			events = append(events, [2]string{"receipt-noted", `{"receipt":{"answer":"accept","by":"T."}}`})
		}
	}
	c := work.Case{ID: id}
	for _, v := range events {
		e, err := tx.Add(id, "a", v[0], json.RawMessage(v[1]))
		if err != nil {
			return err
		}
		if err := c.Apply(e); err != nil {
			return err
		}
	}
	state, err := json.Marshal(c)
	if err != nil {
		return err
	}
	if err := tx.SetNow(store.Now{Case: id, N: c.N, At: c.Changed.UnixMilli(), Find: id, State: state}); err != nil {
		return err
	}
	facts, err := json.Marshal(c.Facts())
	if err != nil {
		return err
	}
	return tx.SetTrack(id, track.Form, facts)
}

// BenchmarkTakeIn takes 100 MB of scans into a case: hashed, encrypted, flushed to the disk,
// with the event and the check's task in the ledger.
func BenchmarkTakeIn(b *testing.B) {
	const size = 50_000_000
	r := rand.New(rand.NewPCG(7, 8))
	scans := make([][]byte, 2)
	for i := range scans {
		scans[i] = make([]byte, size)
		for k := 0; k+8 <= size; k += 8 {
			binary.LittleEndian.PutUint64(scans[i][k:], r.Uint64())
		}
	}
	dir := b.TempDir()
	db, err := sqlite.Open(context.Background(), filepath.Join(dir, "selvage.db"))
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	d, ctx := server(b, db, job.SQLite), context.Background()
	b.SetBytes(int64(len(scans) * size))
	n := byte(0)
	for b.Loop() {
		b.StopTimer()
		id, err := d.NewCase(ctx, "a", "C", "")
		if err != nil {
			b.Fatal(err)
		}
		if err := d.SetOrder(ctx, "a", id, name26); err != nil {
			b.Fatal(err)
		}
		n++
		scans[0][0], scans[1][0] = n, n // other files each time
		b.StartTimer()
		err = d.AddScans(ctx, "a", id, []work.Incoming{
			{Name: "upper.stl", Role: "working", Data: bytes.NewReader(scans[0])}, {Name: "lower.stl", Role: "opposing", Data: bytes.NewReader(scans[1])},
		})
		if err != nil {
			b.Fatal(err)
		}
		b.StopTimer()
		if c, err := d.Case(ctx, id); err != nil || len(c.Checks) != 1 || c.Checks[0].State != work.Waiting {
			b.Fatalf("no check is queued: %+v, %v", c.Checks, err)
		}
		b.StartTimer()
	}
}
