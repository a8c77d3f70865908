package work

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"selvage/internal/prescription"
	"selvage/internal/schedule"
	"selvage/internal/store"
	"selvage/limit"
)

// The kinds of events of the practice, which belong to no case.
const (
	kindLimit  = "limit-changed" // LimitChange
	kindTimes  = "times-changed" // TimesChange
	kindBackup = "backed-up"     // Backup
	kindWatch  = "watch-changed" // WatchChange
)

// PracticeKinds lists the kinds of events that belong to no case and to no person.
func PracticeKinds() []string {
	return []string{kindLimit, kindTimes, kindBackup, kindWatch, kindWatchBegun, "key-used"}
}

// LimitChange is a change of one limit. Was is what held before; a change back to the
// shipped limit has no values of its own.
type LimitChange struct {
	ID      limit.ID       `json:"id"`
	For     limit.Selector `json:"for"`
	Flag    *float64       `json:"flag,omitempty"` // the value, where the limit is a plain one
	Advise  *float64       `json:"advise,omitempty"`
	Source  string         `json:"source,omitempty"`
	Reason  string         `json:"reason"`
	Shipped bool           `json:"shipped,omitempty"` // back to what the program, or its file, has
	Was     string         `json:"was"`               // in words
	Is      string         `json:"is"`
}

// TimesChange is a change of how long one way to open the sulcus stays in.
type TimesChange struct {
	Key    string `json:"key"`
	Least  int    `json:"least_s"`
	Most   int    `json:"most_s"` // 0: none is given
	Source string `json:"source"`
	Reason string `json:"reason"`
}

// Backup is a back-up that was made.
type Backup struct {
	To      string `json:"to"`
	Events  int64  `json:"events"`
	Files   int    `json:"files"`
	Missing int    `json:"missing"` // files that were damaged or gone
}

// practice is what the practice settled, computed from its events.
type practice struct {
	mu      sync.Mutex
	n       int64 // the last event that was applied
	base    limit.Table
	table   limit.Table
	methods []schedule.Method
	backup  *Signed[Backup]
	book    Profiles
	watch   *WatchChange // nil: what the program was started with

	watchChanged chan struct{} // holds one while a change of it waits to be followed
}

