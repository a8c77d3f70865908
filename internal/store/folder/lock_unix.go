//go:build unix

package folder

import (
	"errors"
	"os"
	"syscall"
)

// lock takes a file for this program; the system gives it back when the program ends.
func lock(f *os.File) error {
	err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB)
	if errors.Is(err, syscall.EWOULDBLOCK) {
		return errHeld
	}
	return err
}
