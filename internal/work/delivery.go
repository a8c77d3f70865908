package work

import (
	"bytes"
	"context"
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"selvage/internal/news"
	"selvage/internal/store"
	"selvage/internal/watch"
)

// The kinds of events of a watched folder.
const (
	kindDelivered  = "files-delivered" // delivered; of the case that they went to
	kindWatchBegun = "watch-begun"     // watchBegun; of no case
)

type delivered struct {
	Watched string          `json:"watched"`          // the folder
	Folder  string          `json:"folder,omitempty"` // below it
	Files   []deliveredFile `json:"files"`
}

type deliveredFile struct {
	watch.Mark
	Hash store.Hash `json:"file"`
}

type watchBegun struct {
	Watched string `json:"watched"`
}

// sameVisit is how long after its last change a case can be the one that is open at the
// chair.
const sameVisit = 4 * time.Hour

// looked is how many cases a delivery is held against, the one that changed last first.
const looked = 200

// Watched returns when a folder was first watched, which is now where it never was, and
// what was taken from it.
func (d *Desk) Watched(ctx context.Context, dir string) (begun time.Time, taken []watch.Mark, err error) {
	events, err := d.ledger.OfKind(ctx, kindDelivered)
	if err != nil {
		return begun, nil, err
	}
	for _, e := range events {
		if err := read(e, func(v delivered) {
			for _, f := range v.Files {
				if v.Watched == dir {
					taken = append(taken, f.Mark)
				}
			}
		}); err != nil {
			return begun, nil, err
		}
	}
	if events, err = d.ledger.OfKind(ctx, kindWatchBegun); err != nil {
		return begun, nil, err
	}
	for _, e := range events {
		var v watchBegun
		if err := e.Decode(&v); err != nil || v.Watched == dir {
			return e.At, taken, err
		}
	}
	err = d.ledger.Change(ctx, func(tx *store.Tx) error {
		e, err := tx.Add("", System, kindWatchBegun, watchBegun{Watched: dir})
		begun = e.At
		return err
	})
	return begun, taken, err
}

// Deliver adds what arrived in a watched folder to the case that it belongs to, and opens
// one where there is none; see [Desk.caseFor]. A file that the case holds is left alone; a
// newer one of the same name takes the place of the older one, which stays in the case,
// left out. It may be called again for a delivery of which it is not known whether it was
// taken.
func (d *Desk) Deliver(ctx context.Context, dir string, in watch.Delivery) error {
	scans := make([]Scan, len(in.Files))
	event := delivered{Watched: dir, Folder: in.Folder}
	for i, f := range in.Files {
		h, n, err := d.blobs.Put(ctx, bytes.NewReader(f.Data))
		if err != nil {
			return err
		}
		scans[i] = Scan{ID: newID(), Name: shownName(f.Name), Hash: h, Size: n}
		event.Files = append(event.Files, deliveredFile{f.Mark, h})
	}
	id, err := d.caseFor(ctx, dir, in.Folder, scans)
	if err != nil {
		return err
	}
	return d.change(ctx, id, System, func(tx *store.Tx, c Case) error {
		if _, err := tx.Add(id, System, kindDelivered, event); err != nil {
			return err
		}
		nameRoles(scans, c)
		for i, s := range scans {
			if slices.ContainsFunc(scans[:i], func(o Scan) bool { return o.Hash == s.Hash }) {
				continue
			}
			if err := putInPlace(tx, c, s); err != nil {
				return err
			}
		}
		return nil
	})
}

// putInPlace adds a scan to a case that does not hold it. What was said of the older one
// of its name holds for it, too.
func putInPlace(tx *store.Tx, c Case, s Scan) error {
	if slices.ContainsFunc(c.Scans, func(o Scan) bool { return o.Hash == s.Hash }) {
		return nil
	}
	for _, o := range c.Used() {
		if o.Name != s.Name {
			continue
		}
		if o.Given {
			s.Role, s.Given = o.Role, true
		}
		if _, err := tx.Add(c.ID, System, kindLeftOut, scanRef{Scan: o.ID}); err != nil {
			return err
		}
	}
	_, err := tx.Add(c.ID, System, kindScan, s)
	return err
}

