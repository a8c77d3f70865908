package backup

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"selvage/internal/store"
	"selvage/internal/store/folder"
)

// ListName is the name of the list of what a back-up holds; blobsName is that of the folder
// of its blobs.
const (
	ListName   = "manifest.json"
	blobsName  = "blobs"
	formatName = "selvage-backup"
	formatNow  = 1
)

// List says what a back-up holds.
type List struct {
	Format   string     `json:"format"`
	Version  int        `json:"version"`
	Made     time.Time  `json:"made"`
	Key      string     `json:"key_id"` // of the key that opens the files; the key is not here
	Events   int64      `json:"events"`
	End      string     `json:"end"` // hash of the last event
	Database Database   `json:"database"`
	Blobs    []Blob     `json:"files"`
	Missing  []NotThere `json:"missing,omitempty"` // named by events, and not in the back-up
}

// Database is the copy of the database.
type Database struct {
	File string `json:"file"`
	Size int64  `json:"size"`
	Sum  string `json:"sha256"`
}

// Blob is the copy of a blob.
type Blob struct {
	Hash store.Hash `json:"name"` // of its content
	Size int64      `json:"size"` // of its file
	Sum  string     `json:"sha256"`
}

// NotThere is a blob that was damaged or gone when the back-up was made.
type NotThere struct {
	Hash store.Hash `json:"name"`
	What string     `json:"what"` // which file it is
	Why  string     `json:"why"`
}

// readList reads the list of the back-up in a folder. Without one the error is
// [fs.ErrNotExist].
func readList(dir string) (List, error) {
	path := filepath.Join(dir, ListName)
	data, err := os.ReadFile(path)
	if err != nil {
		return List{}, err
	}
	var l List
	if err := json.Unmarshal(data, &l); err != nil || l.Format != formatName {
		return l, &Problem{Where: path, What: "it is not the list of a back-up, or it is damaged", Try: "take another back-up", Err: err}
	}
	if l.Version > formatNow {
		return l, &Problem{Where: path, What: "it was made by a newer version of the program", Try: "use that version"}
	}
	return l, nil
}

// write puts the list in its place, whole.
func (l List) write(dir string) error {
	data, err := json.MarshalIndent(l, "", "  ")
	if err != nil {
		return err
	}
	return folder.WriteWhole(filepath.Join(dir, ListName), func(f *os.File) error {
		_, err := f.Write(append(data, '\n'))
		return err
	})
}

// sumOf returns the size and SHA-256 of a file.
func sumOf(path string) (n int64, sum string, err error) {
	f, err := os.Open(path)
	if err != nil {
		return 0, "", err
	}
	defer f.Close()
	h := sha256.New()
	if n, err = io.Copy(h, f); err != nil {
		return 0, "", err
	}
	return n, hex.EncodeToString(h.Sum(nil)), nil
}

// empty reports whether a folder holds nothing or is not there.
func empty(dir string) (bool, error) {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return true, nil
	}
	return len(entries) == 0, err
}
