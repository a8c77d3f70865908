package work

import (
	"context"
	"slices"
	"strings"

	"selvage/internal/casefile"
	"selvage/internal/schedule"
	"selvage/internal/store"
	"selvage/tooth"
)

// Clock returns where retraction stands.
func (c Case) Clock() schedule.Clock { return schedule.Read(c.Ticks) }

// Tick records that something happened at the chair.
func (d *Desk) Tick(ctx context.Context, actor, id string, t schedule.Tick) error {
	t.Reason = strings.TrimSpace(t.Reason)
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		known := []string{
			schedule.Began, schedule.CordIn, schedule.CordOut, schedule.CapIn, schedule.CapOut,
			schedule.Opened, schedule.Explained, schedule.Pause,
		}
		switch {
		case !slices.Contains(known, t.What):
			return &Problem{What: "the clock knows no such thing"}
		case t.What == schedule.Began && !slices.ContainsFunc(d.Methods(), func(m schedule.Method) bool { return m.Key == t.Method }):
			return &Problem{What: "the practice has no such way to open the sulcus"}
		case t.What == schedule.Explained && t.Reason == "":
			return &Problem{What: "why it stays in is missing", Try: "say why"}
		}
		_, err := tx.Add(id, actor, kindClock, t)
		return err
	})
}

// TakeTickBack takes the last thing on the clock back. ticks is how many there were when
// somebody looked, 0 for whatever there are: another hand may have noted one since, which is
// not what was meant.
func (d *Desk) TakeTickBack(ctx context.Context, actor, id string, ticks int) error {
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		switch {
		case len(c.Ticks) == 0:
			return &Problem{What: "there is nothing to take back"}
		case ticks != 0 && ticks != len(c.Ticks):
			return errNewer()
		}
		_, err := tx.Add(id, actor, kindUnclock, struct{}{})
		return err
	})
}

// Shim notes whether two opposing teeth held shim stock before the anaesthetic. The bite
// is held against it. A pair that was noted before is noted anew.
func (d *Desk) Shim(ctx context.Context, actor, id string, upper, lower tooth.Number, held bool) error {
	if !upper.Valid() || !lower.Valid() || upper.Jaw() != tooth.Upper || lower.Jaw() != tooth.Lower {
		return &Problem{What: "a pair is one upper and one lower tooth"}
	}
	return d.SetOrder(ctx, actor, id, func(c *casefile.Case) error {
		ref := func(n tooth.Number) casefile.ToothRef { return casefile.ToothRef{System: tooth.FDI, Code: n.String()} }
		c.ShimStock = slices.DeleteFunc(slices.Clone(c.ShimStock), func(p casefile.ShimPair) bool {
			return p.Upper.Code == upper.String() && p.Lower.Code == lower.String()
		})
		c.ShimStock = append(c.ShimStock, casefile.ShimPair{Upper: ref(upper), Lower: ref(lower), Held: &held})
		return nil
	})
}
