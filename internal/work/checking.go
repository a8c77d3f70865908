package work

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"time"

	"selvage/finding"
	"selvage/internal/check"
	"selvage/internal/job"
	"selvage/internal/news"
	"selvage/internal/store"
	"selvage/internal/store/naming"
)

// checkArgs is the body of a check's task.
type checkArgs struct {
	Case  string `json:"case"`
	Check string `json:"check"`
}

// Check asks for a check of a stage, also where the last one is still current, and
// returns its id.
func (d *Desk) Check(ctx context.Context, actor, id string, stage finding.Stage) (check string, err error) {
	return d.changed(ctx, id, actor, func(tx *store.Tx, c Case) error {
		if !c.Ready() {
			return &Problem{What: "there is nothing to check yet", Try: "add the scans and say which tooth was prepared"}
		}
		return d.ask(tx, id, actor, stage, true)
	})
}

// ask queues a check where one is due: the case is ready, and what it holds is not what
// the last check was asked for. again asks in any case. Checks of what the case no
// longer holds are cancelled. An empty stage is that of the last check, or final.
func (d *Desk) ask(tx *store.Tx, id, actor string, stage finding.Stage, again bool) error {
	events, err := tx.Events(id)
	if err != nil {
		return err
	}
	c, err := Replay(id, events)
	if err != nil || !c.Ready() {
		return err
	}
	if stage == "" {
		stage = finding.Final
		if n := len(c.Checks); n > 0 {
			stage = c.Checks[n-1].Stage
		}
	}
	basis, err := c.basis(stage)
	if err != nil {
		return err
	}
	if k, ok := c.Current(); ok && !again && k.Of == basis {
		return nil
	}
	if k, ok := c.Current(); ok && again && k.Of == basis && k.State == Waiting {
		return nil // it is being made
	}
	for _, k := range c.Checks {
		if k.State == Waiting || k.Drawing {
			if err := d.cancel(tx, id, actor, k); err != nil {
				return err
			}
		}
	}
	check := newID()
	n, err := d.queue.Add(tx.Context(), tx.SQL(), checkTask, checkArgs{Case: id, Check: check})
	if err != nil {
		return err
	}
	_, err = tx.Add(id, actor, kindAsked, asked{Check: check, Job: n, Stage: stage, Of: basis})
	return err
}

func (d *Desk) cancel(tx *store.Tx, id, actor string, k Check) error {
	if err := d.queue.Cancel(tx.Context(), tx.SQL(), k.Job); err != nil {
		return err
	}
	if k.Drawing { // its verdict stands
		_, err := tx.Add(id, actor, kindShown, shown{Check: k.ID, What: UnshownNewer})
		return err
	}
	_, err := tx.Add(id, actor, kindEnded, ended{Check: k.ID, How: Cancelled})
	return err
}

// Cancel stops a check that waits or runs; an empty check is whichever does.
func (d *Desk) Cancel(ctx context.Context, actor, id, check string) error {
	err := d.ledger.Change(ctx, func(tx *store.Tx) error {
		events, err := tx.Events(id)
		if err != nil {
			return err
		}
		if len(events) == 0 || id == "" {
			return ErrNoCase
		}
		c, err := Replay(id, events)
		if err != nil {
			return err
		}
		for _, k := range c.Checks {
			if k.State == Waiting && (check == "" || check == k.ID) {
				if err := d.cancel(tx, id, actor, k); err != nil {
					return err
				}
			}
		}
		_, err = d.settle(tx, id)
		return err
	})
	if err == nil {
		d.hub.Tell(news.Note{Case: id})
	}
	return err
}

// runCheck is the background task of a check.
func (d *Desk) runCheck(ctx context.Context, t job.Task) error {
	return d.troubled(d.makeCheck(ctx, t, time.Now()))
}

