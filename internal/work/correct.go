package work

import (
	"context"
	"math"
	"slices"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/store"
	"selvage/r3"
	"selvage/tooth"
)

// What a person can put right.
const (
	NamesTooth  = "tooth" // which tooth stands at a place
	PinsMargin  = "pins"  // the margin passes these points
	DrawsMargin = "drawn" // the margin runs along these points, in order
)

// Correction is what a person said of a scan where the program was wrong or unsure. It
// holds for that scan alone: what was said of a scan that is left out waits until it is
// taken back.
type Correction struct {
	ID          string       `json:"correction"`
	Kind        string       `json:"kind"` // NamesTooth, PinsMargin or DrawsMargin
	Scan        string       `json:"scan"`
	Restoration int          `json:"restoration"`
	Tooth       string       `json:"tooth,omitempty"` // ISO 3950, for NamesTooth
	At          [][3]float64 `json:"at"`              // mm, in the frame of the scan's file
}

type correctionRef struct {
	Correction string `json:"correction"`
}

// Said is a correction as it comes from the page: of the scan of a role, as the check
// that was looked at shows it, with places in mm in the frame of the working scan.
type Said struct {
	Check       string
	Kind        string
	Role        finding.Role
	Restoration int
	Tooth       string
	At          []r3.Vec
}

// mostPoints bounds what one correction may hold: a margin drawn every tenth of a mm.
const mostPoints = 1000

// Correct records what a person put right and asks for a new check.
func (d *Desk) Correct(ctx context.Context, actor, id string, s Said) error {
	return d.onCurrent(ctx, actor, id, "", func(tx *store.Tx, k Check) error {
		if s.Check != k.ID {
			return &Problem{What: "something newer came since you looked", Try: "look at the check again, then put it right"}
		}
		_, rep, err := d.Result(ctx, k)
		if err != nil {
			return err
		}
		events, err := tx.Events(id)
		if err != nil {
			return err
		}
		c, err := Replay(id, events)
		if err != nil {
			return err
		}
		out, err := s.correction(c, rep)
		if err != nil {
			return err
		}
		_, err = tx.Add(id, actor, kindCorrected, out)
		return err
	})
}

// correction turns what was said into the frame of the scan's file, and refuses what
// cannot be meant.
func (s Said) correction(c Case, rep casefile.Report) (Correction, error) {
	out := Correction{ID: newID(), Kind: s.Kind, Restoration: s.Restoration}
	if s.Restoration < 0 || s.Restoration >= len(rep.Restorations) {
		return out, &Problem{What: "this case has no such tooth"}
	}
	switch s.Kind {
	case NamesTooth:
		n, err := tooth.Parse(tooth.FDI, s.Tooth)
		if err != nil {
			return out, &Problem{What: "%s", About: err.Error(), Try: "choose a tooth"}
		}
		out.Tooth = n.String()
	case PinsMargin, DrawsMargin:
		if m := rep.Restorations[s.Restoration].Measures.Margin; m.Not != "" || m.Scan != s.Role {
			return out, &Problem{What: "the margin was not traced on this scan", Try: "tap the margin on the scan of the prepared tooth"}
		}
	default:
		return out, &Problem{What: "this cannot be put right here"}
	}
	least := map[string]int{NamesTooth: 1, PinsMargin: 1, DrawsMargin: 2}[s.Kind]
	if len(s.At) < least || len(s.At) > mostPoints || s.Kind == NamesTooth && len(s.At) > 1 {
		return out, &Problem{What: "this takes another number of points", Try: "tap the place again"}
	}
	i := slices.IndexFunc(rep.Scans, func(r casefile.Scan) bool { return r.Role == s.Role })
	if i < 0 {
		return out, &Problem{What: "this check saw no such scan"}
	}
	used := c.Used()
	k := slices.IndexFunc(used, func(u Scan) bool { return string(u.Hash) == rep.Scans[i].SHA256 })
	if k < 0 {
		return out, &Problem{What: "this scan is no longer in the case"}
	}
	out.Scan = used[k].ID
	own := rep.Scans[i].ToWorking.Rigid().Inverse()
	for _, p := range s.At {
		const farthest = 1000 // mm, as in a case file
		if !(p.Norm() < farthest) || math.IsNaN(p.X) {
			return out, &Problem{What: "this place is not on a scan"}
		}
		out.At = append(out.At, own.Point(p).Array())
	}
	return out, nil
}

// TakeCorrectionBack undoes one correction; the check runs again without it.
func (d *Desk) TakeCorrectionBack(ctx context.Context, actor, id, correction string) error {
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		if !slices.ContainsFunc(c.Corrections, func(o Correction) bool { return o.ID == correction }) {
			return &Problem{What: "this was taken back already"}
		}
		_, err := tx.Add(id, actor, kindUncorrected, correctionRef{Correction: correction})
		return err
	})
}

// Corrected returns the corrections that count: those of scans that are used.
func (c Case) Corrected() []Correction {
	return slices.DeleteFunc(slices.Clone(c.Corrections), func(k Correction) bool {
		i := slices.IndexFunc(c.Scans, func(s Scan) bool { return s.ID == k.Scan })
		return i < 0 || c.Scans[i].Out
	})
}

// asSaid returns the case as the check takes it, with the corrections of a scan beside it:
// the teeth that were named on it, and where the margin was put.
func (c Case) asSaid(order casefile.Case) casefile.Case {
	order.Restorations = slices.Clone(order.Restorations)
	for _, s := range c.Used() {
		f := casefile.ScanFile{Role: s.Role, File: s.Name}
		for _, k := range c.Corrected() {
			if k.Scan != s.ID || k.Kind != NamesTooth {
				continue
			}
			f.Teeth = append(f.Teeth, casefile.NamedTooth{Tooth: casefile.ToothRef{System: tooth.FDI, Code: k.Tooth}, At: k.At[0]})
		}
		order.Scans = append(order.Scans, f)
	}
	for _, k := range c.Corrected() {
		if k.Kind == NamesTooth || k.Restoration >= len(order.Restorations) {
			continue
		}
		m := &order.Restorations[k.Restoration].Margin
		if k.Kind == PinsMargin {
			m.Pins = append(slices.Clip(m.Pins), k.At...)
		} else {
			m.Drawn = append(slices.Clip(m.Drawn), k.At)
		}
	}
	return order
}
