package backup

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"selvage/internal/store/folder"
)

// Target is where a back-up is restored to.
type Target struct {
	Dir      string // a folder that holds nothing
	Database string // the database's name in it
	Blobs    string // the name of the folder of blobs in it
	Key      *folder.Key
	Named    Named
	Damaged  bool // restore what is whole where some is not
}

// DamagedError names what of a back-up cannot be restored.
type DamagedError struct{ Missing []NotThere }

// named is how many damaged files are named in one line.
const named = 5

// Error returns one line.
func (e *DamagedError) Error() string {
	var parts []string
	for i, m := range e.Missing {
		if i == named {
			parts = append(parts, fmt.Sprintf("and %d more", len(e.Missing)-named))
			break
		}
		parts = append(parts, fmt.Sprintf("%s (%s: %s)", m.What, m.Hash[:12], m.Why))
	}
	return strings.Join(parts, ", ")
}

// Restore makes an installation of the back-up in a folder. Nothing is left in the target
// where it fails. Everything is verified: the ledger's chain, its end against the list,
// and that each blob that an event names opens with the key to what its hash says.
func Restore(ctx context.Context, from string, t Target) (d Done, err error) {
	l, err := readList(from)
	if errors.Is(err, fs.ErrNotExist) {
		return d, &Problem{Where: from, What: "the folder holds no back-up: its " + ListName + " is not there", Try: "the folder that was given to selvage backup --to", Err: err}
	}
	if err != nil {
		return d, err
	}
	if l.Key != t.Key.ID() {
		return d, &Problem{Where: from, What: "the back-up was made with another key (its id begins with " + short(l.Key) + ", that of this key with " + short(t.Key.ID()) + ")", Try: "the right key from the back-up of the keys, with --keys"}
	}
	if none, err := empty(t.Dir); err != nil || !none {
		return d, &Problem{Where: t.Dir, What: "the folder holds something already, and nothing is written over", Try: "a new folder", Err: err}
	}
	if err := os.MkdirAll(t.Dir, 0o700); err != nil {
		return d, writing(t.Dir, err)
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, clearOut(t.Dir))
		}
	}()
	return restore(ctx, from, l, t)
}

func restore(ctx context.Context, from string, l List, t Target) (Done, error) {
	d := Done{List: List{Format: l.Format, Version: l.Version, Made: l.Made, Key: l.Key, Database: l.Database}}
	half := filepath.Join(t.Dir, unready+t.Database)
	if err := takeDatabase(from, l.Database, half); err != nil {
		return d, writing(t.Dir, err)
	}
	m := &maker{from: folder.View(filepath.Join(from, blobsName), t.Key), named: t.Named, done: &d}
	if err := m.events(ctx, half); err != nil {
		return d, writing(t.Dir, err)
	}
	if d.Events != l.Events || d.End != l.End {
		return d, &Problem{Where: from, What: fmt.Sprintf("the ledger ends at event %d, and the list says %d: they do not belong together", d.Events, l.Events), Try: "another back-up"}
	}
	var err error
	if m.to, err = folder.Open(filepath.Join(t.Dir, t.Blobs), t.Key); err != nil {
		return d, writing(t.Dir, err)
	}
	if err := m.blobs(ctx, false); err != nil {
		return d, writing(t.Dir, err)
	}
	for i, m := range d.Missing { // what was missing from the beginning has its reason in the list
		if j := slices.IndexFunc(l.Missing, func(o NotThere) bool { return o.Hash == m.Hash }); j >= 0 {
			d.Missing[i].Why = "it was not backed up: " + l.Missing[j].Why
		}
	}
	if len(d.Missing) > 0 && !t.Damaged {
		e := &DamagedError{d.Missing}
		return d, &Problem{Where: from, What: fmt.Sprintf("%d of %d files are damaged or missing: %s", len(d.Missing), len(m.order), e), Try: "another back-up, or --damaged to restore all but these", Err: e}
	}
	return d, writing(t.Dir, folder.Settle(half, filepath.Join(t.Dir, t.Database)))
}

// takeDatabase copies the database of a back-up and compares it with the list.
func takeDatabase(from string, want Database, to string) error {
	bad := func(why string, err error) error {
		return &Problem{Where: filepath.Join(from, filepath.Base(want.File)), What: "the copy of the cases " + why, Try: "another back-up", Err: err}
	}
	in, err := os.Open(filepath.Join(from, filepath.Base(want.File)))
	if err != nil {
		return bad("cannot be read: "+err.Error(), err)
	}
	defer in.Close()
	if err := folder.WriteWhole(to, func(f *os.File) error {
		_, err := io.Copy(f, in)
		return err
	}); err != nil {
		return err
	}
	n, sum, err := sumOf(to)
	if err != nil {
		return err
	}
	if n != want.Size || sum != want.Sum {
		return bad("is damaged: it is not what the list says", nil)
	}
	return nil
}

// clearOut removes what was made in a folder that held nothing.
func clearOut(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	for _, e := range entries {
		err = errors.Join(err, os.RemoveAll(filepath.Join(dir, e.Name())))
	}
	return err
}

func short(id string) string {
	if len(id) > 6 {
		return id[:6]
	}
	return id
}
