package store

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

// systemFull reports whether err is of a disk without room.
func systemFull(err error) bool {
	return errors.Is(err, errDiskFull) || errors.Is(err, errHandleDiskFull)
}

// systemReadOnly reports whether err is of a disk that cannot be written.
func systemReadOnly(err error) bool { return errors.Is(err, errWriteProtect) }
