package people_test

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"selvage/internal/people"
	"selvage/internal/store"
	"selvage/internal/store/postgres"
	"selvage/internal/store/sqlite"
	"selvage/internal/storetest"
)

// clock is a clock that a test turns.
type clock struct{ ms atomic.Int64 }

func (c *clock) now() time.Time        { return time.UnixMilli(c.ms.Load()) }
func (c *clock) later(d time.Duration) { c.ms.Add(d.Milliseconds()) }

func newClock() *clock {
	c := &clock{}
	c.ms.Store(1_800_000_000_000)
	return c
}

func chair() people.Where { return people.Where{Place: people.Chair, Address: "127.0.0.1"} }

func away(addr string) people.Where        { return people.Where{Place: people.Away, Address: addr} }
func roles(r ...people.Role) []people.Role { return r }

// practice is a book in an empty database.
type practice struct {
	*people.Book
	t      *testing.T
	db     *sql.DB
	path   string
	ledger *store.Ledger
	clock  *clock
}

var ctx = context.Background()

func open(t *testing.T) *practice {
	t.Helper()
	path := filepath.Join(t.TempDir(), "selvage.db")
	db, err := sqlite.Open(ctx, path)
	must(t, err)
	t.Cleanup(func() { _ = db.Close() })
	p := on(t, db)
	p.path = path
	return p
}

