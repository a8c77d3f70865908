package backup

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"selvage/internal/store"
	"selvage/internal/store/folder"
	"selvage/internal/store/sqlite"
)

// Named lists the blobs that an event names, each with words for a person, and without
// words those that it says were deleted. get reads one.
type Named func(e store.Event, get func(store.Hash) ([]byte, error)) (map[store.Hash]string, error)

// Source is what is backed up.
type Source struct {
	Ledger Ledger
	Blobs  Blobs
	Key    *folder.Key
	Named  Named
	Now    func() time.Time
}

// Ledger is a database that can be copied while it is in use.
type Ledger interface {
	// Copy writes one moment of it, whole, into a file that is not there, as SQLite.
	Copy(ctx context.Context, to string) error
}

// Blobs are kept sealed.
type Blobs interface {
	folder.Sealer
	Get(ctx context.Context, h store.Hash) ([]byte, error)
}

// File is the ledger in a file of SQLite.
type File string

// Copy copies the file.
func (f File) Copy(ctx context.Context, to string) error {
	return sqlite.Copy(ctx, string(f), to)
}

func (f File) there() error {
	if _, err := os.Stat(string(f)); err != nil {
		return &Problem{Where: string(f), What: "there are no cases to back up", Try: "--data with the folder that selvage serve uses", Err: err}
	}
	return nil
}

// Done says what a back-up or its restoring did.
type Done struct {
	List
	Copied int   // files that were copied
	Bytes  int64 // of them
	Proved int   // files that were read again and are what they were
}

// Make brings the back-up in a folder up to date with a source, which may be in use. What
// was copied is read again at its end; all says that what was copied before is read, too.
// Where files are damaged or gone in the source, the rest is backed up and they are named
// in the list; a sound copy from before stays.
func Make(ctx context.Context, s Source, to string, all bool) (Done, error) {
	old, err := begin(s, to)
	if err != nil {
		return Done{}, err
	}
	d := Done{List: List{Format: formatName, Version: formatNow, Made: s.Now().UTC().Truncate(time.Second), Key: s.Key.ID()}}
	if d.Database.File, err = copyDatabase(ctx, s.Ledger, to); err != nil {
		return d, err
	}
	path := filepath.Join(to, d.Database.File)
	m := &maker{from: s.Blobs, named: s.Named, done: &d, old: old}
	if m.to, err = folder.Open(filepath.Join(to, blobsName), s.Key); err != nil {
		return d, writing(to, err)
	}
	if err := m.events(ctx, path); errors.Is(err, errOther) {
		return d, errors.Join(&Problem{
			Where: to, What: "the back-up there is of other cases, or holds some that are not here any more",
			Try: "another folder; or, if cases are missing here, restore from that one first",
		}, os.Remove(path))
	} else if err != nil {
		return d, writing(to, err)
	}
	if err := m.blobs(ctx, all); err != nil {
		return d, writing(to, err)
	}
	if d.Database.Size, d.Database.Sum, err = sumOf(path); err != nil {
		return d, writing(to, err)
	}
	if err := d.write(to); err != nil {
		return d, writing(to, err)
	}
	if err := m.sweep(ctx); err != nil {
		return d, writing(to, err)
	}
	return d, forget(to, d.Database.File)
}

// begin looks at the folder and returns the list of what it holds.
func begin(s Source, to string) (List, error) {
	if f, ok := s.Ledger.(File); ok { // before a folder is made for it
		if err := f.there(); err != nil {
			return List{}, err
		}
	}
	if err := os.MkdirAll(to, 0o700); err != nil {
		return List{}, writing(to, err)
	}
	old, err := readList(to)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		none, err := empty(to)
		if err != nil {
			return List{}, writing(to, err)
		}
		if !none && !begun(to) {
			return List{}, &Problem{Where: to, What: "the folder holds something that is no back-up", Try: "an empty folder"}
		}
		return List{}, nil
	case err != nil:
		return old, err
	case old.Key != s.Key.ID():
		return old, &Problem{Where: to, What: "the back-up there was made with another key", Try: "the right key with --keys, or another folder"}
	}
	return old, nil
}

