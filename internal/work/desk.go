// Package work is where background jobs, checks, the store and reports meet: what a
// person does with a case, turned into events; what follows from the events; and the
// check that runs in the background.
//
// A case's state is computed from its events alone ([Case.Apply]); nothing else is
// true about it. Every change goes through [Desk].
package work

import (
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"encoding/base32"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/job"
	"selvage/internal/news"
	"selvage/internal/schedule"
	"selvage/internal/store"
	"selvage/internal/store/naming"
	"selvage/internal/track"
	"selvage/limit"
	"selvage/tooth"
)

// System is who acts where no person does.
const System = "selvage"

// checkTask names the background task that checks a case.
const checkTask = "check"

// Desk is where cases are worked on. It is safe for concurrent use.
type Desk struct {
	ledger   *store.Ledger
	blobs    store.Blobs
	queue    *job.Queue
	hub      *news.Hub
	practice practice
	board    board
	patience time.Duration
	watch    atomic.Pointer[WatchState]
	seal     ed25519.PrivateKey
	trouble  atomic.Pointer[Trouble]
	made     atomic.Int64 // checks that ended here
	took     atomic.Int64 // how long they took, ns
	alone    bool
	own      []string
	unfollow func()
}

// Options of a desk.
type Options struct {
	Ledger   *store.Ledger
	Blobs    store.Blobs
	Dialect  job.Dialect
	Workers  int                // checks at a time
	Alone    bool               // no other program works on this database
	Limits   []byte             // the practice's own limit table; nil: the shipped one
	Methods  []schedule.Method  // the practice's own ways to open the sulcus; nil: the shipped ones
	Patience time.Duration      // how long one check may take; 0: [job.Patience]
	Own      []string           // folders of the program itself, from which nothing is taken in
	Seal     ed25519.PrivateKey // of the parcels that are handed over; nil: they are not sealed
}

// Open returns a desk. Start lets it check in the background.
func Open(ctx context.Context, o Options) (*Desk, error) {
	if o.Patience == 0 {
		o.Patience = job.Patience
	}
	d := &Desk{ledger: o.Ledger, blobs: o.Blobs, hub: news.New(), patience: o.Patience, seal: o.Seal, alone: o.Alone, own: o.Own, unfollow: func() {}}
	d.practice.base, d.practice.methods = limit.Default(), o.Methods
	d.practice.watchChanged = make(chan struct{}, 1)
	if o.Methods == nil {
		d.practice.methods = schedule.Default()
	}
	if o.Limits != nil {
		var err error
		if d.practice.base, err = limit.Parse(o.Limits); err != nil {
			return nil, err
		}
	}
	d.practice.table = d.practice.base
	if err := d.refresh(ctx); err != nil {
		return nil, err
	}
	queued := job.Begun(ctx, o.Ledger.DB())
	q, err := job.Open(ctx, o.Ledger.DB(), job.Options{
		Dialect: o.Dialect, Workers: o.Workers, Alone: o.Alone, Patience: o.Patience,
		Handlers: map[string]job.Handler{checkTask: d.runCheck},
		Log:      quiet(),
	})
	if err != nil {
		return nil, err
	}
	d.queue = q
	d.finishDeleting(ctx)
	if err := d.retrack(ctx); err != nil {
		return nil, err
	}
	if err := d.catchUp(ctx); err != nil { // WHY now: nobody holds the board yet, nor waits for it
		return nil, err
	}
	if !queued {
		return d, d.renew(ctx)
	}
	return d, nil
}

// Start runs checks until Stop is called.
func (d *Desk) Start(ctx context.Context) error {
	seq, err := d.ledger.End(ctx)
	if err != nil {
		return err
	}
	beside, stop := context.WithCancel(ctx)
	var all sync.WaitGroup
	all.Go(func() { d.goOnDeleting(beside) })
	if !d.alone {
		all.Go(func() { d.follow(beside, seq) })
	}
	d.unfollow = func() { stop(); all.Wait() }
	return d.queue.Start(ctx)
}

// followEvery is how often a desk looks for what other servers wrote.
const followEvery = 500 * time.Millisecond

