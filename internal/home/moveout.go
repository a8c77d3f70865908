package home

import (
	"context"
	"errors"
	"os"
	"path/filepath"

	"selvage/internal/store/backup"
	"selvage/internal/store/carry"
	"selvage/internal/store/folder"
	"selvage/internal/store/postgres"
	"selvage/internal/store/s3"
	"selvage/internal/store/sqlite"
)

// MoveOut moves what was restored in the data folder to where a home keeps it: the scans
// first, since the ledger names them. Without a ledger or a store elsewhere it does
// nothing.
func (h Place) MoveOut(ctx context.Context, data string, key *folder.Key, restored []backup.Blob) error {
	if h.Blobs != "" {
		place, err := h.bucket()
		if err != nil {
			return err
		}
		to, err := s3.Open(ctx, place, key)
		if err != nil {
			return &Problem{What: err.Error(), Try: "look whether it runs, and whether --blobs and its login are right", Err: err}
		}
		dir := filepath.Join(data, BlobsName)
		from := folder.View(dir, key)
		for _, b := range restored {
			if err := to.Take(ctx, from, b.Hash); err != nil {
				return err
			}
		}
		if err := os.RemoveAll(dir); err != nil {
			return err
		}
	}
	if h.Ledger == "" {
		return nil
	}
	file := filepath.Join(data, DatabaseName)
	if err := h.moveLedger(ctx, file); err != nil {
		return err
	}
	return os.Remove(file)
}

func (h Place) moveLedger(ctx context.Context, file string) (err error) {
	dsn, err := h.dsn()
	if err != nil {
		return err
	}
	to, err := postgres.Open(ctx, dsn)
	if err != nil {
		return &Problem{What: "the database of the cases does not answer: " + err.Error(), Try: "look whether it runs, and whether --ledger and its password are right", Err: err}
	}
	defer func() { err = errors.Join(err, to.Close()) }()
	from, err := sqlite.View(file)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, from.Close()) }()
	err = carry.Copy(ctx, from, to, nil)
	if errors.Is(err, carry.ErrNotEmpty) {
		return &Problem{What: err.Error(), Try: "--ledger with an empty database", Err: err}
	}
	return err
}