// begun reports whether a folder without a list holds what an interrupted back-up leaves.
func begun(to string) bool {
	entries, err := os.ReadDir(to)
	return err == nil && !slices.ContainsFunc(entries, func(e fs.DirEntry) bool {
		return e.Name() != blobsName && !ours(e.Name())
	})
}

// The name of a copy of the database begins and ends so.
const (
	copyBegin = "cases-"
	copyEnd   = ".db"
	unready   = "unfinished-"
)

func ours(name string) bool {
	return strings.HasPrefix(name, unready) || strings.HasPrefix(name, copyBegin) && strings.HasSuffix(name, copyEnd)
}

// copyDatabase copies the database under a new name, so that the list from before goes on
// naming its own until the new one is written.
func copyDatabase(ctx context.Context, from Ledger, to string) (name string, err error) {
	for n := 1; ; n++ {
		name = fmt.Sprintf("%s%06d%s", copyBegin, n, copyEnd)
		if _, err := os.Stat(filepath.Join(to, name)); errors.Is(err, fs.ErrNotExist) {
			break
		}
	}
	half := filepath.Join(to, unready+name)
	if err := os.Remove(half); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", writing(to, err)
	}
	defer func() {
		if err != nil {
			_ = os.Remove(half) // the error that counts is already known
		}
	}()
	if err := from.Copy(ctx, half); err != nil {
		return "", writing(to, err)
	}
	if err := folder.Settle(half, filepath.Join(to, name)); err != nil {
		return "", writing(to, err)
	}
	return name, nil
}

// forget removes the databases that the list no longer names.
func forget(to, keep string) error {
	entries, err := os.ReadDir(to)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if ours(e.Name()) && e.Name() != keep {
			if err := os.Remove(filepath.Join(to, e.Name())); err != nil {
				return writing(to, err)
			}
		}
	}
	return nil
}

// maker copies blobs from one folder to another.
type maker struct {
	from  Blobs
	to    *folder.Blobs
	named Named
	done  *Done
	old   List                  // what the folder held before
	want  map[store.Hash]string // what is named, in words
	order []store.Hash
}

