package work

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"runtime/debug"
	"sync"
	"time"

	"selvage/finding"
	"selvage/internal/check"
	"selvage/internal/job"
	"selvage/internal/packed"
	"selvage/internal/report"
	"selvage/internal/store"
)

// Shown is what is drawn of a check after its verdict is out: the hashes of its pictures
// and surfaces. It is stored as JSON.
type Shown struct {
	Figures []FigureRef    `json:"figures"`
	Models  []ModelRef     `json:"models"`
	Scenes  []packed.Scene `json:"scenes"` // by restoration; without a surface where no scan shows it
}

// Why nothing is shown of a check, as the ledger holds it.
const (
	UnshownNewer   = "newer"   // something newer came
	UnshownAnother = "another" // this version of the program would say something else
	UnshownSpent   = "spent"   // the program died each time it drew
	UnshownLost    = "lost"    // the cases were moved to another database meanwhile
	UnshownLate    = "late"    // it was not done in time
	UnshownFailed  = "failed"  // the program failed
)

// show draws a check whose verdict is out and records what is drawn. It may be called
// twice for one check; the second time finds it shown. out is nil where the program died
// between the two: then the check is made again from what the stored result names, and
// drawn only if it says the same.
func (d *Desk) show(ctx context.Context, t job.Task, a checkArgs, c Case, k Check, out *check.Outcome) error {
	end := func(v shown) error {
		v.Check = k.ID
		return d.finish(context.WithoutCancel(ctx), t, a, kindShown, v)
	}
	basis, err := c.basis(k.Stage)
	switch {
	case err != nil:
		return err
	case basis != k.Of:
		return end(shown{What: UnshownNewer})
	case t.Spent:
		return end(shown{What: UnshownSpent})
	}
	h, err := d.draw(ctx, c, k, out)
	if err == nil {
		if err = end(shown{Shown: h}); !errors.Is(err, errTaken) {
			return err
		}
	}
	switch {
	case errors.Is(err, errAnother):
		return end(shown{What: UnshownAnother})
	case errors.Is(ctx.Err(), context.DeadlineExceeded):
		return end(shown{What: UnshownLate})
	case t.Last && ctx.Err() == nil && !isTrouble(err):
		return errors.Join(err, end(shown{What: UnshownFailed}))
	}
	return err
}

// errAnother says that a check that was made again says something else.
var errAnother = errors.New("the check says something else now")

// draw stores the pictures and surfaces of a check and returns the hash of the whole.
func (d *Desk) draw(ctx context.Context, c Case, k Check, out *check.Outcome) (store.Hash, error) {
	if out == nil {
		again, err := d.remake(ctx, c, k)
		if err != nil {
			return "", err
		}
		out = &again
	}
	var s Shown
	var wg sync.WaitGroup
	var errFigures, errModels error
	wg.Go(func() {
		errModels = caught(func() (err error) { s.Models, s.Scenes, err = d.keepModels(ctx, *out); return err })
	})
	wg.Go(func() {
		errFigures = caught(func() (err error) { s.Figures, err = d.keepFigures(ctx, *out); return err })
	})
	ended := make(chan struct{})
	go func() { wg.Wait(); close(ended) }()
	select {
	case <-ended:
	case <-ctx.Done(): // a newer check waits for this worker; what is still drawn is not stored
		return "", ctx.Err()
	}
	if err := errors.Join(errFigures, errModels); err != nil {
		return "", err
	}
	data, err := json.Marshal(s)
	if err != nil {
		return "", err
	}
	return d.put(ctx, data)
}

// drawPatience is how long whoever needs the pictures of a check waits for them.
const drawPatience = 30 * time.Second

// WhenDrawn waits until a check is drawn, or is found not to be.
func (d *Desk) WhenDrawn(ctx context.Context, id string, k Check) (Check, error) {
	ctx, stop := context.WithTimeout(ctx, drawPatience)
	defer stop()
	news, quiet := d.Listen(id)
	defer quiet()
	for k.Drawing {
		c, err := d.Case(ctx, id)
		if err != nil {
			return k, err
		}
		if now, ok := c.find(k.ID); ok && !now.Drawing {
			return now, nil
		}
		select {
		case <-news:
		case <-ctx.Done():
			return k, &Problem{What: "the pictures of the check are still being drawn", Try: "try again in a moment"}
		}
	}
	return k, nil
}

// caught runs f and turns a panic into an error: it runs where nobody else would catch it.
func caught(f func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%v\n%s", p, debug.Stack())
		}
	}()
	return f()
}