// follow tells listeners what other servers write into the same ledger, until ctx ends.
// What this server writes is told twice, which does no harm: a note only says look.
func (d *Desk) follow(ctx context.Context, seq int64) {
	tick := time.NewTicker(followEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		events, err := d.ledger.Since(ctx, seq, 1000)
		if err != nil {
			continue // the database may come back
		}
		told := map[string]bool{}
		for _, e := range events {
			seq = e.Seq
			if e.Case == "" && d.refresh(ctx) != nil {
				break // the next look does it
			}
			if e.Case != "" && !IsView(e) && !told[e.Case] {
				told[e.Case] = true
				d.hub.Tell(news.Note{Case: e.Case, N: e.N})
			}
		}
	}
}

// Stop waits for running checks, and cancels them when ctx ends.
func (d *Desk) Stop(ctx context.Context) error {
	d.unfollow()
	return d.queue.Stop(ctx)
}

// Waiting returns how many checks wait or run.
func (d *Desk) Waiting(ctx context.Context) (int, error) { return d.queue.Waiting(ctx) }

// Took returns how many checks ended in this program since it started, and how long they
// took together.
func (d *Desk) Took() (n int64, sum time.Duration) {
	return d.made.Load(), time.Duration(d.took.Load())
}

// Ledger returns the ledger that the desk writes.
func (d *Desk) Ledger() *store.Ledger { return d.ledger }

// Listen returns what is new about a case, or about all where the id is empty, until
// the returned function is called.
func (d *Desk) Listen(caseID string) (<-chan news.Note, func()) { return d.hub.Listen(caseID) }

// Progress returns the phase of the check that runs on a case, if one does.
func (d *Desk) Progress(caseID string) (news.Note, bool) { return d.hub.Progress(caseID) }

// Case returns where a case stands.
func (d *Desk) Case(ctx context.Context, id string) (Case, error) {
	events, err := d.ledger.Events(ctx, id)
	if err != nil {
		return Case{}, err
	}
	if len(events) == 0 || id == "" { // events of no case are the practice's
		return Case{}, ErrNoCase
	}
	return Replay(id, events)
}

// Recent returns at most limit cases, the one that changed last first.
func (d *Desk) Recent(ctx context.Context, limit int) ([]Case, error) {
	rows, err := d.ledger.Recent(ctx, limit)
	if err != nil {
		return nil, err
	}
	out := make([]Case, len(rows))
	for i, r := range rows {
		if err := json.Unmarshal(r.State, &out[i]); err != nil {
			return nil, fmt.Errorf("case %s: %w", r.Case, err)
		}
	}
	return out, nil
}

// Events returns everything that happened in a case.
func (d *Desk) Events(ctx context.Context, id string) ([]store.Event, error) {
	return d.ledger.Events(ctx, id)
}

// NewCase opens a case and returns its id. The same key opens one case however often
// it is asked; an empty key is no key.
func (d *Desk) NewCase(ctx context.Context, actor, name, key string) (id string, err error) {
	err = d.ledger.Change(ctx, func(tx *store.Tx) error {
		if key != "" {
			was, found, err := tx.Once("case " + key)
			if err != nil || found {
				id = was
				return err
			}
		}
		var err error
		id, _, err = tx.OnceUnder(func() (string, error) {
			id := newID()
			if _, err := tx.Add(id, actor, kindOpened, opened{Name: name}); err != nil {
				return "", err
			}
			_, err := d.settle(tx, id)
			return id, err
		})
		if err == nil && key != "" {
			err = tx.KeepOnce("case "+key, id)
		}
		return err
	})
	if err == nil {
		d.hub.Tell(news.Note{Case: id, N: 1})
	}
	return id, err
}

// Incoming is a file on its way in.
type Incoming struct {
	Name string
	Role finding.Role // empty: told from the name, else from the shape
	Data io.Reader
}