func on(t *testing.T, db *sql.DB) *practice {
	c := newClock()
	l := store.New(db, c.now)
	return &practice{Book: people.Cheap(people.Open(l, []byte("secret"), c.now)), t: t, db: db, ledger: l, clock: c}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// refused checks that an error is a problem of a key.
func refused(t *testing.T, err error, key string) {
	t.Helper()
	var p *people.Problem
	if !errors.As(err, &p) || p.Key != key {
		t.Errorf("error %v, want the problem %q", err, key)
	}
}

func TestBothDatabases(t *testing.T) {
	t.Run("sqlite", func(t *testing.T) { wholeLife(t, open(t)) })
	t.Run("postgres", func(t *testing.T) {
		db, err := postgres.Open(ctx, storetest.Postgres(t))
		must(t, err)
		t.Cleanup(func() { _ = db.Close() })
		wholeLife(t, on(t, db))
	})
}

// wholeLife goes from nobody to a practice in which people come and go.
func wholeLife(t *testing.T, p *practice) {
	_, _, err := p.First(ctx, "A. Berg", roles(people.Dentist), "1234")
	refused(t, err, "number.plain")
	first, code, err := p.First(ctx, "  A.  Berg ", roles(people.Dentist), "4827")
	must(t, err)
	if first.Name != "A. Berg" || !first.May(people.Staff) || !first.May(people.Sign) || len(code) != 19 {
		t.Errorf("first person %+v, code %q", first, code)
	}
	_, _, err = p.First(ctx, "Intruder", roles(people.Manager), "4827")
	refused(t, err, "first.late")
	helper, err := p.Add(ctx, first.ID, "C. Dahl", roles(people.Assistant), "7391")
	must(t, err)
	_, err = p.Add(ctx, helper.ID, "E. Falk", roles(people.Dentist), "7391")
	refused(t, err, "right")
	_, err = p.Add(ctx, first.ID, "c. dahl", roles(people.Assistant), "7391")
	refused(t, err, "name.taken")
	who, renew, err := p.Enter(ctx, chair(), helper.ID, "7391")
	must(t, err)
	if who.ID != helper.ID || !renew {
		t.Errorf("entered as %+v, renew %v: a number that the manager set must be changed", who, renew)
	}
	refused(t, p.Confirm(ctx, chair(), helper.ID, "7391"), "renew")
	must(t, p.SetProof(ctx, helper.ID, helper.ID, people.Number, "6602"))
	must(t, p.Confirm(ctx, chair(), helper.ID, "6602"))
	refused(t, p.SetProof(ctx, helper.ID, first.ID, people.Number, "6602"), "right")
	refused(t, p.Leave(ctx, first.ID, first.ID, false), "manager.last")
	refused(t, p.Change(ctx, first.ID, first.ID, "A. Berg", roles(people.Dentist)), "manager.last")
	must(t, p.Leave(ctx, first.ID, helper.ID, false))
	if _, _, err := p.Enter(ctx, chair(), helper.ID, "6602"); !errors.Is(err, people.ErrWrong) {
		t.Errorf("somebody who left entered: %v", err)
	}
	must(t, p.Leave(ctx, first.ID, helper.ID, true))
	if _, _, err := p.Enter(ctx, chair(), helper.ID, "6602"); !errors.Is(err, people.ErrWrong) {
		t.Errorf("the old number still opens: %v", err)
	}
	must(t, p.SetSettings(ctx, first.ID, people.Settings{Idle: 5}))
	refused(t, p.SetSettings(ctx, helper.ID, people.Settings{Idle: 60}), "right")
	if s, err := p.Settings(ctx); err != nil || s.Idle != 5 {
		t.Errorf("settings %+v, %v", s, err)
	}
	sessions := p.Sessions()
	must(t, sessions.CommitCtx(ctx, "token", []byte{0, 1, 255}, p.clock.now().Add(time.Minute)))
	if data, ok, err := sessions.FindCtx(ctx, "token"); err != nil || !ok || !bytes.Equal(data, []byte{0, 1, 255}) {
		t.Errorf("session %v, %v, %v", data, ok, err)
	}
	p.clock.later(time.Minute)
	if _, ok, err := sessions.FindCtx(ctx, "token"); ok || err != nil {
		t.Errorf("an expired session was found (%v)", err)
	}
	if _, err := p.ledger.Verify(ctx); err != nil {
		t.Error(err)
	}
}

// TestRights holds the table against what the trade says of each role.
func TestRights(t *testing.T) {
	want := map[people.Role][]people.Action{
		people.Assistant:  {people.See, people.Check, people.Plan, people.Send},
		people.Technician: {people.See, people.Check},
		people.Dentist:    {people.See, people.Check, people.Plan, people.Send, people.Decide, people.Judge, people.Sign, people.Delete, people.Quality},
		people.Manager:    {people.See, people.Check, people.Plan, people.Send, people.Staff, people.Limits, people.Delete, people.Gauges, people.Quality},
		people.Lead:       {people.See, people.Quality, people.Persons},
		people.Sender:     {people.See, people.Check},
		people.Reader:     {people.See},
		people.Monitor:    {people.Gauges},
	}
	for _, r := range append(people.Roles(), people.ProgramRoles()...) {
		p := people.Person{ID: "p", Roles: roles(r)}
		for _, a := range people.Actions() {
			if got := p.May(a); got != slices.Contains(want[r], a) {
				t.Errorf("%s may %s: %v", r, a, got)
			}
			p.Left = true
			if p.May(a) {
				t.Errorf("%s who left may %s", r, a)
			}
			p.Left = false
		}
	}
	for _, a := range people.Actions() {
		if (people.Person{}).May(a) || (people.Person{ID: "p", Roles: roles("owner")}).May(a) {
			t.Errorf("nobody, or a role that is not known, may %s", a)
		}
		if people.MayAnyone(a) != (a == people.See || a == people.Check || a == people.Plan || a == people.Gauges) {
			t.Errorf("before anybody is known, this computer may %s: %v", a, people.MayAnyone(a))
		}
	}
	if (people.Person{ID: "p", Roles: roles(people.Manager)}).May("burn") {
		t.Error("an action that is not known is allowed")
	}
}

// TestGuessing enters wrong numbers for a day: hardly any is weighed.
func TestGuessing(t *testing.T) {
	p := open(t)
	first, _, err := p.First(ctx, "A. Berg", roles(people.Dentist), "4827")
	must(t, err)
	weighed := 0
	for range 24 * 60 * 6 {
		_, _, err := p.Enter(ctx, chair(), first.ID, "9999")
		var w *people.WaitError
		switch {
		case errors.Is(err, people.ErrWrong):
			weighed++
		case !errors.As(err, &w):
			t.Fatalf("error %v", err)
		}
		p.clock.later(10 * time.Second)
	}
	if weighed > 120 {
		t.Errorf("%d numbers were tried in a day, of 10000", weighed)
	}
	_, _, err = p.Enter(ctx, chair(), first.ID, "4827")
	var w *people.WaitError
	if !errors.As(err, &w) || w.Left > 15*time.Minute {
		t.Errorf("the right number while waiting: %v", err)
	}
	p.clock.later(15 * time.Minute)
	_, _, err = p.Enter(ctx, chair(), first.ID, "4827")
	must(t, err)
	_, _, err = p.Enter(ctx, chair(), first.ID, "4828")
	if !errors.Is(err, people.ErrWrong) {
		t.Errorf("after the right number one wrong answer waits already: %v", err)
	}
}

// TestGuessingAtOnce sends many wrong numbers at the same moment.
func TestGuessingAtOnce(t *testing.T) {
	p := open(t)
	first, _, err := p.First(ctx, "A. Berg", roles(people.Dentist), "4827")
	must(t, err)
	var weighed atomic.Int64
	var wg sync.WaitGroup
	for range 40 {
		wg.Go(func() {
			if _, _, err := p.Enter(ctx, chair(), first.ID, "1111"); errors.Is(err, people.ErrWrong) {
				weighed.Add(1)
			}
		})
	}
	wg.Wait()
	if n := weighed.Load(); n > 4 {
		t.Errorf("%d of 40 were weighed, want no more than 4", n)
	}
}

// TestGuessingFromElsewhere: guesses from one address wait whoever they are about, and
// keep nobody out at the chair.
func TestGuessingFromElsewhere(t *testing.T) {
	p := open(t)
	first, _, err := p.First(ctx, "A. Berg", roles(people.Dentist), "4827")
	must(t, err)
	must(t, p.SetProof(ctx, first.ID, first.ID, people.Password, "seven wet umbrellas"))
	waits := 0
	for range 30 {
		var w *people.WaitError
		if _, _, err := p.Enter(ctx, away("10.0.0.9"), "", "guess guess guess"); errors.As(err, &w) {
			waits++
		}
	}
	if waits != 30-13 {
		t.Errorf("%d of 30 guesses at unknown names waited, want 17", waits)
	}
	for range 10 {
		_, _, _ = p.Enter(ctx, away("10.0.0.8"), first.ID, "guess guess guess")
	}
	_, _, err = p.Enter(ctx, chair(), first.ID, "4827")
	must(t, err)
	p.clock.later(time.Hour)
	if _, _, err := p.Enter(ctx, away("10.0.0.7"), first.ID, "4827"); !errors.Is(err, people.ErrWrong) {
		t.Errorf("the number opened from elsewhere: %v", err)
	}
	p.clock.later(time.Hour)
	_, _, err = p.Enter(ctx, away("10.0.0.7"), first.ID, "seven wet umbrellas")
	must(t, err)
}

// TestNoProofIsStored looks for numbers in every byte of the database's files.
func TestNoProofIsStored(t *testing.T) {
	p := open(t)
	first, code, err := p.First(ctx, "A. Berg", roles(people.Dentist), "48270391")
	must(t, err)
	must(t, p.SetProof(ctx, first.ID, first.ID, people.Password, "seven wet umbrellas"))
	_, _, err = p.Enter(ctx, chair(), first.ID, "77310264") // a wrong one is somebody's right one elsewhere
	if !errors.Is(err, people.ErrWrong) {
		t.Fatal(err)
	}
	files, err := filepath.Glob(p.path + "*")
	must(t, err)
	for _, f := range files {
		data, err := os.ReadFile(f)
		must(t, err)
		for _, s := range []string{"48270391", "77310264", "umbrellas", code, strings.ReplaceAll(code, "-", "")} {
			if bytes.Contains(data, []byte(s)) {
				t.Errorf("%s holds %q", filepath.Base(f), s)
			}
		}
	}
	stolen := people.Cheap(people.Open(p.ledger, []byte("another secret"), p.clock.now))
	if _, _, err := stolen.Enter(ctx, chair(), first.ID, "48270391"); !errors.Is(err, people.ErrWrong) {
		t.Errorf("the data without its secret tell the number: %v", err)
	}
	if c := people.Cost(); c.Memory < 64<<10 || c.Iterations < 3 || c.SaltLength < 16 {
		t.Errorf("a guess costs only %+v", c)
	}
}

// TestSealedCode opens the envelope, once.
func TestSealedCode(t *testing.T) {
	p := open(t)
	first, code, err := p.First(ctx, "A. Berg", roles(people.Dentist), "4827")
	must(t, err)
	helper, err := p.Add(ctx, first.ID, "C. Dahl", roles(people.Assistant), "7391")
	must(t, err)
	_, err = p.Reopen(ctx, chair(), "AAAA-AAAA-AAAA-AAAA", first.ID, "5523")
	if !errors.Is(err, people.ErrWrong) {
		t.Errorf("a wrong code: %v", err)
	}
	_, err = p.Reopen(ctx, chair(), code, helper.ID, "5523")
	refused(t, err, "nobody")
	_, err = p.Reopen(ctx, away("10.0.0.9"), code, first.ID, "5523")
	refused(t, err, "right")
	next, err := p.Reopen(ctx, chair(), strings.ToLower(strings.ReplaceAll(code, "-", " ")), first.ID, "5523")
	must(t, err)
	if next == code {
		t.Error("the next envelope holds the same code")
	}
	_, err = p.Reopen(ctx, chair(), code, first.ID, "9172")
	if !errors.Is(err, people.ErrWrong) {
		t.Errorf("the code opened twice: %v", err)
	}
	_, renew, err := p.Enter(ctx, chair(), first.ID, "5523")
	if err != nil || renew {
		t.Errorf("the new number: renew %v, %v", renew, err)
	}
}

// TestHostileNames sends names and roles that nobody has.
func TestHostileNames(t *testing.T) {
	p := open(t)
	for _, name := range []string{"", "  ", "a\x00b", "a\u202eb", strings.Repeat("x", 41), "a\xffb"} {
		_, _, err := p.First(ctx, name, roles(people.Dentist), "4827")
		refused(t, err, "name")
	}
	_, _, err := p.First(ctx, "A. Berg", roles("owner"), "4827")
	refused(t, err, "role")
	for _, n := range []string{"", "123", "123456789", "12a4", "１２３４", "0000", "4321", "2468", "7878"} {
		if _, _, err := p.First(ctx, "A. Berg", roles(people.Dentist), n); err == nil {
			t.Errorf("the number %q was taken", n)
		}
	}
	if all, err := p.All(ctx); err != nil || len(all) != 0 {
		t.Errorf("somebody was made all the same: %v, %v", all, err)
	}
}

// TestPractisingHidesNothing: what happened in the practice is shown, however much of what
// is left out came after it.
func TestPractisingHidesNothing(t *testing.T) {
	p := open(t)
	a, _, err := p.First(ctx, "A. Berg", roles(people.Dentist), "482703")
	must(t, err)
	const drills = 70
	must(t, p.ledger.Change(ctx, func(tx *store.Tx) error {
		for range drills {
			if _, err := tx.Add("", a.ID, "drill-begun", struct{}{}); err != nil {
				return err
			}
		}
		return nil
	}))
	seen := 0
	keep := func(e store.Event) bool { seen++; return e.Kind != "drill-begun" }
	all, err := p.Happened(ctx, 60, keep)
	must(t, err)
	if len(all) == 0 || all[len(all)-1].N != 1 || seen <= drills {
		t.Fatalf("of %d events looked at, %d are shown: %+v", seen, len(all), all)
	}
	last, err := p.Happened(ctx, 1, keep)
	must(t, err)
	if len(last) != 1 || last[0].N != all[0].N {
		t.Errorf("the last is %+v, want event %d", last, all[0].N)
	}
}
