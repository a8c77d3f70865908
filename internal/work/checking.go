package work

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"
	"time"

	"selvage/finding"
	"selvage/internal/check"
	"selvage/internal/job"
	"selvage/internal/news"
	"selvage/internal/store"
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
		if k.State == Waiting {
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
	_, err := tx.Add(id, actor, kindEnded, ended{Check: k.ID, How: Cancelled})
	return err
}

// Cancel stops the check that waits or runs.
func (d *Desk) Cancel(ctx context.Context, actor, id string) error {
	err := d.ledger.Change(ctx, func(tx *store.Tx) error {
		events, err := tx.Events(id)
		if err != nil {
			return err
		}
		c, err := Replay(id, events)
		if err != nil {
			return err
		}
		for _, k := range c.Checks {
			if k.State == Waiting {
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
	begun := time.Now()
	err := d.makeCheck(ctx, t)
	if err == nil {
		d.made.Add(1)
		d.took.Add(int64(time.Since(begun)))
	}
	return d.troubled(err)
}

// makeCheck checks what the case held when the check was
// asked for. It may be called twice for one check; the second time finds it ended.
func (d *Desk) makeCheck(ctx context.Context, t job.Task) error {
	var a checkArgs
	if err := json.Unmarshal(t.Body, &a); err != nil {
		return err
	}
	c, err := d.Case(ctx, a.Case)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(c.Checks, func(k Check) bool { return k.ID == a.Check })
	if i < 0 {
		return fmt.Errorf("case %s has no check %s", a.Case, a.Check)
	}
	k := c.Checks[i]
	basis, err := c.basis(k.Stage)
	switch {
	case err != nil:
		return err
	case k.State != Waiting:
		return nil
	case basis != k.Of:
		return d.end(ctx, t, a, ended{Check: k.ID, How: Cancelled, What: "something newer came"})
	case t.Spent:
		// WHY not once more: a check that takes the program with it, by want of memory
		// say, would do so at every start.
		return d.end(ctx, t, a, ended{Check: k.ID, How: Failed, What: "the program died each time it made this check"})
	}
	out, err := d.measure(ctx, c, k)
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
	h, err := d.keep(ctx, out)
	switch {
	case err != nil && t.Last && ctx.Err() == nil && !isTrouble(err):
		return errors.Join(err, d.end(ctx, t, a, ended{Check: k.ID, How: Failed, What: err.Error()}))
	case err != nil:
		return err
	}
	return d.finish(ctx, t, a, kindDone, done{Check: k.ID, Verdict: out.Report.Verdict, Line: out.Report.Line, Lines: lines(out), Result: h})
}

func isTrouble(err error) bool { _, yes := TroubleOf(err); return yes }

// measure loads the scans and checks them.
func (d *Desk) measure(ctx context.Context, c Case, k Check) (check.Outcome, error) {
	if err := d.refresh(ctx); err != nil { // another server may have changed a limit
		return check.Outcome{}, err
	}
	in := check.Input{Case: c.asSaid(c.Order), Stage: k.Stage, Limits: d.Limits().Encode()}
	in.Case.Name = c.Name
	for _, s := range c.Used() {
		data, err := d.blobs.Get(ctx, s.Hash)
		if err != nil {
			return check.Outcome{}, err
		}
		in.Files = append(in.Files, check.File{Name: s.Name, Role: s.Role, Data: data})
	}
	p := news.Follow(c.ID, d.hub.Tell)
	in.Parts = p.Part
	return check.Run(ctx, in, p.Phase)
}

// keep stores the report, the pictures and the surfaces of a check and returns the hash
// of the whole.
func (d *Desk) keep(ctx context.Context, out check.Outcome) (store.Hash, error) {
	rep, err := out.Report.Encode()
	if err != nil {
		return "", err
	}
	r := Result{Report: rep, Facing: facing(out), Wordings: wordings(out)}
	var wg sync.WaitGroup
	var errModels error
	wg.Go(func() { r.Models, r.Scenes, errModels = d.keepModels(ctx, out) })
	for _, f := range drawn(out) {
		h, _, err := d.blobs.Put(ctx, bytes.NewReader(f.Data))
		if err != nil {
			wg.Wait()
			return "", err
		}
		r.Figures = append(r.Figures, FigureRef{Slot: f.Slot, MIME: f.MIME, Hash: h, W: f.W, H: f.H, Alt: f.Alt})
	}
	wg.Wait()
	if errModels != nil {
		return "", errModels
	}
	data, err := json.Marshal(r)
	if err != nil {
		return "", err
	}
	h, _, err := d.blobs.Put(ctx, bytes.NewReader(data))
	return h, err
}

func (d *Desk) end(ctx context.Context, t job.Task, a checkArgs, v ended) error {
	return d.finish(ctx, t, a, kindEnded, v)
}

// finish records how a check ended, together with the end of its task. Where the check
// was cancelled meanwhile, it stays cancelled.
func (d *Desk) finish(ctx context.Context, t job.Task, a checkArgs, kind string, body any) error {
	var n int64
	err := d.ledger.Change(ctx, func(tx *store.Tx) error {
		events, err := tx.Events(a.Case)
		if err != nil {
			return err
		}
		c, err := Replay(a.Case, events)
		if err != nil {
			return err
		}
		i := slices.IndexFunc(c.Checks, func(k Check) bool { return k.ID == a.Check })
		if i >= 0 && c.Checks[i].State == Waiting {
			e, err := tx.Add(a.Case, System, kind, body)
			if err != nil {
				return err
			}
			n = e.N
			if _, err := d.settle(tx, a.Case); err != nil {
				return err
			}
		}
		return t.Done(ctx, tx.SQL())
	})
	if err == nil {
		d.hub.Tell(news.Note{Case: a.Case, N: n})
	}
	return err
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
			lost := false
			for _, k := range c.Checks {
				if k.State != Waiting {
					continue
				}
				lost = true
				// WHY not taken from the queue: its number may be that of another check there.
				if _, err := tx.Add(r.Case, System, kindEnded, ended{Check: k.ID, How: Cancelled}); err != nil {
					return err
				}
			}
			if !lost {
				return nil
			}
			if err := d.ask(tx, r.Case, System, "", true); err != nil {
				return err
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