// Keep stores a file on its way into a case, without adding it to one.
func (d *Desk) Keep(ctx context.Context, f Incoming) (Scan, error) {
	h, n, err := d.blobs.Put(ctx, f.Data)
	return Scan{ID: newID(), Name: casefile.ShownName(f.Name), Hash: h, Size: n, Role: f.Role, Given: f.Role != ""}, err
}

// AddScans stores files and adds them to a case, in one change, and asks for a check
// if the case is ready for one. A file that the case holds already is left alone.
func (d *Desk) AddScans(ctx context.Context, actor, id string, files []Incoming) error {
	scans := make([]Scan, len(files))
	for i, f := range files {
		var err error
		if scans[i], err = d.Keep(ctx, f); err != nil {
			return err
		}
	}
	_, err := d.AddKept(ctx, actor, id, scans)
	return err
}

// AddKept adds stored files to a case, as [Desk.AddScans] does, and returns the check that
// is then current, if there is one.
func (d *Desk) AddKept(ctx context.Context, actor, id string, scans []Scan) (check string, err error) {
	return d.changed(ctx, id, actor, func(tx *store.Tx, c Case) error {
		nameRoles(scans, c)
		for _, s := range scans {
			if slices.ContainsFunc(c.Used(), func(o Scan) bool { return o.Hash == s.Hash }) {
				continue
			}
			if _, err := tx.Add(id, actor, kindScan, s); err != nil {
				return err
			}
		}
		return nil
	})
}

// nameRoles gives scans without a role the one that their name states.
func nameRoles(scans []Scan, c Case) {
	var jaw tooth.Jaw
	if len(c.Order.Restorations) > 0 {
		jaw = c.Order.Restorations[0].Tooth.Number().Jaw()
	}
	names := make([]string, len(scans))
	for i, s := range scans {
		names[i] = s.Name
	}
	for i, r := range casefile.RolesByName(names, jaw) {
		if scans[i].Role == "" {
			scans[i].Role = r
		}
	}
}

// SetOrder changes the prescription.
func (d *Desk) SetOrder(ctx context.Context, actor, id string, edit func(*casefile.Case) error) error {
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		order := c.Order
		order.Restorations = slices.Clone(order.Restorations)
		if err := edit(&order); err != nil {
			return err
		}
		order.Scans = nil
		_, err := tx.Add(id, actor, kindOrdered, ordered{Order: order})
		return err
	})
}

// SetRole says what a scan shows; empty leaves it to the program.
func (d *Desk) SetRole(ctx context.Context, actor, id, scan string, role finding.Role) error {
	return d.scanEvent(ctx, actor, id, scan, kindRole, roleSet{Scan: scan, Role: role})
}

// LeaveOut takes a scan out of the check; it stays stored. TakeBack undoes it.
func (d *Desk) LeaveOut(ctx context.Context, actor, id, scan string) error {
	return d.scanEvent(ctx, actor, id, scan, kindLeftOut, scanRef{Scan: scan})
}

// TakeBack puts a scan that was left out back into the check.
func (d *Desk) TakeBack(ctx context.Context, actor, id, scan string) error {
	return d.scanEvent(ctx, actor, id, scan, kindTakenBack, scanRef{Scan: scan})
}

func (d *Desk) scanEvent(ctx context.Context, actor, id, scan, kind string, body any) error {
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		if !slices.ContainsFunc(c.Scans, func(s Scan) bool { return s.ID == scan }) {
			return &Problem{What: "this case has no such scan"}
		}
		_, err := tx.Add(id, actor, kind, body)
		return err
	})
}

// change lets f add events to a case, writes where the case then stands, and asks for
// a check where one is due. f sees the case as it is.
func (d *Desk) change(ctx context.Context, id, actor string, f func(*store.Tx, Case) error) error {
	_, err := d.changed(ctx, id, actor, f)
	return err
}

// changed does what change does and returns the check that is then current, if there is
// one.
func (d *Desk) changed(ctx context.Context, id, actor string, f func(*store.Tx, Case) error) (check string, err error) {
	var now Case
	again := false
	err = d.ledger.Change(ctx, func(tx *store.Tx) error {
		check, again, err = tx.OnceUnder(func() (string, error) {
			if now, err = d.alter(tx, id, actor, f); err != nil {
				return "", err
			}
			k, _ := now.Current()
			return k.ID, nil
		})
		return err
	})
	if err == nil && !again {
		d.hub.Tell(news.Note{Case: id, N: now.N})
	}
	return check, err
}

