package review

import (
	"context"
	"errors"
	"slices"
	"strings"
	"sync"
	"time"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/report"
	"selvage/internal/store"
	"selvage/internal/work"
)

const (
	final     = finding.Final
	scanAgain = finding.ScanAgainNow
)

// Facts are what was learned from all cases.
type Facts struct {
	Works    []Work // by the day of the first visit
	Taps     []Tap  // what dentists said of findings
	Misses   []Miss
	Scanning map[string][]Scanning // by who brought the scans, by day
}

// Tap is a dentist's word on a finding.
type Tap struct {
	Code  finding.Code
	Right bool
	Day   time.Time
}

// Since returns what was learned of work from a time on: work that was first tried in then,
// its remakes, and what was said of findings then. Scanning stays as it is.
func (f Facts) Since(from time.Time) Facts {
	f.Works = slices.DeleteFunc(slices.Clone(f.Works), func(w Work) bool { return w.Day.Before(from) })
	f.Taps = slices.DeleteFunc(slices.Clone(f.Taps), func(t Tap) bool { return t.Day.Before(from) })
	f.Misses = slices.DeleteFunc(slices.Clone(f.Misses), func(m Miss) bool { return m.Day.Before(from) })
	return f
}

// Miss is a remake and what the check at hand-off had said of it.
type Miss struct {
	Case    string
	Day     time.Time      // of the first visit
	Seen    []finding.Code // raised, and of the family of what was seen
	Silent  []finding.Code // of the family, and not raised
	Checked bool           // there was a check at hand-off
	Ours    Ours
}

// Ours says whether a check could have seen it: by the origins that any party named.
type Ours string

// The answers.
const (
	InFiles   Ours = "in-files"  // scan, bite or preparation was named
	Elsewhere Ours = "elsewhere" // others were named, and none of these
	Untold    Ours = "untold"    // nobody can tell, or nobody said
)

// Reader learns from cases, each anew when something happened in it. It is safe for
// concurrent use.
type Reader struct {
	desk *work.Desk

	mu    sync.Mutex
	seq   int64
	cases map[string]learned
}

// learned is what one case adds.
type learned struct {
	work     *Work
	miss     *Miss
	alarms   []work.Alarm
	scanning *Scanning
	brought  []string
}

// NewReader returns a reader that knows nothing yet.
func NewReader(desk *work.Desk) *Reader { return &Reader{desk: desk, cases: map[string]learned{}} }

// batch is how many events are read at a time.
const batch = 2000

// Facts returns what was learned until now. Cost: the first call replays every case; later
// ones those in which something happened.
func (r *Reader) Facts(ctx context.Context) (Facts, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	touched, seq := map[string]bool{}, r.seq
	for {
		events, err := r.desk.Ledger().Since(ctx, seq, batch)
		if err != nil {
			return Facts{}, err
		}
		for _, e := range events {
			seq = e.Seq
			if e.Case != "" && work.Touches(e) {
				touched[e.Case] = true
			}
		}
		if len(events) < batch {
			break
		}
	}
	for id := range touched { // into a map: the order does not matter
		l, err := r.learn(ctx, id)
		if err != nil {
			return Facts{}, err
		}
		r.cases[id] = l
	}
	r.seq = seq
	return r.facts(), nil
}

// learn replays a case.
func (r *Reader) learn(ctx context.Context, id string) (learned, error) {
	events, err := r.desk.Events(ctx, id)
	if err != nil {
		return learned{}, err
	}
	c, err := work.Replay(id, events)
	if err != nil {
		return learned{}, err
	}
	return r.of(ctx, events, c)
}

func (r *Reader) of(ctx context.Context, events []store.Event, c work.Case) (learned, error) {
	l := learned{alarms: c.Alarms}
	l.brought, _ = work.Hands(events)
	if s, ok := scanningOf(c); ok {
		l.scanning = &s
	}
	w, ok := workOf(events, c)
	if !ok {
		return l, nil
	}
	l.work = &w
	if !w.Remade {
		return l, nil
	}
	m := Miss{Case: c.ID, Day: w.Day, Ours: ours(w)}
	if _, k, ok := c.HandedOver(w.Remake); ok && k.State == work.Done {
		_, rep, err := r.desk.Result(ctx, k)
		switch {
		case errors.Is(err, store.ErrNoBlob): // its files were deleted when their time was over
		case err != nil:
			return l, err
		default:
			m.hold(w, rep)
		}
	}
	l.miss = &m
	return l, nil
}

// ours tells whether a check could have seen why work was made again.
func ours(w Work) Ours {
	said := Untold
	for _, o := range w.Origins {
		switch {
		case o.InTheFiles():
			return InFiles
		case o != "cannot-tell":
			said = Elsewhere
		}
	}
	return said
}

// hold holds what the check raised against what was seen. What it only noted was said, too.
func (m *Miss) hold(w Work, rep casefile.Report) {
	m.Checked = true
	raised := map[finding.Code]bool{}
	for _, f := range report.Order(rep) {
		raised[f.Code] = true
	}
	for _, fault := range w.Seen {
		for _, c := range Family(fault) {
			list := &m.Silent
			if raised[c] {
				list = &m.Seen
			}
			if !slices.Contains(*list, c) {
				*list = append(*list, c)
			}
		}
	}
}

// Missed reports whether the check at hand-off said nothing of what the work was made again
// for, and could have: a finding of its kind exists, and a party named what the files show.
func (m Miss) Missed() bool {
	return m.Checked && m.Ours == InFiles && len(m.Seen) == 0 && len(m.Silent) > 0
}

// facts adds up what was learned, in the order of days.
func (r *Reader) facts() Facts {
	f := Facts{Scanning: map[string][]Scanning{}}
	for _, l := range r.cases { // sorted below
		if l.work != nil {
			f.Works = append(f.Works, *l.work)
		}
		if l.miss != nil {
			f.Misses = append(f.Misses, *l.miss)
		}
		for _, a := range l.alarms {
			f.Taps = append(f.Taps, Tap{Code: a.Code, Right: a.Right, Day: a.At})
		}
		if l.scanning != nil {
			for _, p := range l.brought {
				f.Scanning[p] = append(f.Scanning[p], *l.scanning)
			}
		}
	}
	slices.SortFunc(f.Works, func(a, b Work) int {
		if c := a.Day.Compare(b.Day); c != 0 {
			return c
		}
		return strings.Compare(a.Case, b.Case)
	})
	slices.SortFunc(f.Taps, func(a, b Tap) int {
		if c := a.Day.Compare(b.Day); c != 0 {
			return c
		}
		return strings.Compare(string(a.Code), string(b.Code))
	})
	slices.SortFunc(f.Misses, func(a, b Miss) int { return strings.Compare(a.Case, b.Case) })
	for _, s := range f.Scanning {
		slices.SortFunc(s, func(a, b Scanning) int {
			if c := a.Day.Compare(b.Day); c != 0 {
				return c
			}
			return strings.Compare(a.Case, b.Case)
		})
	}
	return f
}
