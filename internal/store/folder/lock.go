package folder

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
)

// HeldError says that another program works in a folder.
type HeldError struct {
	Dir string
	By  string // what it says of itself; may be empty
}

// Error returns one line.
func (e *HeldError) Error() string {
	by := "another program"
	if e.By != "" {
		by = e.By
	}
	return fmt.Sprintf("%s is in use by %s", e.Dir, by)
}

// lockName is the file by which programs leave a folder to each other.
const lockName = "in-use"

// errHeld says that another program holds a lock.
var errHeld = errors.New("held by another program")

// Lock takes a folder, which must be there, for this program alone until unlock is called
// or the program ends, however it does. by is what another program is told of it. The
// error is a [*HeldError] where another program has the folder.
func Lock(dir, by string) (unlock func() error, err error) {
	path := filepath.Join(dir, lockName)
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	if err := lock(f); err != nil {
		held := &HeldError{Dir: dir}
		if text, rerr := io.ReadAll(io.LimitReader(f, 500)); rerr == nil {
			held.By = strings.TrimSpace(string(text))
		}
		if cerr := f.Close(); !errors.Is(err, errHeld) {
			return nil, errors.Join(err, cerr)
		}
		return nil, held
	}
	if err := errors.Join(f.Truncate(0), writeAt(f, by)); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	// WHY the file stays: were it removed, a third program could lock a new one while a
	// second waits at the old.
	return func() error { return errors.Join(f.Truncate(0), f.Close()) }, nil
}

func writeAt(f *os.File, s string) error {
	_, err := f.WriteAt([]byte(s+"\n"), 0)
	return err
}