// caseFor finds the case that a delivery belongs to, or opens one. The first that holds
// decides, looking at the case that changed last first:
//
//  1. an earlier delivery from the same folder below the watched one went to it, and it is
//     not signed: what comes after a signature may be of the next patient;
//  2. it holds one of the files already, byte for byte;
//  3. it is not signed, and its name or its patient's reference is that of the folder;
//  4. the files lie in the watched folder itself, which tells no case from another, and
//     the last case that changed was changed within four hours, is not signed, and holds
//     a file of the same name.
//
// WHY nothing weaker: a scan in another patient's case is worse than a case too many.
func (d *Desk) caseFor(ctx context.Context, dir, folder string, scans []Scan) (string, error) {
	cases, err := d.Recent(ctx, looked)
	if err != nil {
		return "", err
	}
	tests := []func(Case) bool{
		func(c Case) bool {
			return folder != "" && !c.signed() && slices.Contains(c.From, filepath.Join(dir, folder))
		},
		func(c Case) bool { return slices.ContainsFunc(scans, func(s Scan) bool { return holds(c, s.Hash) }) },
		func(c Case) bool {
			return folder != "" && !c.signed() && (strings.EqualFold(c.Name, folder) || strings.EqualFold(c.Order.Patient.Reference, folder))
		},
	}
	for _, test := range tests {
		if i := slices.IndexFunc(cases, test); i >= 0 {
			return cases[i].ID, nil
		}
	}
	if folder == "" && len(cases) > 0 && !cases[0].signed() && time.Since(cases[0].Changed) < sameVisit && slices.ContainsFunc(scans, func(s Scan) bool { return named(cases[0], s.Name) }) {
		return cases[0].ID, nil
	}
	key := "delivery"
	for _, s := range scans {
		key += " " + string(s.Hash)
	}
	return d.NewCase(ctx, System, shownFolder(folder), key)
}

func (c Case) signed() bool {
	_, yes := c.Signature()
	return yes
}

func holds(c Case, h store.Hash) bool {
	return slices.ContainsFunc(c.Scans, func(s Scan) bool { return s.Hash == h })
}

func named(c Case, name string) bool {
	return slices.ContainsFunc(c.Scans, func(s Scan) bool { return s.Name == name })
}

// shownFolder is the name of a case that a folder gives it.
func shownFolder(folder string) string {
	if folder == "" {
		return ""
	}
	return shownName(folder)
}

// WatchState says how it stands with the watched folder.
type WatchState struct {
	Dir     string
	Gone    bool   // it cannot be read
	Trouble string // why nothing can be taken from it; empty: all is well
}

// Watching returns how it stands with the watched folder, and whether there is one.
func (d *Desk) Watching() (WatchState, bool) {
	if s := d.watch.Load(); s != nil {
		return *s, true
	}
	return WatchState{}, false
}

// Watch takes what arrives in a folder until ctx ends. say is told, once each, why nothing
// can be taken from it, and with an empty text that it can be again.
func (d *Desk) Watch(ctx context.Context, dir string, say func(string)) error {
	begun, taken, err := d.Watched(ctx, dir)
	if err != nil {
		return err
	}
	d.watch.Store(&WatchState{Dir: dir})
	watch.New(watch.Options{
		Dir: dir, Begun: begun, Taken: taken,
		Take: func(ctx context.Context, in watch.Delivery) error { return d.Deliver(ctx, dir, in) },
		Say: func(err error) {
			s := WatchState{Dir: dir}
			if err != nil {
				var gone *watch.GoneError
				s.Gone, s.Trouble = errors.As(err, &gone), err.Error()
			}
			d.watch.Store(&s)
			d.hub.Tell(news.Note{})
			say(s.Trouble)
		},
	}).Run(ctx)
	return nil
}
