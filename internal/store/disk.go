package store

import (
	"errors"
	"io/fs"
)

// The result codes of SQLite that stand for a disk.
const (
	sqliteReadOnly = 8
	sqliteFull     = 13
	sqliteCantOpen = 14
)

// DiskFull reports whether an error comes from a disk, or a share of one, without room.
func DiskFull(err error) bool { return sqliteCode(err) == sqliteFull || systemFull(err) }

// ReadOnly reports whether an error comes from a folder or a disk that cannot be written.
func ReadOnly(err error) bool {
	code := sqliteCode(err)
	return code == sqliteReadOnly || code == sqliteCantOpen || errors.Is(err, fs.ErrPermission) || systemReadOnly(err)
}

func sqliteCode(err error) int {
	var lite interface{ Code() int }
	if errors.As(err, &lite) {
		return lite.Code() & 0xff
	}
	return 0
}