// refresh applies what is new. WHY nothing is locked while the ledger is read: who waits
// for a connection to the database must not keep those waiting who hold one.
func (d *Desk) refresh(ctx context.Context) error {
	p := &d.practice
	p.mu.Lock()
	n := p.n
	p.mu.Unlock()
	events, err := d.ledger.After(ctx, "", n)
	if err != nil {
		return err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, e := range events {
		if e.N <= p.n { // somebody else was faster
			continue
		}
		if err := p.apply(e); err != nil {
			return err
		}
		p.n = e.N
	}
	return nil
}

func (p *practice) apply(e store.Event) error {
	switch e.Kind {
	case kindLimit:
		return read(e, func(v LimitChange) {
			// WHY a change that no longer fits is left alone: the table of a newer version
			// of the program may have other rows.
			if t, err := p.with(v); err == nil {
				p.table = t
			}
		})
	case kindTimes:
		return read(e, func(v TimesChange) { p.methods = v.put(p.methods) })
	case kindPractice:
		return read(e, func(v prescription.Practice) { p.book.Practice = v })
	case kindLaboratory:
		return read(e, func(v prescription.Laboratory) { p.book = p.book.with(v) })
	case kindWatch:
		return read(e, func(v WatchChange) {
			p.watch = &v
			select {
			case p.watchChanged <- struct{}{}:
			default: // it is told already
			}
		})
	case kindBackup:
		return read(e, func(v Backup) { p.backup = &Signed[Backup]{v, e.Actor, e.At} })
	}
	return nil
}

func (v TimesChange) put(all []schedule.Method) []schedule.Method {
	out := slices.Clone(all)
	for i := range out {
		if out[i].Key == v.Key {
			out[i].Least, out[i].Most, out[i].Source = time.Duration(v.Least)*time.Second, time.Duration(v.Most)*time.Second, v.Source
		}
	}
	return out
}

// rowFor returns the row of a table for exactly a limit and a selector.
func rowFor(t limit.Table, id limit.ID, q limit.Selector) (limit.Row, bool) {
	rows := t.Rows()
	i := slices.IndexFunc(rows, func(r limit.Row) bool { return r.ID == id && r.For == q })
	if i < 0 {
		return limit.Row{}, false
	}
	return rows[i], true
}

// with returns the table after a change.
func (p *practice) with(v LimitChange) (limit.Table, error) {
	row, ok := rowFor(p.base, v.ID, v.For)
	if !ok {
		return p.table, &Problem{What: "there is no such limit"}
	}
	if !v.Shipped {
		level := func(n *float64) limit.Level {
			if n == nil {
				return limit.Level{}
			}
			return limit.Level{V: *n, Set: true}
		}
		row.Flag, row.Advise, row.Source, row.Memory = level(v.Flag), level(v.Advise), v.Source, false
	}
	return p.table.With(row)
}

// Limits returns the limit table that new checks are held against.
func (d *Desk) Limits() limit.Table {
	d.practice.mu.Lock()
	defer d.practice.mu.Unlock()
	return d.practice.table
}

// GivenLimits returns the table before the practice changed anything in it: the shipped
// one, or that of a file.
func (d *Desk) GivenLimits() limit.Table { return d.practice.base }

// Methods returns the practice's ways to open the sulcus.
func (d *Desk) Methods() []schedule.Method {
	d.practice.mu.Lock()
	defer d.practice.mu.Unlock()
	return slices.Clone(d.practice.methods)
}

// LastBackup returns the last back-up that was made, if one was.
func (d *Desk) LastBackup(ctx context.Context) (Signed[Backup], bool, error) {
	if err := d.refresh(ctx); err != nil {
		return Signed[Backup]{}, false, err
	}
	d.practice.mu.Lock()
	defer d.practice.mu.Unlock()
	if d.practice.backup == nil {
		return Signed[Backup]{}, false, nil
	}
	return *d.practice.backup, true, nil
}

// NoteBackup notes in a ledger that a back-up was made.
func NoteBackup(ctx context.Context, l *store.Ledger, b Backup) error {
	return l.Change(ctx, func(tx *store.Tx) error {
		_, err := tx.Add("", System, kindBackup, b)
		return err
	})
}

// ChangeLimit changes a limit for the checks that follow.
func (d *Desk) ChangeLimit(ctx context.Context, actor string, v LimitChange) error {
	v.Reason, v.Source = strings.TrimSpace(v.Reason), strings.TrimSpace(v.Source)
	if v.Reason == "" {
		return &Problem{What: "why it is changed is missing", Try: "say why"}
	}
	return d.settled(ctx, func(tx *store.Tx, p *practice) error {
		was, ok := rowFor(p.table, v.ID, v.For)
		if !ok {
			return &Problem{What: "there is no such limit"}
		}
		next, err := p.with(v)
		if err != nil {
			var known *Problem
			if errors.As(err, &known) {
				return err
			}
			return &Problem{What: "%s", About: err.Error()}
		}
		is, _ := rowFor(next, v.ID, v.For)
		v.Was, v.Is = levels(was), levels(is)
		_, err = tx.Add("", actor, kindLimit, v)
		return err
	})
}

// levels writes the levels of a row.
func levels(r limit.Row) string {
	if r.Bad == limit.Setting {
		return r.Flag.String()
	}
	return fmt.Sprintf("%s / %s", r.Flag, r.Advise)
}

// ChangeTimes changes how long a way to open the sulcus stays in.
func (d *Desk) ChangeTimes(ctx context.Context, actor string, v TimesChange) error {
	v.Reason, v.Source = strings.TrimSpace(v.Reason), strings.TrimSpace(v.Source)
	const most = 60 * 60
	switch {
	case v.Reason == "":
		return &Problem{What: "why it is changed is missing", Try: "say why"}
	case v.Source == "":
		return &Problem{What: "where the times come from is missing", Try: "name the product's instructions"}
	case v.Least < 0 || v.Most < 0 || v.Least > most || v.Most > most || v.Most != 0 && v.Most < v.Least:
		return &Problem{What: "these times cannot be", Try: "the least first, then the most; both within an hour"}
	}
	return d.settled(ctx, func(tx *store.Tx, p *practice) error {
		if !slices.ContainsFunc(p.methods, func(m schedule.Method) bool { return m.Key == v.Key }) {
			return &Problem{What: "the practice has no such way to open the sulcus"}
		}
		_, err := tx.Add("", actor, kindTimes, v)
		return err
	})
}

// settled lets f change what the practice settled, and reads it anew.
func (d *Desk) settled(ctx context.Context, f func(*store.Tx, *practice) error) error {
	if err := d.refresh(ctx); err != nil {
		return err
	}
	err := d.ledger.Change(ctx, func(tx *store.Tx) error {
		d.practice.mu.Lock()
		defer d.practice.mu.Unlock()
		return f(tx, &d.practice)
	})
	if err != nil {
		return err
	}
	return d.refresh(ctx)
}

// LimitHistory returns the changes of limits, the last first.
func (d *Desk) LimitHistory(ctx context.Context) ([]Signed[LimitChange], error) {
	return historyOf[LimitChange](ctx, d, kindLimit)
}

// TimesHistory returns the changes of times, the last first.
func (d *Desk) TimesHistory(ctx context.Context) ([]Signed[TimesChange], error) {
	return historyOf[TimesChange](ctx, d, kindTimes)
}

func historyOf[T any](ctx context.Context, d *Desk, kind string) ([]Signed[T], error) {
	events, err := d.ledger.OfKind(ctx, kind)
	if err != nil {
		return nil, err
	}
	var out []Signed[T]
	for _, e := range events {
		if err := read(e, func(v T) { out = append(out, Signed[T]{v, e.Actor, e.At}) }); err != nil {
			return nil, err
		}
	}
	slices.Reverse(out)
	return out, nil
}
