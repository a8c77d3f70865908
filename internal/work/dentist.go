package work

import (
	"context"
	"slices"
	"strings"

	"selvage/finding"
	"selvage/internal/report"
	"selvage/internal/store"
)

// Decide records what the dentist decided on the current check, which has to be the one that
// was looked at; an empty check is whichever is current. Accepting a case on which the check
// asks for something needs a reason.
func (d *Desk) Decide(ctx context.Context, actor, id, check string, choice Choice, reason string) error {
	reason = strings.TrimSpace(reason)
	if !slices.Contains([]Choice{Accept, TouchUp, ScanAgain}, choice) {
		return &Problem{What: "this is not one of the decisions", Try: "accept, touch up or scan again"}
	}
	return d.onCurrent(ctx, actor, id, check, func(tx *store.Tx, k Check) error {
		if choice == Accept && k.Verdict != finding.Clear && reason == "" {
			return &Problem{What: "the check asks for something here", Try: "say why it is accepted all the same"}
		}
		_, err := tx.Add(id, actor, kindDecided, Decision{Check: k.ID, Choice: choice, Reason: reason})
		return err
	})
}

// JudgeAlarm records whether a finding of the current check, which is the one that was looked
// at, was right; see [Desk.Decide].
func (d *Desk) JudgeAlarm(ctx context.Context, actor, id, check string, n int, right bool) error {
	return d.onCurrent(ctx, actor, id, check, func(tx *store.Tx, k Check) error {
		_, rep, err := d.Result(ctx, k)
		if err != nil {
			return err
		}
		for _, f := range report.Order(rep) {
			if f.N == n {
				_, err := tx.Add(id, actor, kindAlarm, Alarm{Check: k.ID, Finding: n, Code: f.Code, Right: right})
				return err
			}
		}
		return &Problem{What: "this check has no such finding"}
	})
}

// Sign locks the current check, which is the one that was looked at, with the dentist's name;
// see [Desk.Decide]. What comes later makes a new version, which needs a signature of its own.
func (d *Desk) Sign(ctx context.Context, actor, id, check string) error {
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		k, ok := c.Current()
		switch {
		case !ok || k.State != Done:
			return &Problem{What: "there is no check of these scans to sign", Try: "wait until it is made"}
		case check != "" && check != k.ID:
			return errNewer()
		}
		if v, ok := c.Decision(); !ok || v.What.Choice != Accept {
			return &Problem{What: "only a case that was accepted is signed"}
		}
		_, err := tx.Add(id, actor, kindSigned, signed{Check: k.ID, Result: k.Result})
		return err
	})
}

// Decision returns the last decision on the current check, if there is one.
func (c Case) Decision() (Signed[Decision], bool) {
	k, ok := c.Current()
	if !ok || c.Decided == nil || c.Decided.What.Check != k.ID {
		return Signed[Decision]{}, false
	}
	return *c.Decided, true
}

// Signature returns the signature of the current check, if there is one.
func (c Case) Signature() (Signed[string], bool) {
	k, ok := c.Current()
	if !ok || c.Signed == nil || c.Signed.What != k.ID {
		return Signed[string]{}, false
	}
	return *c.Signed, true
}

// errNewer says that what somebody looked at is no longer what there is.
func errNewer() error {
	return &Problem{What: "something newer came since you looked", Try: "look at it as it is now"}
}

// onCurrent lets f act on the check that is current and done, and no other than the one that
// was looked at, where that is said.
func (d *Desk) onCurrent(ctx context.Context, actor, id, check string, f func(*store.Tx, Check) error) error {
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		k, ok := c.Current()
		switch {
		case !ok || k.State != Done:
			return &Problem{What: "there is no check of these scans yet", Try: "wait until it is made"}
		case check != "" && check != k.ID:
			return errNewer()
		}
		return f(tx, k)
	})
}
