package home

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"selvage/internal/job"
	"selvage/internal/store"
	"selvage/internal/store/backup"
	"selvage/internal/store/carry"
	"selvage/internal/store/folder"
	"selvage/internal/store/postgres"
	"selvage/internal/store/s3"
	"selvage/internal/store/sqlite"
)

// Place says where the cases are kept. Its fields are flags of the command line.
type Place struct {
	Data        string `help:"Folder for the cases; made if it is not there. Left out: the folder that the system keeps for programs' data." predictor:"file" env:"SELVAGE_SERVE_DATA"`
	Keys        string `help:"File with the key of the stored scans; keep it, and its back-up, apart from the data." predictor:"file" env:"SELVAGE_SERVE_KEYS"`
	Ledger      string `help:"For several computers: what happened is kept in this PostgreSQL database (postgres://USER@HOST/NAME), not in the folder." env:"SELVAGE_SERVE_LEDGER"`
	LedgerLogin string `help:"File with that database's password; else PGPASSWORD or PGPASSFILE." predictor:"file" env:"SELVAGE_SERVE_LEDGER_LOGIN"`
	Blobs       string `help:"For several computers: the scans are kept, sealed, in this object store (s3://HOST/BUCKET/PREFIX), not in the folder." env:"SELVAGE_SERVE_BLOBS"`
	BlobsLogin  string `help:"File with two lines: that store's access key and its secret; else SELVAGE_BLOBS_ACCESS and SELVAGE_BLOBS_SECRET." predictor:"file" env:"SELVAGE_SERVE_BLOBS_LOGIN"`
}

// Rooms are the opened ledger and blobs of a place.
type Rooms struct {
	DB      *sql.DB
	Ledger  *store.Ledger // nil where a file is only viewed
	Blobs   Blobs
	Key     *folder.Key
	Dialect job.Dialect
	Alone   bool // no other program works on this ledger
	closers []func() error
}

// Blobs are read, written and backed up.
type Blobs interface {
	store.Blobs
	backup.Blobs
}

// Close closes everything.
func (r *Rooms) Close() error {
	var err error
	for i := len(r.closers) - 1; i >= 0; i-- {
		err = errors.Join(err, r.closers[i]())
	}
	r.closers = nil
	return err
}

// Places returns where the data and the key are kept.
func (h Place) Places() (data, key string, err error) {
	data, key = h.Data, h.Keys
	if data == "" || key == "" {
		dir, err := os.UserConfigDir()
		if err != nil {
			return "", "", &Problem{What: "the system names no folder for programs' data: " + err.Error(), Try: "--data FOLDER --keys FILE"}
		}
		if data == "" {
			data = filepath.Join(dir, "selvage", "data")
		}
		if key == "" {
			key = filepath.Join(dir, "selvage", "keys", "scans.key")
		}
	}
	if rel, err := filepath.Rel(data, key); err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
		return "", "", &Problem{What: "the key would lie in the data folder, where whoever takes the data takes it too", Try: "--keys with a file elsewhere"}
	}
	return data, key, nil
}

// Local reports whether anything is kept in the data folder.
func (h Place) Local() bool { return h.Ledger == "" || h.Blobs == "" }

// Open opens the ledger and the blobs for a program that works on them; by is what another
// program is told that finds the folder in use.
func (h Place) Open(ctx context.Context, by string) (_ *Rooms, err error) {
	data, keyFile, err := h.Places()
	if err != nil {
		return nil, err
	}
	r := &Rooms{}
	defer func() {
		if err != nil {
			err = errors.Join(err, r.Close())
		}
	}()
	if h.Local() {
		if err := os.MkdirAll(data, 0o700); err != nil {
			return nil, onDisk(data, "the folder cannot be made", err)
		}
		unlock, err := folder.Lock(data, by)
		if err != nil {
			return nil, inUse(data, err)
		}
		r.closers = append(r.closers, unlock)
	}
	if err := h.openLedger(ctx, data, r, true); err != nil {
		return nil, err
	}
	fresh, err := r.Ledger.End(ctx)
	if err != nil {
		return nil, err
	}
	if r.Key, err = folder.LoadKey(keyFile, fresh == 0); err != nil {
		return nil, &Problem{What: err.Error(), Err: err}
	}
	if err := h.openBlobs(ctx, data, r, true); err != nil {
		return nil, err
	}
	return r, sameKey(ctx, r, keyFile)
}

