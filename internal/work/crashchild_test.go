package work_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"time"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/store"
	"selvage/internal/store/folder"
	"selvage/internal/store/sqlite"
	"selvage/internal/watch"
	"selvage/internal/work"
)

// hands is how many people work at the same time.
const hands = 3

// busy is the program that is killed: it opens a store as the real one does, lets some
// hands work on it, and says on w what is done. It returns only when something fails.
func busy(dir string, seed uint64, w io.Writer) error {
	ctx := context.Background()
	db, err := sqlite.Open(ctx, filepath.Join(dir, "selvage.db"))
	if err != nil {
		return err
	}
	ledger := store.New(db, time.Now)
	old, err := ledger.Since(ctx, 0, 1)
	if err != nil {
		return err
	}
	key, err := keyOf(dir, len(old) == 0)
	if err != nil {
		return err
	}
	blobs, err := folder.Open(filepath.Join(dir, "blobs"), key)
	if err != nil {
		return err
	}
	d, err := work.Open(ctx, work.Options{Ledger: ledger, Blobs: slowDisk{blobs}, Workers: 1, Alone: true})
	if err != nil {
		return err
	}
	if err := d.Start(ctx); err != nil {
		return err
	}
	failed := make(chan error)
	out := lineWriter{w}
	go func() { failed <- sayEnds(ctx, d, out) }()
	if os.Getenv(crashDraw) != "" {
		if err := askAgain(ctx, d, out); err != nil {
			return err
		}
		return <-failed
	}
	for i := range hands {
		h := hand{d: d, out: out, rng: rand.New(rand.NewPCG(seed, uint64(i))), name: fmt.Sprintf("%x-%d", seed, i)}
		go func() { failed <- h.work(ctx) }()
	}
	return <-failed
}

// askAgain asks for a check of the case whose scans stay, and says which; of none where
// there is none.
func askAgain(ctx context.Context, d *work.Desk, out lineWriter) error {
	cases, err := d.Recent(ctx, 100)
	if err != nil {
		return err
	}
	for _, c := range cases {
		if c.Name != "P-0" {
			continue
		}
		id, err := d.Check(ctx, "hand", c.ID, finding.Final)
		if err != nil {
			return err
		}
		return out.say(ack{"asked", c.ID, id})
	}
	return out.say(ack{"none", "", ""})
}

// slowDisk keeps each blob a little later than the disk of a quiet machine would, so that
// the dozens that a check draws take a tenth of a second, in which a kill can come.
type slowDisk struct{ store.Blobs }

// Put waits and keeps what r holds.
func (s slowDisk) Put(ctx context.Context, r io.Reader) (store.Hash, int64, error) {
	time.Sleep(5 * time.Millisecond)
	return s.Blobs.Put(ctx, r)
}

// hand is somebody who works.
type hand struct {
	d    *work.Desk
	out  lineWriter
	rng  *rand.Rand
	name string
	n    int
}

func (h *hand) work(ctx context.Context) error {
	for {
		h.n++
		if err := h.step(ctx); err != nil {
			var p *work.Problem // another hand was quicker
			if !errors.As(err, &p) {
				return err
			}
		}
	}
}

// step does one thing and says so.
func (h *hand) step(ctx context.Context) error {
	what := fmt.Sprintf("%s-%d", h.name, h.n)
	cases, err := h.d.Recent(ctx, 100)
	if err != nil {
		return err
	}
	if len(cases) == 0 || h.rng.IntN(8) == 0 {
		id, err := h.d.NewCase(ctx, h.name, what, what)
		return h.said(err, ack{"case", id, what})
	}
	c := cases[h.rng.IntN(min(8, len(cases)))]
	if c.Name == "P-0" { // its scans stay, and its check is drawn
		if h.rng.IntN(3) > 0 {
			_, err := h.d.Check(ctx, h.name, c.ID, finding.Final)
			return h.said(err, ack{"asked", c.ID, ""})
		}
		return h.decide(ctx, cases, what)
	}
	switch h.rng.IntN(10) {
	case 0, 1, 2:
		return h.order(ctx, c, what)
	case 3, 4:
		_, err := h.d.Check(ctx, h.name, c.ID, finding.Final)
		return h.said(err, ack{"asked", c.ID, ""})
	case 5:
		return h.decide(ctx, cases, what)
	case 6:
		data := []byte(strings.Repeat(what, 50))
		file := watch.File{Mark: watch.Mark{Path: "f/working.stl", Size: int64(len(data))}, Name: "working.stl", Data: data}
		err := h.d.Deliver(ctx, "share", watch.Delivery{Folder: fmt.Sprint("f", h.rng.IntN(3)), Files: []watch.File{file}})
		return h.said(err, ack{"delivered", "", string(store.HashOf(data))})
	}
	return h.scans(ctx, c, what)
}

func (h *hand) order(ctx context.Context, c work.Case, what string) error {
	err := h.d.SetOrder(ctx, h.name, c.ID, func(o *casefile.Case) error {
		o.Patient.Reference = what
		return name26(o)
	})
	return h.said(err, ack{"order", c.ID, what})
}

// scans adds one or two files: mostly such as no check can use, so that it ends quickly.
func (h *hand) scans(ctx context.Context, c work.Case, what string) error {
	data := [][]byte{bytes.Repeat([]byte(what+" "), 1+h.rng.IntN(3000)), []byte(what)}
	if h.rng.IntN(12) == 0 {
		data[0] = solid(what)
	}
	in := []work.Incoming{{Name: "working.stl", Data: bytes.NewReader(data[0])}, {Name: "note.stl", Data: bytes.NewReader(data[1])}}
	n := 1 + h.rng.IntN(2)
	err := h.d.AddScans(ctx, h.name, c.ID, in[:n])
	for _, b := range data[:n] {
		if err := h.said(err, ack{"scan", c.ID, string(store.HashOf(b))}); err != nil {
			return err
		}
	}
	return nil
}

func (h *hand) decide(ctx context.Context, cases []work.Case, what string) error {
	for _, c := range cases {
		if k, ok := c.Current(); ok && k.State == work.Done {
			err := h.d.Decide(ctx, h.name, c.ID, "", work.Accept, what)
			return h.said(err, ack{"decided", c.ID, what})
		}
	}
	return nil
}

func (h *hand) said(err error, a ack) error {
	if err != nil {
		return err
	}
	return h.out.say(a)
}

// sayEnds says which checks have ended, as soon as a page could show it.
func sayEnds(ctx context.Context, d *work.Desk, out lineWriter) error {
	notes, stop := d.Listen("")
	defer stop()
	known := map[string]bool{}
	for n := range notes {
		if n.N == 0 {
			continue
		}
		c, err := d.Case(ctx, n.Case)
		if err != nil {
			return err
		}
		for _, k := range c.Checks {
			if k.State != work.Waiting && !known[k.ID] {
				known[k.ID] = true
				if err := out.say(ack{"ended", c.ID, k.ID + " " + string(k.State)}); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// writeLE writes three numbers as a binary STL holds them.
func writeLE(b *bytes.Buffer, v [3]float32) {
	if err := binary.Write(b, binary.LittleEndian, v); err != nil {
		panic(err)
	}
}
