//go:build !windows

package folder

import (
	"errors"
	"os"
)

// flushDir makes the names in a folder survive a loss of power.
func flushDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}
