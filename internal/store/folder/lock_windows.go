package folder

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// farAway is where the byte lies that is locked: what is locked cannot be read, and the
// next program reads who has the folder.
const farAway = 1 << 30

// lock takes a file for this program; the system gives it back when the program ends.
func lock(f *os.File) error {
	err := windows.LockFileEx(windows.Handle(f.Fd()), windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0,
		&windows.Overlapped{OffsetHigh: farAway})
	if errors.Is(err, windows.ERROR_LOCK_VIOLATION) || errors.Is(err, windows.ERROR_IO_PENDING) {
		return errHeld
	}
	return err
}
