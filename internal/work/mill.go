package work

import (
	"context"
	"slices"
	"strings"
	"time"

	"selvage/finding"
	"selvage/internal/mill"
	"selvage/internal/prescription"
	"selvage/internal/seating"
	"selvage/internal/store"
	"selvage/limit"
)

// kindCut is the event of a release to the mill.
const kindCut = "block-released" // Cut

// Cut is a block that was released to the practice's own mill, with what spoke against it.
type Cut struct {
	Of       string         `json:"of"`                // what was released: [Case.cuts]
	Check    string         `json:"check,omitempty"`   // that it rests on; empty: there was none
	Version  int            `json:"version,omitempty"` // of the prescription; 0: it was not signed
	Material limit.Material `json:"material,omitempty"`
	Block    mill.Block     `json:"block"`         // mm
	Lot      string         `json:"lot,omitempty"` // of the block
	Blocked  []Block        `json:"blocked,omitempty"`
	Doubts   []mill.Doubt   `json:"doubts,omitempty"`
	Reason   string         `json:"reason,omitempty"` // why all the same

	By string    `json:"by,omitempty"`
	At time.Time `json:"at,omitzero"`
}

// applyMill adds an event of the mill.
func (c *Case) applyMill(e store.Event) (changed bool, err error) {
	if e.Kind != kindCut {
		return false, nil
	}
	return true, read(e, func(v Cut) { v.By, v.At = e.Actor, e.At; c.Cuts = append(c.Cuts, v) })
}

// cut reports whether a block was released, and is not to be cut again.
func (c Case) cut() bool {
	if len(c.Cuts) == 0 {
		return false
	}
	n := len(c.Visits)
	return n == 0 || c.Visits[n-1].Outcome != seating.Remake || c.Cuts[len(c.Cuts)-1].At.After(c.Visits[n-1].Day())
}

// Released returns the last block that was released, and whether that was of what the case
// holds now: a newer scan or order makes a release void.
func (c Case) Released() (cut Cut, current bool) {
	if len(c.Cuts) == 0 {
		return Cut{}, false
	}
	cut = c.Cuts[len(c.Cuts)-1]
	of, err := c.cuts()
	return cut, err == nil && c.cut() && cut.Of == of
}

// cuts names what would be cut: the scans with what is said of them, and the prescription.
func (c Case) cuts() (string, error) {
	basis, err := c.basis(finding.Final)
	if err != nil {
		return "", err
	}
	order, err := prescription.Hash(c.order())
	return basis[:32] + order[:32], err
}

// Preflight is what speaks against cutting a block for a case now.
type Preflight struct {
	Blocked []Block // of the case: as for a parcel, and nobody may have said that it goes without a check
	Doubts  []mill.Doubt
}

// Stopped reports whether a release needs a reason.
func (f Preflight) Stopped() bool { return len(f.Blocked) > 0 || mill.Stopped(f.Doubts) }

// Preflight tells what speaks against cutting a block for a case that is made in the house.
// Nothing is asked about days: it is made at once.
func (d *Desk) Preflight(ctx context.Context, c Case, p Plan, b mill.Block) (Preflight, error) {
	f := Preflight{Blocked: c.blocked(p)}
	k, ok := c.Current()
	if !ok || k.State != Done || k.Stage != finding.Final || len(c.Order.Restorations) == 0 {
		return f, nil // that there is no check says it
	}
	_, rep, err := d.Result(ctx, k)
	if err != nil || len(rep.Restorations) == 0 {
		return f, err
	}
	f.Doubts = mill.Doubts(d.Limits(), c.Order.Restorations[0], rep.Restorations[0], b)
	return f, nil
}

// Release releases a block to the mill. Where something speaks against it, who releases it
// says why; both are kept.
func (d *Desk) Release(ctx context.Context, actor, id string, p Plan, b mill.Block, lot, reason string) error {
	lot, reason = strings.TrimSpace(lot), strings.TrimSpace(reason)
	c, err := d.Case(ctx, id)
	if err != nil {
		return err
	}
	f, err := d.Preflight(ctx, c, p, b)
	switch {
	case err != nil:
		return err
	case !prescription.InHouse(c.Order):
		return &Problem{What: "this crown is not made in the house", Try: "say in the prescription who makes it"}
	case f.Stopped() && reason == "":
		return &Problem{What: "something speaks against cutting now, and nobody said why it is cut all the same", Try: "see to it, or give a reason"}
	case len(lot) > 80 || len(reason) > 400:
		return &Problem{What: "this is too long"}
	}
	v := Cut{Material: c.Order.Restorations[0].Material, Block: b, Lot: lot, Blocked: f.Blocked, Doubts: f.Doubts}
	if v.Of, err = c.cuts(); err != nil {
		return err
	}
	if f.Stopped() {
		v.Reason = reason
	}
	v.Check, v.Version = c.cutFrom()
	return d.change(ctx, id, actor, func(tx *store.Tx, was Case) error {
		if !was.cutAs(v, p) {
			return &Problem{What: "the case was changed meanwhile", Try: "look at it again"}
		}
		_, err := tx.Add(id, actor, kindCut, v)
		return err
	})
}

// cutFrom returns the finished check that a release rests on, empty where there is none, and
// the signed version of the prescription, 0 where there is none.
func (c Case) cutFrom() (check string, version int) {
	if k, ok := c.Current(); ok && k.State == Done {
		check = k.ID
	}
	if v, current, _ := c.Prescribed(); current {
		version = v.N
	}
	return check, version
}

// cutAs reports whether a release says of the case what it says now. WHY not by the number
// of its last event: a check that starts or fails in that moment changes nothing that a
// release rests on, and who releases would be sent back for nothing.
func (c Case) cutAs(v Cut, p Plan) bool {
	of, err := c.cuts()
	check, version := c.cutFrom()
	return err == nil && of == v.Of && check == v.Check && version == v.Version && slices.Equal(c.blocked(p), v.Blocked)
}

// LastBlocks returns the sizes of the blocks that were released last for a material, each
// once, the last one first.
func (d *Desk) LastBlocks(ctx context.Context, m limit.Material) ([]mill.Block, error) {
	const looked, most = 200, 4
	events, err := d.ledger.LastOfKind(ctx, kindCut, looked)
	if err != nil {
		return nil, err
	}
	var out []mill.Block
	for _, e := range slices.Backward(events) {
		err := read(e, func(v Cut) {
			if v.Material == m && v.Block.Said() && len(out) < most && !slices.Contains(out, v.Block) {
				out = append(out, v.Block)
			}
		})
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}