// alter is the inside of a change.
func (d *Desk) alter(tx *store.Tx, id, actor string, f func(*store.Tx, Case) error) (Case, error) {
	events, err := tx.Events(id)
	if err != nil {
		return Case{}, err
	}
	if len(events) == 0 || id == "" {
		return Case{}, ErrNoCase
	}
	was, err := Replay(id, events)
	if err != nil {
		return Case{}, err
	}
	if was.Keeping.Deleted != nil {
		return Case{}, errDeleted()
	}
	if err := f(tx, was); err != nil {
		return Case{}, err
	}
	now, err := tx.Events(id)
	if err != nil {
		return Case{}, err
	}
	if there, err := naming.Stored(tx.Context(), d.blobs, Named, now[len(events):]); err != nil {
		return Case{}, err
	} else if !there { // it was stored before this change, which took long
		return Case{}, &Problem{What: "a file was deleted with another case meanwhile", Try: "add it once more"}
	}
	if err := d.ask(tx, id, actor, "", false); err != nil {
		return Case{}, err
	}
	return d.settle(tx, id)
}

// settle writes where a case stands after the events of a change.
func (d *Desk) settle(tx *store.Tx, id string) (Case, error) {
	events, err := tx.Events(id)
	if err != nil {
		return Case{}, err
	}
	c, err := Replay(id, events)
	if err != nil {
		return c, err
	}
	state, err := json.Marshal(c)
	if err != nil {
		return c, err
	}
	if err := tx.SetNow(store.Now{Case: id, N: c.N, At: c.Changed.UnixMilli(), Find: c.found(), State: state}); err != nil {
		return c, err
	}
	facts, err := json.Marshal(c.Facts())
	if err != nil {
		return c, err
	}
	return c, tx.SetTrack(id, track.Form, facts)
}

// newID returns an identifier that says nothing.
func newID() string {
	var b [10]byte
	if _, err := rand.Read(b[:]); err != nil {
		panic("work: the system gives no random numbers: " + err.Error())
	}
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b[:]))
}

// View notes in the ledger that a person saw a case.
func (d *Desk) View(ctx context.Context, actor, id, what string) error {
	return d.ledger.Change(ctx, func(tx *store.Tx) error {
		_, err := tx.Add(id, actor, kindViewed, viewed{What: what})
		return err
	})
}

// Result returns the stored result of a finished check with its report, and what is drawn
// of it so far.
func (d *Desk) Result(ctx context.Context, k Check) (Result, casefile.Report, error) {
	if k.State != Done {
		return Result{}, casefile.Report{}, errors.New("work: the check is not done")
	}
	data, err := d.blobs.Get(ctx, k.Result)
	if err != nil {
		return Result{}, casefile.Report{}, err
	}
	r, err := decodeResult(data)
	if err != nil {
		return r, casefile.Report{}, err
	}
	if k.Shown != "" {
		if data, err = d.blobs.Get(ctx, k.Shown); err != nil {
			return r, casefile.Report{}, err
		}
		if r.Shown, err = decodeShown(data); err != nil {
			return r, casefile.Report{}, err
		}
	}
	rep, err := r.parsed()
	return r, rep, err
}

// Figure returns a stored picture.
func (d *Desk) Figure(ctx context.Context, h store.Hash) ([]byte, error) { return d.blobs.Get(ctx, h) }

// quiet is a log for the queue's own warnings. It never holds a word about a case.
func quiet() *slog.Logger {
	return slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelError}))
}

// Shop is what a front needs to serve people.
type Shop struct {
	Desk    *Desk
	Version string
	Log     *slog.Logger // nil: none

	Secret []byte           // mixed into what is kept of people's numbers and passwords
	Secure bool             // the pages are served encrypted
	Now    func() time.Time // nil: the system's clock
}
