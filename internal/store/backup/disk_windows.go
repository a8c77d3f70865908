package backup

import (
	"errors"
	"syscall"
)

// The codes of the system.
const (
	errWriteProtect   = syscall.Errno(19)
	errHandleDiskFull = syscall.Errno(39)
	errDiskFull       = syscall.Errno(112)
)

// diskFull reports whether err is of a disk without room.
func diskFull(err error) bool {
	return errors.Is(err, errDiskFull) || errors.Is(err, errHandleDiskFull)
}

// readOnly reports whether err is of a disk that cannot be written.
func readOnly(err error) bool { return errors.Is(err, errWriteProtect) }
