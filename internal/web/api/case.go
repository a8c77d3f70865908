package api

import (
	"time"

	"selvage/internal/casefile"
	"selvage/internal/work"
	"selvage/limit"
)

// caseState is where a case stands.
type caseState struct {
	Case    string    `json:"case" doc:"its id"`
	Name    string    `json:"name" doc:"as the practice calls it: a number or initials"`
	Version int64     `json:"version" doc:"grows with everything that changes the case"`
	Opened  time.Time `json:"opened"`
	Changed time.Time `json:"changed"`
	Order   *order    `json:"order,omitempty" doc:"left out until the tooth is known"`
	Scans   []scan    `json:"scans" nullable:"false"`
	Check   *check    `json:"check,omitempty" doc:"the check of exactly what the case now holds; left out where there is none"`
	Decided *decided  `json:"decided,omitempty" doc:"what the dentist decided on that check"`
	Signed  *signed   `json:"signed,omitempty" doc:"that check's signature"`
}

// order is what is to be made.
type order struct {
	Tooth      string           `json:"tooth" pattern:"^[1-4][1-8]$" patternDescription:"an FDI number" example:"26" doc:"the prepared tooth"`
	Material   limit.Material   `json:"material,omitempty" doc:"of the crown; without it some limits cannot be told"`
	FinishLine limit.FinishLine `json:"finish_line,omitempty" doc:"as it was cut, where it is known"`
	Cement     limit.Cement     `json:"cement,omitempty"`
}

// scan is one file.
type scan struct {
	Scan   string    `json:"scan" doc:"its id"`
	Name   string    `json:"name" doc:"as it arrived"`
	SHA256 string    `json:"sha256"`
	Size   int64     `json:"size" doc:"bytes"`
	Role   string    `json:"role" enum:",preparation,working,opposing,bite,before,design" doc:"what it shows; empty: told from its shape"`
	Added  time.Time `json:"added"`
	Out    bool      `json:"left_out" doc:"an older version, or taken out: not checked"`
}

// check is one check.
type check struct {
	Check   string     `json:"check" doc:"its id"`
	Stage   string     `json:"stage" enum:"preparation,final"`
	State   string     `json:"state" enum:"waiting,done,refused,failed,cancelled" doc:"refused: the files could not be used"`
	Current bool       `json:"current" doc:"whether it is of exactly what the case now holds"`
	Asked   time.Time  `json:"asked"`
	Ended   *time.Time `json:"ended,omitempty"`
	Why     string     `json:"why,omitempty" doc:"why it ended without a verdict"`
	Verdict string     `json:"verdict,omitempty" enum:"clear,scan-again,ask-dentist,not-checked"`
	Line    string     `json:"line,omitempty" doc:"the verdict in one sentence"`
	Phase   *phase     `json:"phase,omitempty" doc:"of a check that is running"`
	Drawing bool       `json:"drawing,omitempty" doc:"whether its pictures are still being drawn; the verdict does not wait for them"`
}

// phase is how far a running check has come.
type phase struct {
	Name string `json:"name"`
	Done int    `json:"done" doc:"phases done"`
	Of   int    `json:"of" doc:"phases in all"`
}

type decided struct {
	Choice string    `json:"choice" enum:"accept,touch-up,scan-again"`
	Reason string    `json:"reason,omitempty"`
	By     string    `json:"by" doc:"id of the dentist"`
	At     time.Time `json:"at"`
}

type signed struct {
	By string    `json:"by" doc:"id of the dentist"`
	At time.Time `json:"at"`
}

// stateOf tells a case.
func (s *server) stateOf(c work.Case) caseState {
	out := caseState{Case: c.ID, Name: c.Name, Version: c.N, Opened: c.Opened, Changed: c.Changed, Scans: []scan{}}
	if len(c.Order.Restorations) > 0 {
		r := c.Order.Restorations[0]
		out.Order = &order{Tooth: r.Tooth.Number().String(), Material: r.Material, FinishLine: r.FinishLine, Cement: r.Cement}
	}
	for _, sc := range c.Scans {
		out.Scans = append(out.Scans, scan{
			Scan: sc.ID, Name: sc.Name, SHA256: string(sc.Hash), Size: sc.Size, Role: string(sc.Role), Added: sc.Added, Out: sc.Out,
		})
	}
	if k, ok := c.Current(); ok {
		v := s.checkOf(c, k)
		out.Check = &v
	}
	if d, ok := c.Decision(); ok {
		out.Decided = &decided{Choice: string(d.What.Choice), Reason: d.What.Reason, By: d.By, At: d.At}
	}
	if g, ok := c.Signature(); ok {
		out.Signed = &signed{By: g.By, At: g.At}
	}
	return out
}

// checkOf tells a check of a case.
func (s *server) checkOf(c work.Case, k work.Check) check {
	now, current := c.Current()
	out := check{
		Check: k.ID, Stage: string(k.Stage), State: string(k.State), Current: current && now.ID == k.ID, Asked: k.Asked,
		Why: k.What, Verdict: string(k.Verdict), Line: k.Line, Drawing: k.Drawing,
	}
	if !k.Ended.IsZero() {
		out.Ended = &k.Ended
	}
	if n, ok := s.Desk.Progress(c.ID); ok && k.State == work.Waiting {
		out.Phase = &phase{Name: n.Phase, Done: n.Done, Of: n.Of}
	}
	return out
}

// put writes an order into a case.
func (o order) put(c *casefile.Case) error {
	n, err := fdi(o.Tooth)
	if err != nil {
		return err
	}
	if len(c.Restorations) == 0 {
		c.Restorations = []casefile.Restoration{{Kind: casefile.Crown}}
	}
	r := &c.Restorations[0]
	r.Tooth, r.Material, r.FinishLine, r.Cement = casefile.CodeOf(n), o.Material, o.FinishLine, o.Cement
	return nil
}
