package work

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/query"
	"selvage/internal/schedule"
	"selvage/internal/seating"
	"selvage/internal/store"
)

// Case is where a case stands, computed from its events.
type Case struct {
	ID      string
	N       int64 // its last event that changed it
	Name    string
	Opened  time.Time
	Changed time.Time
	Seq     int64         // place in the ledger of what changed it last
	Order   casefile.Case // without scans
	Scans   []Scan
	From    []string // folders from which files were delivered
	Checks  []Check  // in the order in which they were asked for
	Alarms  []Alarm
	Decided *Signed[Decision] // the last decision on the current check
	Signed  *Signed[string]   // the check that was signed, while it is current
	Ticks   []schedule.Tick   // of the clock, those taken back left out

	Corrections []Correction // those taken back left out

	Marks    []Mark    // what is said about what the prescription lacks
	Kept     []Kept    // days that are kept against the calendar
	Versions []Version // of the prescription, signed, in order
	Photos   []Photo

	Sent    []Sending
	Notes   []Noted      // what the laboratory answered
	Thread  []query.Step // what was sent, asked and answered, in order
	Cuts    []Cut        // blocks that were released to the own mill
	Back    []Returned
	Visits  []seating.Seated
	Seating seating.Record

	Temporary []TemporaryNote // how the temporary holds
	Keeping   Keeping
}

// Signed is something that a person said, and when.
type Signed[T any] struct {
	What T
	By   string
	At   time.Time
}

// Scan is one file that arrived.
type Scan struct {
	ID    string       `json:"scan"`
	Name  string       `json:"name"` // as it arrived; shown, never used as a path
	Hash  store.Hash   `json:"sha256"`
	Size  int64        `json:"size"`
	Role  finding.Role `json:"role,omitempty"` // empty: told from the shape
	Given bool         `json:"given,omitempty"`
	Added time.Time    `json:"-"`
	Out   bool         `json:"out,omitempty"` // left out: an old version, or not of this case
}

// State is how far a check has come.
type State string

// The states of a check.
const (
	Waiting   State = "waiting" // queued or running
	Done      State = "done"
	Refused   State = "refused" // the input could not be used
	Failed    State = "failed"  // the program failed
	Cancelled State = "cancelled"
)

// Check is one run over the scans.
type Check struct {
	ID      string
	Job     int64
	Stage   finding.Stage
	Of      string // what it was asked for
	Asked   time.Time
	State   State
	Ended   time.Time
	What    string // why it did not end well
	Verdict finding.Verdict
	Line    string
	Lines   map[string]string // in other languages than English
	Result  store.Hash

	Drawing bool       // its pictures and surfaces are being made
	Shown   store.Hash // of its pictures and surfaces
	Unshown string     // why there are none: [UnshownNewer] and the like
}

// LineIn returns the verdict in one line in a language, or in English.
func (k Check) LineIn(lang string) string {
	if s, ok := k.Lines[lang]; ok {
		return s
	}
	return k.Line
}

// Replay computes a case from its events.
func Replay(id string, events []store.Event) (Case, error) {
	c := Case{ID: id}
	for _, e := range events {
		if err := c.Apply(e); err != nil {
			return c, err
		}
	}
	return c, nil
}

// Apply adds one event. Kinds that are not known are left alone: a newer version of
// the program may have written them.
func (c *Case) Apply(e store.Event) error {
	changed := true
	var err error
	switch e.Kind {
	case kindOpened:
		err = read(e, func(v opened) { c.Name, c.Opened = v.Name, e.At })
	case kindOrdered:
		err = read(e, func(v ordered) { c.Order = v.Order })
	case kindScan:
		err = read(e, func(v Scan) { v.Added = e.At; c.addScan(v) })
	case kindDelivered:
		err = read(e, func(v delivered) { c.From = append(c.From, filepath.Join(v.Watched, v.Folder)) })
	case kindRole:
		err = read(e, func(v roleSet) { c.scan(v.Scan, func(s *Scan) { s.Role, s.Given = v.Role, v.Role != "" }) })
	case kindLeftOut:
		err = read(e, func(v scanRef) { c.scan(v.Scan, func(s *Scan) { s.Out = true }) })
	case kindTakenBack:
		err = read(e, func(v scanRef) { c.scan(v.Scan, func(s *Scan) { s.Out = false }) })
	case kindCorrected:
		err = read(e, func(v Correction) { c.Corrections = append(c.Corrections, v) })
	case kindUncorrected:
		err = read(e, func(v correctionRef) {
			c.Corrections = slices.DeleteFunc(c.Corrections, func(k Correction) bool { return k.ID == v.Correction })
		})
	default:
		if known, err := c.applyKeeping(e); known {
			return err
		}
		for _, apply := range []func(store.Event) (bool, error){c.applyCheck, c.applyPlan, c.applyHandOff, c.applyThread, c.applyMill, c.applySeating} {
			if changed, err = apply(e); changed || err != nil {
				break
			}
		}
	}
	if changed && err == nil {
		c.N, c.Changed, c.Seq = e.N, e.At, e.Seq
	}
	return err
}