// events verifies the ledger in a copy of the database and notes what its events name.
func (m *maker) events(ctx context.Context, path string) (err error) {
	db, err := sqlite.View(path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	l := store.New(db, nil)
	m.done.Events, m.done.End, err = l.VerifyEnd(ctx)
	var broken *store.BrokenChainError
	if errors.As(err, &broken) {
		return &Problem{Where: path, What: broken.Error(), Try: "an older back-up, and have the disk looked at", Err: err}
	}
	if err != nil {
		return err
	}
	m.want = map[store.Hash]string{}
	seq, err := m.before(ctx, l)
	if err != nil {
		return err
	}
	for {
		batch, err := l.Since(ctx, seq, 1000)
		if err != nil || len(batch) == 0 {
			return err
		}
		for _, e := range batch {
			if err := m.note(ctx, e); err != nil {
				return err
			}
		}
		seq = batch[len(batch)-1].Seq
	}
}

// errOther says that a ledger does not go on from the one that a back-up holds.
var errOther = errors.New("backup: not the same ledger")

// before notes what the list from before holds and returns the event up to which that is
// all that is named: none, where it was not whole.
func (m *maker) before(ctx context.Context, l *store.Ledger) (int64, error) {
	if m.old.Events == 0 {
		return 0, nil
	}
	last, err := l.Since(ctx, m.old.Events-1, 1)
	switch {
	case err != nil:
		return 0, err
	case len(last) == 0 || last[0].Hash != m.old.End:
		return 0, errOther
	case len(m.old.Missing) > 0:
		return 0, nil
	}
	for _, b := range m.old.Blobs {
		m.add(b.Hash, "a stored file")
	}
	return m.old.Events, nil
}

func (m *maker) add(h store.Hash, what string) {
	if _, known := m.want[h]; !known && h.Valid() {
		m.want[h] = what
		m.order = append(m.order, h)
	}
}

// note notes what one event names. A result that cannot be read is found again when it
// is copied.
func (m *maker) note(ctx context.Context, e store.Event) error {
	names, err := m.named(e, func(h store.Hash) ([]byte, error) {
		data, err := m.from.Get(ctx, h)
		if err != nil && m.to != nil {
			if kept, kerr := m.to.Get(ctx, h); kerr == nil { // from a back-up before
				return kept, nil
			}
		}
		return data, err
	})
	var corrupt *store.CorruptError
	if err != nil && !errors.As(err, &corrupt) && !errors.Is(err, store.ErrNoBlob) {
		return err
	}
	for h, what := range names {
		if what == "" {
			m.drop(h)
			continue
		}
		m.add(h, what)
	}
	return nil
}

// drop forgets what was deleted.
func (m *maker) drop(h store.Hash) {
	delete(m.want, h)
	m.order = slices.DeleteFunc(m.order, func(o store.Hash) bool { return o == h })
}

// sweep removes from the back-up what the list does not name: what was deleted. WHY all that
// lies there is held against the list: a back-up before may have been interrupted between
// its list and this. What is missing from the source stays, should it lie there.
func (m *maker) sweep(ctx context.Context) error {
	named := map[store.Hash]bool{}
	for _, b := range m.done.Blobs {
		named[b.Hash] = true
	}
	for _, n := range m.done.Missing {
		named[n.Hash] = true
	}
	return m.to.Each(ctx, func(h store.Hash) error {
		if named[h] {
			return nil
		}
		return m.to.Remove(ctx, h)
	})
}

// blobs copies what is missing and reads it again, and with all also what was there.
func (m *maker) blobs(ctx context.Context, all bool) error {
	slices.Sort(m.order)
	was := map[store.Hash]Blob{}
	for _, b := range m.old.Blobs {
		was[b.Hash] = b
	}
	for _, h := range m.order {
		b, known := was[h]
		n, err := m.to.Size(h)
		if err == nil && known && n == b.Size && (!all || m.proves(ctx, b)) {
			m.done.Blobs = append(m.done.Blobs, b)
			continue
		}
		if err := m.take(ctx, h); err != nil {
			return err
		}
	}
	return nil
}

// proves reads a copy again and reports whether it is what the list says.
func (m *maker) proves(ctx context.Context, b Blob) bool {
	s, err := m.to.Prove(ctx, b.Hash)
	if err != nil || s.Sum != b.Sum {
		return false
	}
	m.done.Proved++
	return true
}

// take copies one blob and reads the copy again. A blob that is damaged or gone is noted.
func (m *maker) take(ctx context.Context, h store.Hash) error {
	s, err := m.to.Take(ctx, m.from, h)
	var corrupt *store.CorruptError
	switch {
	case errors.As(err, &corrupt):
		m.done.Missing = append(m.done.Missing, NotThere{Hash: h, What: m.want[h], Why: corrupt.What})
		return nil
	case errors.Is(err, store.ErrNoBlob):
		m.done.Missing = append(m.done.Missing, NotThere{Hash: h, What: m.want[h], Why: "it is gone"})
		return nil
	case err != nil:
		return err
	}
	b := Blob{Hash: h, Size: s.Size, Sum: s.Sum}
	if !m.proves(ctx, b) {
		return errors.New("what was written does not read back as it was; the disk is not to be trusted")
	}
	m.done.Copied++
	m.done.Bytes += s.Size
	m.done.Blobs = append(m.done.Blobs, b)
	return nil
}