// keepFigures draws the pictures of a check and stores them.
func (d *Desk) keepFigures(ctx context.Context, out check.Outcome) ([]FigureRef, error) {
	var refs []FigureRef
	for _, f := range drawn(out) {
		h, err := d.put(ctx, f.Data)
		if err != nil {
			return nil, err
		}
		refs = append(refs, FigureRef{Slot: f.Slot, MIME: f.MIME, Hash: h, W: f.W, H: f.H, Alt: f.Alt})
	}
	return refs, nil
}

// put stores bytes, unless nobody waits for them any more.
func (d *Desk) put(ctx context.Context, data []byte) (store.Hash, error) {
	if err := ctx.Err(); err != nil {
		return "", err
	}
	h, _, err := d.blobs.Put(ctx, bytes.NewReader(data))
	return h, err
}

// remake makes a finished check once more, from what it was made from.
func (d *Desk) remake(ctx context.Context, c Case, k Check) (check.Outcome, error) {
	data, err := d.blobs.Get(ctx, k.Result)
	if err != nil {
		return check.Outcome{}, err
	}
	was, err := decodeResult(data)
	if err != nil {
		return check.Outcome{}, err
	}
	in := check.Input{Case: was.Case, Stage: k.Stage, Limits: was.Limits}
	if in.Files, err = d.files(ctx, c); err != nil {
		return check.Outcome{}, err
	}
	out, err := check.Run(ctx, in, nil)
	if err != nil {
		return out, err
	}
	rep, err := out.Report.Encode()
	if err != nil {
		return out, err
	}
	now, err := json.Marshal(json.RawMessage(rep)) // spaced as the stored one is
	if err == nil && !bytes.Equal(now, was.Report) {
		err = errAnother
	}
	return out, err
}

// keepModels stores the surfaces of a check for the browser, each with a coarse twin
// where it is large, and describes the scene of every restoration.
func (d *Desk) keepModels(ctx context.Context, out check.Outcome) ([]ModelRef, []packed.Scene, error) {
	var models []ModelRef
	var scenes []packed.Scene
	put := func(ref ModelRef, data []byte) error {
		var err error
		ref.Hash, err = d.put(ctx, data)
		models = append(models, ref)
		return err
	}
	for r := range out.Scene.Restorations {
		scene, ok := packed.SceneOf(out, r, packed.Site{
			Address: func(role finding.Role, coarse bool) string { return modelAddress(r, role, coarse) },
			Number:  report.Numbering(out.Report),
			Point:   fmt.Sprintf("point?restoration=%d&role={role}&x={x}&y={y}&z={z}", r),
		})
		scenes = append(scenes, scene)
		if !ok {
			continue
		}
		for i, s := range packed.Scans(out, r) {
			ref := ModelRef{Restoration: r, Role: s.Role}
			if err := put(ref, packed.Encode(s.Mesh, s.Values)); err != nil {
				return nil, nil, err
			}
			if scene.Surfaces[i].Coarse == "" {
				continue
			}
			ref.Coarse = true
			m, values := packed.Coarse(s.Mesh, s.Values, packed.CoarseTarget)
			if err := put(ref, packed.Encode(m, values)); err != nil {
				return nil, nil, err
			}
		}
	}
	return models, scenes, nil
}

func modelAddress(restoration int, role finding.Role, coarse bool) string {
	how := "fine"
	if coarse {
		how = "coarse"
	}
	return fmt.Sprintf("model/%d/%s/%s", restoration, role, how)
}

// Model returns the bytes of a surface of a result, by the address that its scene names.
func (d *Desk) Model(ctx context.Context, r Result, restoration int, role finding.Role, coarse bool) ([]byte, error) {
	for _, m := range r.Models {
		if m.Restoration == restoration && m.Role == role && m.Coarse == coarse {
			return d.blobs.Get(ctx, m.Hash)
		}
	}
	return nil, store.ErrNoBlob
}

// near is how far from a vertex a place still has its value, mm.
const near = 0.5

// Values returns what was measured at a place on the prepared tooth, in mm by the name of
// the value, as it was stored with the check: at the nearest vertex. It is empty where
// nothing was measured. Cost: one pass over the vertices.
func (d *Desk) Values(ctx context.Context, r Result, restoration int, role finding.Role, at [3]float64) (map[string]float64, error) {
	out := map[string]float64{}
	data, err := d.Model(ctx, r, restoration, role, false)
	if err != nil {
		return out, err
	}
	s, err := packed.Decode(data)
	if err != nil {
		return out, err
	}
	best, where := near*near, -1
	for i, p := range s.Mesh.Pos {
		x, y, z := p.X-at[0], p.Y-at[1], p.Z-at[2]
		if q := x*x + y*y + z*z; q < best {
			best, where = q, i
		}
	}
	if where < 0 {
		return out, nil
	}
	for _, v := range s.Values {
		if !math.IsNaN(v.Of[where]) {
			out[v.Name] = v.Of[where]
		}
	}
	return out, nil
}