// makeCheck checks what the case held when the check was asked for, says the verdict, and
// then draws. It may be called twice for one check; the second time finds it ended, or the
// verdict said and nothing drawn.
func (d *Desk) makeCheck(ctx context.Context, t job.Task, begun time.Time) error {
	var a checkArgs
	if err := json.Unmarshal(t.Body, &a); err != nil {
		return err
	}
	c, err := d.Case(ctx, a.Case)
	if err != nil {
		return err
	}
	k, ok := c.find(a.Check)
	if !ok {
		return fmt.Errorf("case %s has no check %s", a.Case, a.Check)
	}
	basis, err := c.basis(k.Stage)
	switch {
	case err != nil:
		return err
	case k.State == Done && k.Drawing:
		return d.show(ctx, t, a, c, k, nil)
	case k.State != Waiting:
		return nil
	case basis != k.Of:
		return d.end(ctx, t, a, ended{Check: k.ID, How: Cancelled, What: "something newer came"})
	case t.Spent:
		// WHY not once more: a check that takes the program with it, by want of memory
		// say, would do so at every start.
		return d.end(ctx, t, a, ended{Check: k.ID, How: Failed, What: "the program died each time it made this check"})
	}
	in, out, err := d.measure(ctx, c, k)
	var refused *check.InputError
	switch {
	case errors.As(err, &refused):
		return d.end(ctx, t, a, ended{Check: k.ID, How: Refused, What: refused.Error()})
	case err != nil && errors.Is(ctx.Err(), context.DeadlineExceeded):
		return d.end(context.WithoutCancel(ctx), t, a, ended{Check: k.ID, How: Failed, What: "it was not done in " + d.patience.String()})
	case err != nil && ctx.Err() != nil:
		return err // cancelled, or the program is stopping: the queue knows which
	case err != nil && isTrouble(err):
		return err
	case err != nil && t.Last:
		return errors.Join(err, d.end(ctx, t, a, ended{Check: k.ID, How: Failed, What: err.Error()}))
	case err != nil:
		return err
	}
	w := wordings(out)
	h, err := d.keep(ctx, in, out, w)
	switch {
	case err != nil && t.Last && ctx.Err() == nil && !isTrouble(err):
		return errors.Join(err, d.end(ctx, t, a, ended{Check: k.ID, How: Failed, What: err.Error()}))
	case err != nil:
		return err
	}
	v := done{Check: k.ID, Verdict: out.Report.Verdict, Line: out.Report.Line, Lines: lines(w), Result: h, Drawing: true}
	switch c, err = d.say(ctx, t, a, v); {
	case errors.Is(err, errTaken) && t.Last:
		return errors.Join(err, d.end(ctx, t, a, ended{Check: k.ID, How: Failed, What: err.Error()}))
	case err != nil:
		return err
	}
	d.made.Add(1)
	d.took.Add(int64(time.Since(begun)))
	if k, _ = c.find(a.Check); !k.Drawing {
		return nil // it was cancelled meanwhile
	}
	return d.show(ctx, t, a, c, k, &out)
}

// errTaken says that something that a check stored was deleted with another case before its
// event was written. The check is made once more.
var errTaken = errors.New("what the check stored was deleted with another case")

func isTrouble(err error) bool { _, yes := TroubleOf(err); return yes }

// measure loads the scans and checks them. What it returns of the input has no scans.
func (d *Desk) measure(ctx context.Context, c Case, k Check) (check.Input, check.Outcome, error) {
	in := check.Input{Case: c.asSaid(c.Order), Stage: k.Stage}
	in.Case.Name = c.Name
	if err := d.refresh(ctx); err != nil { // another server may have changed a limit
		return in, check.Outcome{}, err
	}
	in.Limits = d.Limits().Encode()
	with := in
	var err error
	if with.Files, err = d.files(ctx, c); err != nil {
		return in, check.Outcome{}, err
	}
	p := news.Follow(c.ID, d.hub.Tell)
	with.Parts = p.Part
	out, err := check.Run(ctx, with, p.Phase)
	return in, out, err
}

// files loads the scans that count.
func (d *Desk) files(ctx context.Context, c Case) ([]check.File, error) {
	var out []check.File
	for _, s := range c.Used() {
		data, err := d.blobs.Get(ctx, s.Hash)
		if err != nil {
			return nil, err
		}
		out = append(out, check.File{Name: s.Name, Role: s.Role, Data: data})
	}
	return out, nil
}

