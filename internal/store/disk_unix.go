//go:build unix

package store

import (
	"errors"
	"syscall"
)

// systemFull reports whether err is of a disk, or a share of one, without room.
func systemFull(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT)
}

// systemReadOnly reports whether err is of a disk that cannot be written.
func systemReadOnly(err error) bool { return errors.Is(err, syscall.EROFS) }