// View opens the ledger and the blobs to be read, also while a program works on them.
func (h Place) View(ctx context.Context) (_ *Rooms, err error) {
	data, keyFile, err := h.Places()
	if err != nil {
		return nil, err
	}
	r := &Rooms{}
	defer func() {
		if err != nil {
			err = errors.Join(err, r.Close())
		}
	}()
	if r.Key, err = LoadKey(keyFile); err != nil {
		return nil, err
	}
	if err := h.openLedger(ctx, data, r, false); err != nil {
		return nil, err
	}
	return r, h.openBlobs(ctx, data, r, false)
}

// Note lets f write into the ledger of rooms that were opened to be read.
func (h Place) Note(ctx context.Context, r *Rooms, data string, f func(*store.Ledger) error) (err error) {
	if r.Ledger != nil {
		return f(r.Ledger)
	}
	db, err := sqlite.Join(filepath.Join(data, DatabaseName))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	return f(store.New(db, time.Now))
}

// openLedger opens the database. A file that is only to be read is left to who reads it.
func (h Place) openLedger(ctx context.Context, data string, r *Rooms, write bool) (err error) {
	switch {
	case h.Ledger != "":
		dsn, err := h.dsn()
		if err != nil {
			return err
		}
		r.Dialect = job.Postgres
		if r.DB, err = postgres.Open(ctx, dsn); err != nil {
			return &Problem{What: "the database of the cases does not answer: " + err.Error(), Try: "look whether it runs, and whether --ledger and its password are right", Err: err}
		}
	case !write:
		return nil
	default:
		r.Alone = true
		if r.DB, err = sqlite.Open(ctx, filepath.Join(data, DatabaseName)); err != nil {
			return onDisk(data, "the cases cannot be opened", err)
		}
	}
	r.Ledger = store.New(r.DB, time.Now)
	r.closers = append(r.closers, r.DB.Close)
	return nil
}

func (h Place) openBlobs(ctx context.Context, data string, r *Rooms, write bool) error {
	if h.Blobs == "" {
		dir := filepath.Join(data, BlobsName)
		if !write {
			r.Blobs = folder.View(dir, r.Key)
			return nil
		}
		b, err := folder.Open(dir, r.Key)
		if err != nil {
			return onDisk(data, "the stored scans cannot be opened", err)
		}
		r.Blobs = b
		return nil
	}
	place, err := h.bucket()
	if err != nil {
		return err
	}
	b, err := s3.Open(ctx, place, r.Key)
	if err != nil {
		return &Problem{What: err.Error(), Try: "look whether it runs, and whether --blobs and its login are right", Err: err}
	}
	r.Blobs = b
	return nil
}

// Source is what a back-up is made of.
func (h Place) Source(r *Rooms, data string, named backup.Named) backup.Source {
	s := backup.Source{Blobs: r.Blobs, Key: r.Key, Named: named, Now: time.Now}
	if h.Ledger != "" {
		s.Ledger = carry.Postgres{DB: r.DB}
	} else {
		s.Ledger = backup.File(filepath.Join(data, DatabaseName))
	}
	return s
}

// dsn returns the address of the database with its password.
func (h Place) dsn() (string, error) {
	bad := func(what, try string) (string, error) {
		return "", &Problem{What: "--ledger: " + what, Try: try}
	}
	u, err := url.Parse(h.Ledger)
	if err != nil || u.Scheme != "postgres" && u.Scheme != "postgresql" || u.Host == "" || len(u.Path) < 2 {
		return bad("this is no address of a database", "--ledger postgres://USER@HOST/NAME")
	}
	if _, given := u.User.Password(); given || u.Query().Has("password") {
		return bad("a password on the command line is seen by everybody who uses this computer", "--ledger-login FILE, or PGPASSWORD")
	}
	q := u.Query()
	if !here(u.Hostname()) {
		switch q.Get("sslmode") {
		case "":
			q.Set("sslmode", "verify-full")
		case "disable", "allow", "prefer":
			return bad("what is sent to another computer could be read on the way", "sslmode=verify-full, or require")
		}
	}
	u.RawQuery = q.Encode()
	if h.LedgerLogin != "" {
		lines, err := secretLines(h.LedgerLogin, 1)
		if err != nil {
			return "", err
		}
		u.User = url.UserPassword(u.User.Username(), lines[0])
	}
	return u.String(), nil
}

