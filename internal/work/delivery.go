package work

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"selvage/internal/casefile"
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
		scans[i] = Scan{ID: newID(), Name: casefile.ShownName(f.Name), Hash: h, Size: n}
		event.Files = append(event.Files, deliveredFile{f.Mark, h})
	}
	for {
		id, err := d.caseFor(ctx, dir, in.Folder, scans)
		if err != nil {
			return err
		}
		if err := d.deliverTo(ctx, id, scans, event); !errors.Is(err, errSigned) {
			return err
		}
	}
}

// errSigned says that a case was signed after it was found to be that of a delivery.
var errSigned = errors.New("the case was signed meanwhile")

func (d *Desk) deliverTo(ctx context.Context, id string, scans []Scan, event delivered) error {
	return d.change(ctx, id, System, func(tx *store.Tx, c Case) error {
		if c.signed() && !slices.ContainsFunc(scans, func(s Scan) bool { return holds(c, s.Hash) }) {
			return errSigned
		}
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
	cases = slices.DeleteFunc(cases, func(c Case) bool { return c.Keeping.Deleted != nil })
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
	return casefile.ShownName(folder)
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

// WatchChange is a change of the watched folder.
type WatchChange struct {
	Dir string `json:"dir,omitempty"` // empty: none is watched
	Was string `json:"was,omitempty"`
}

// SetWatch says from which folder scans are taken, at once and after every start; an empty
// one says that none is watched. The folder must be there and readable.
func (d *Desk) SetWatch(ctx context.Context, actor, dir string) error {
	dir = strings.TrimSpace(dir)
	if dir != "" {
		if err := d.watchable(dir); err != nil {
			return err
		}
		dir = filepath.Clean(dir)
	}
	was := ""
	if st, yes := d.Watching(); yes {
		was = st.Dir
	}
	return d.settled(ctx, func(tx *store.Tx, _ *practice) error {
		if dir == was {
			return nil
		}
		_, err := tx.Add("", actor, kindWatch, WatchChange{Dir: dir, Was: was})
		return err
	})
}

// watchable says why nothing can be taken from a folder.
func (d *Desk) watchable(dir string) error {
	if !filepath.IsAbs(dir) {
		return &Problem{What: "%s is no whole path", About: dir, Try: `write it from the beginning: /srv/export or D:\export`}
	}
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return &Problem{What: "there is no folder %s on the computer that Selvage runs on", About: dir, Try: "make it first, or look how it is written"}
	case errors.Is(err, fs.ErrPermission):
		return &Problem{What: "the folder %s may not be read", About: dir, Try: "let the user that Selvage runs as read it"}
	case err != nil:
		return &Problem{What: "the folder %s cannot be read", About: dir, Try: "look whether the network drive is connected"}
	case !info.IsDir():
		return &Problem{What: "%s is a file", About: dir, Try: "name the folder that it lies in"}
	case filepath.Dir(filepath.Clean(dir)) == filepath.Clean(dir):
		return &Problem{What: "%s is a whole drive", About: dir, Try: "name the folder that the scanner exports to"}
	}
	if _, err := os.ReadDir(dir); err != nil {
		return &Problem{What: "the folder %s may not be read", About: dir, Try: "let the user that Selvage runs as read it"}
	}
	for _, own := range d.own {
		if watch.Within(dir, own) || watch.Within(own, dir) {
			return &Problem{What: "%s and the folder of the cases lie in one another", About: dir, Try: "name the folder that the scanner exports to"}
		}
	}
	return nil
}

// WatchHistory returns the changes of the watched folder, the last first.
func (d *Desk) WatchHistory(ctx context.Context) ([]Signed[WatchChange], error) {
	return historyOf[WatchChange](ctx, d, kindWatch)
}

// ToWatch returns the folder to watch where the program was started with given: the one
// that was set last, if one ever was.
func (d *Desk) ToWatch(given string) string {
	d.practice.mu.Lock()
	defer d.practice.mu.Unlock()
	if w := d.practice.watch; w != nil {
		return w.Dir
	}
	return given
}

// WatchSet watches the folder that is set, or given where none was ever set, and another
// as soon as that is set, until ctx ends.
func (d *Desk) WatchSet(ctx context.Context, given string, say func(string)) error {
	for ctx.Err() == nil {
		dir := d.ToWatch(given)
		one, stop := context.WithCancel(ctx)
		ended := make(chan error, 1)
		if dir == "" {
			d.watch.Store(nil)
			d.hub.Tell(news.Note{})
			ended = nil
		} else {
			go func() { ended <- d.Watch(one, dir, say) }()
		}
		for d.ToWatch(given) == dir && ctx.Err() == nil {
			select {
			case <-ctx.Done():
				if ended != nil {
					<-ended
				}
			case <-d.practice.watchChanged: // WHY the one before is not waited for: its share may hang
			case err := <-ended:
				if err != nil && ctx.Err() == nil {
					stop()
					return err
				}
			}
		}
		stop()
	}
	return nil
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
			if ctx.Err() != nil {
				return // another folder is watched now
			}
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