// keep stores the report of a check and what it was made from, and returns the hash of the
// whole.
func (d *Desk) keep(ctx context.Context, in check.Input, out check.Outcome, w map[string]Wording) (store.Hash, error) {
	rep, err := out.Report.Encode()
	if err != nil {
		return "", err
	}
	data, err := json.Marshal(Result{Report: rep, Facing: facing(out), Case: in.Case, Limits: in.Limits, Wordings: w})
	if err != nil {
		return "", err
	}
	h, _, err := d.blobs.Put(ctx, bytes.NewReader(data))
	return h, err
}

func (d *Desk) end(ctx context.Context, t job.Task, a checkArgs, v ended) error {
	return d.finish(ctx, t, a, kindEnded, v)
}

// finish records how a check ended, or what is shown of it, together with the end of its
// task. Where it was cancelled meanwhile, it stays cancelled.
func (d *Desk) finish(ctx context.Context, t job.Task, a checkArgs, kind string, body any) error {
	_, err := d.record(ctx, t, a, kind, body, true)
	return err
}

// say records the verdict of a check, and leaves its task to draw. Where the check was
// cancelled meanwhile it stays so, and its task ends.
func (d *Desk) say(ctx context.Context, t job.Task, a checkArgs, v done) (Case, error) {
	return d.record(ctx, t, a, kindDone, v, false)
}

func (d *Desk) record(ctx context.Context, t job.Task, a checkArgs, kind string, body any, last bool) (c Case, err error) {
	var n int64
	err = d.ledger.Change(ctx, func(tx *store.Tx) error {
		events, err := tx.Events(a.Case)
		if err != nil {
			return err
		}
		if c, err = Replay(a.Case, events); err != nil {
			return err
		}
		k, ok := c.find(a.Check)
		if !ok || !k.awaits(kind) || c.Keeping.Deleted != nil {
			return t.Done(ctx, tx.SQL())
		}
		e, err := tx.Add(a.Case, System, kind, body)
		if err != nil {
			return err
		}
		if there, err := naming.Stored(ctx, d.blobs, Named, []store.Event{e}); err != nil {
			return err
		} else if !there {
			return errTaken
		}
		n = e.N
		if c, err = d.settle(tx, a.Case); err != nil || !last {
			return err
		}
		return t.Done(ctx, tx.SQL())
	})
	if err == nil {
		d.hub.Tell(news.Note{Case: a.Case, N: n})
	}
	return c, err
}

// awaits reports whether an event of a kind is what comes next of a check.
func (k Check) awaits(kind string) bool {
	if kind == kindShown {
		return k.Drawing
	}
	return k.State == Waiting
}

// renew asks anew for the checks that wait in a ledger which came without its queue: from
// the back-up of another kind of database.
func (d *Desk) renew(ctx context.Context) error {
	rows, err := d.ledger.Recent(ctx, math.MaxInt32)
	if err != nil {
		return err
	}
	for _, r := range rows {
		err := d.ledger.Change(ctx, func(tx *store.Tx) error {
			events, err := tx.Events(r.Case)
			if err != nil {
				return err
			}
			c, err := Replay(r.Case, events)
			if err != nil {
				return err
			}
			waited, drew := false, false
			for _, k := range c.Checks {
				// WHY not taken from the queue: its number may be that of another check there.
				switch {
				case k.Drawing:
					drew = true
					_, err = tx.Add(r.Case, System, kindShown, shown{Check: k.ID, What: UnshownLost})
				case k.State == Waiting:
					waited = true
					_, err = tx.Add(r.Case, System, kindEnded, ended{Check: k.ID, How: Cancelled})
				}
				if err != nil {
					return err
				}
			}
			if !waited && !drew {
				return nil
			}
			if waited {
				if err := d.ask(tx, r.Case, System, "", true); err != nil {
					return err
				}
			}
			_, err = d.settle(tx, r.Case)
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}
