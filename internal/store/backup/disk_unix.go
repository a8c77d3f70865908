//go:build unix

package backup

import (
	"errors"
	"syscall"
)

// diskFull reports whether err is of a disk, or a share of one, without room.
func diskFull(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT)
}

// readOnly reports whether err is of a disk that cannot be written.
func readOnly(err error) bool { return errors.Is(err, syscall.EROFS) }
