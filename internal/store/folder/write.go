package folder

import (
	"errors"
	"os"
	"path/filepath"
)

// WriteWhole makes a file that is either whole under its name or not there: written
// beside, flushed, moved, and the folder flushed.
func WriteWhole(path string, fill func(*os.File) error) (err error) {
	dir := filepath.Dir(path)
	f, err := os.CreateTemp(dir, "unfinished-")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = os.Remove(f.Name()) // the error that counts is already known
		}
	}()
	if err := errors.Join(fill(f), f.Sync(), f.Close()); err != nil {
		return err
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return err
	}
	return flushDir(dir)
}

// Settle flushes a file that is written and gives it its name, so that both survive a
// loss of power.
func Settle(half, path string) error {
	f, err := os.OpenFile(half, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return err
	}
	if err := os.Rename(half, path); err != nil {
		return err
	}
	return flushDir(filepath.Dir(path))
}