// bucket returns where the object store is.
func (h Place) bucket() (p s3.Place, err error) {
	u, err := url.Parse(h.Blobs)
	if err != nil || u.Scheme != "s3" || u.Host == "" || len(u.Path) < 2 {
		return p, &Problem{What: "--blobs: this is no address of an object store", Try: "--blobs s3://HOST/BUCKET/PREFIX"}
	}
	if u.User != nil {
		return p, &Problem{What: "--blobs: a secret on the command line is seen by everybody who uses this computer", Try: "--blobs-login FILE, or SELVAGE_BLOBS_ACCESS and SELVAGE_BLOBS_SECRET"}
	}
	bucket, prefix, _ := strings.Cut(strings.Trim(u.Path, "/"), "/")
	p = s3.Place{
		Endpoint: u.Host, Bucket: bucket, Prefix: prefix, Region: u.Query().Get("region"), Plain: u.Query().Get("plain") == "yes",
		Access: os.Getenv("SELVAGE_BLOBS_ACCESS"), Secret: os.Getenv("SELVAGE_BLOBS_SECRET"),
	}
	if p.Plain && !here(u.Hostname()) {
		return p, &Problem{What: "--blobs: what is sent to another computer could be read on the way", Try: "the address without plain=yes"}
	}
	if h.BlobsLogin != "" {
		lines, err := secretLines(h.BlobsLogin, 2)
		if err != nil {
			return p, err
		}
		p.Access, p.Secret = lines[0], lines[1]
	}
	if p.Access == "" || p.Secret == "" {
		return p, &Problem{What: "--blobs: the store's access key and secret are missing", Try: "--blobs-login FILE, or SELVAGE_BLOBS_ACCESS and SELVAGE_BLOBS_SECRET"}
	}
	return p, nil
}

// here reports whether a host is this computer.
func here(host string) bool {
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}

// secretLines reads a file of secrets that nobody else may read.
func secretLines(path string, n int) ([]string, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, &Problem{File: path, What: "the secret cannot be read: " + err.Error(), Err: err}
	}
	if info, err := os.Stat(path); err == nil && readByOthers(info) {
		return nil, &Problem{File: path, What: "others on this computer can read this secret", Try: "chmod 600"}
	}
	lines := strings.Fields(string(data))
	if len(lines) != n {
		return nil, &Problem{File: path, What: fmt.Sprintf("it must hold %d lines and nothing else", n)}
	}
	return lines, nil
}

// sameKey proves that the key is the one with which the scans were stored: with another,
// nothing could be read and nobody could come in.
func sameKey(ctx context.Context, r *Rooms, keyFile string) error {
	err := proveKey(ctx, r.Ledger, r.Blobs, r.Key.ID())
	var other *OtherKeyError
	if errors.As(err, &other) {
		return &Problem{File: keyFile, What: other.Error(), Try: "put the right key back from the back-up of the keys (selvage backup-key made it), or name it with --keys", Err: err}
	}
	return err
}

// onDisk explains why a folder cannot be worked in.
func onDisk(dir, what string, err error) error {
	switch {
	case store.DiskFull(err):
		return &Problem{File: dir, What: what + ": the disk is full", Try: "make room on it", Err: err}
	case store.ReadOnly(err) || errors.Is(err, fs.ErrPermission):
		return &Problem{File: dir, What: what + ": it is read-only, or not yours", Try: "--data with a folder that you may write", Err: err}
	}
	return &Problem{File: dir, What: what + ": " + err.Error(), Try: "look whether the folder can be written and the disk is sound", Err: err}
}

// inUse explains why a folder cannot be taken.
func inUse(dir string, err error) error {
	var held *folder.HeldError
	if errors.As(err, &held) {
		return &Problem{What: "the cases in " + held.Error(), Try: "use that page; else stop it, or --data with another folder", Err: err}
	}
	return onDisk(dir, "the folder cannot be taken", err)
}

// LoadKey reads a key that must be there.
func LoadKey(path string) (*folder.Key, error) {
	key, err := folder.LoadKey(path, false)
	if err != nil {
		return nil, &Problem{What: err.Error(), Err: err}
	}
	return key, nil
}