// applyCheck adds an event of a check.
func (c *Case) applyCheck(e store.Event) (changed bool, err error) {
	switch e.Kind {
	case kindAsked:
		err = read(e, func(v asked) {
			c.Checks = append(c.Checks, Check{ID: v.Check, Job: v.Job, Stage: v.Stage, Of: v.Of, Asked: e.At, State: Waiting})
		})
	case kindDone:
		err = read(e, func(v done) {
			c.check(v.Check, func(k *Check) {
				k.State, k.Ended, k.Verdict, k.Line, k.Lines, k.Result, k.Drawing = Done, e.At, v.Verdict, v.Line, v.Lines, v.Result, v.Drawing
			})
		})
	case kindShown:
		err = read(e, func(v shown) {
			c.check(v.Check, func(k *Check) { k.Drawing, k.Shown, k.Unshown = false, v.Shown, v.What })
		})
	case kindEnded:
		err = read(e, func(v ended) {
			c.check(v.Check, func(k *Check) { k.State, k.Ended, k.What = v.How, e.At, v.What })
		})
	case kindDecided:
		err = read(e, func(v Decision) { c.Decided = &Signed[Decision]{v, e.Actor, e.At} })
	case kindAlarm:
		err = read(e, func(v Alarm) { v.At = e.At; c.judge(v) })
	case kindClock:
		err = read(e, func(v schedule.Tick) { v.At, v.By = e.At, e.Actor; c.Ticks = append(c.Ticks, v) })
	case kindUnclock:
		c.Ticks = c.Ticks[:max(0, len(c.Ticks)-1)]
	case kindSigned:
		err = read(e, func(v signed) { c.Signed = &Signed[string]{v.Check, e.Actor, e.At} })
	default:
		return false, nil
	}
	return true, err
}

// read decodes the body of e and hands it on.
func read[T any](e store.Event, use func(T)) error {
	var v T
	if err := e.Decode(&v); err != nil {
		return err
	}
	use(v)
	return nil
}

// addScan adds a file. A newer file of a role that only one scan can have takes the
// place of the older one, which stays in the case, left out.
func (c *Case) addScan(v Scan) {
	if single(v.Role) {
		for i := range c.Scans {
			if c.Scans[i].Role == v.Role && !c.Scans[i].Out {
				c.Scans[i].Out = true
			}
		}
	}
	c.Scans = append(c.Scans, v)
}

// single reports whether a case has one scan of a role.
func single(r finding.Role) bool { return r != "" && r != finding.RoleBite }

func (c *Case) scan(id string, f func(*Scan)) {
	if i := slices.IndexFunc(c.Scans, func(s Scan) bool { return s.ID == id }); i >= 0 {
		f(&c.Scans[i])
	}
}

func (c *Case) check(id string, f func(*Check)) {
	if i := slices.IndexFunc(c.Checks, func(k Check) bool { return k.ID == id }); i >= 0 {
		f(&c.Checks[i])
	}
}

// find returns the check with an id.
func (c Case) find(id string) (Check, bool) {
	i := slices.IndexFunc(c.Checks, func(k Check) bool { return k.ID == id })
	if i < 0 {
		return Check{}, false
	}
	return c.Checks[i], true
}

func (c *Case) judge(a Alarm) {
	c.Alarms = slices.DeleteFunc(c.Alarms, func(b Alarm) bool { return b.Check == a.Check && b.Finding == a.Finding })
	c.Alarms = append(c.Alarms, a)
}

// Used returns the scans that count, in the order in which they came.
func (c Case) Used() []Scan {
	return slices.DeleteFunc(slices.Clone(c.Scans), func(s Scan) bool { return s.Out })
}

// Ready reports whether a check can be asked for: a tooth is named and a scan is there.
func (c Case) Ready() bool { return len(c.Order.Restorations) > 0 && len(c.Used()) > 0 }

// measured returns what of the order a measure or its limit rests on: a new shade or due
// date leaves a check as good as it was.
func (c Case) measured() casefile.Case {
	o := casefile.Case{Name: c.Order.Name, ShimStock: c.Order.ShimStock, Units: c.Order.Units}
	for _, r := range c.Order.Restorations {
		made := r.MadeBy
		if made != casefile.InHouse {
			made = "" // a laboratory's crown is measured as one of which nobody said who makes it
		}
		o.Restorations = append(o.Restorations, casefile.Restoration{
			Tooth: r.Tooth, Abutments: r.Abutments, Kind: r.Kind, Material: r.Material, Cement: r.Cement,
			FinishLine: r.FinishLine, MadeBy: made, Margin: r.Margin,
		})
	}
	return o
}

// basis names what a check would check: the scans with their roles, what of the order is
// measured, the stage and what people put right. A check whose basis is another than the case's is void.
func (c Case) basis(stage finding.Stage) (string, error) {
	order := c.measured()
	data, err := json.Marshal(struct {
		Order     casefile.Case
		Scans     []Scan
		Stage     finding.Stage
		Corrected []Correction `json:",omitempty"`
	}{order, c.Used(), stage, c.Corrected()})
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:]), nil
}

// Current returns the last check, and whether it is of what the case now holds. A
// check that a newer file or order made void is not current: its verdict is not shown.
func (c Case) Current() (Check, bool) {
	for i := len(c.Checks) - 1; i >= 0; i-- {
		k := c.Checks[i]
		if b, err := c.basis(k.Stage); err == nil && b == k.Of {
			return k, true
		}
		if k.State != Cancelled {
			break
		}
	}
	return Check{}, false
}

// Before returns the last finished check that came before k, for what changed since.
func (c Case) Before(k Check) (Check, bool) {
	i := slices.IndexFunc(c.Checks, func(o Check) bool { return o.ID == k.ID })
	for i--; i >= 0; i-- {
		if c.Checks[i].State == Done && c.Checks[i].Stage == k.Stage {
			return c.Checks[i], true
		}
	}
	return Check{}, false
}

// found is the folded text that the case is found by.
func (c Case) found() string {
	words := []string{c.Name, c.Order.Patient.Reference}
	for _, r := range c.Order.Restorations {
		words = append(words, r.Tooth.Code)
	}
	return strings.ToLower(strings.Join(words, " "))
}
