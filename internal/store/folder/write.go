package folder

import (
	"errors"
	"os"
	"path/filepath"
)

// writeWhole makes a file that is either whole under its name or not there: written
// beside, flushed, moved, and the folder flushed.
func writeWhole(path string, fill func(*os.File) error) (err error) {
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
