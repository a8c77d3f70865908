package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
)

// writeFile puts data at path whole or not at all: under a temporary name in the
// same folder, synced, then renamed. A path that exists and is no ordinary file
// (a device, a pipe) is written to directly.
func writeFile(path string, data []byte) error {
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return writeThrough(path, data)
	}
	f, err := createBeside(path)
	if err != nil {
		return writeError(path, err)
	}
	tmp := f.Name()
	_, err = f.Write(data)
	err = errors.Join(err, f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(tmp, path)
	}
	if err != nil {
		return errors.Join(writeError(path, err), removeTemp(tmp))
	}
	return nil
}

// writeThrough writes to what cannot be renamed.
func writeThrough(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return writeError(path, err)
	}
	_, err = f.Write(data)
	if err = errors.Join(err, f.Close()); err != nil {
		return writeError(path, err)
	}
	return nil
}

// createBeside opens a new file in the folder of path. Unlike os.CreateTemp it
// leaves the mode to the user's umask, since the file is kept.
func createBeside(path string) (*os.File, error) {
	dir, base := filepath.Split(path)
	for i := range 100 {
		name := filepath.Join(dir, "."+base+".part"+strconv.Itoa(os.Getpid())+"-"+strconv.Itoa(i))
		f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
	return nil, fs.ErrExist
}

func removeTemp(tmp string) error {
	if err := os.Remove(tmp); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// writeError says in plain words why an output could not be written. It is an
// input error: the path was the user's.
func writeError(path string, err error) error {
	e := &inputError{File: path, What: "cannot be written", Try: "another folder", Err: err}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.What, e.Try = "its folder does not exist", "make the folder first, or name another"
	case errors.Is(err, fs.ErrPermission):
		e.What = "may not be written there"
	default:
		var pe *fs.PathError
		var le *os.LinkError
		if errors.As(err, &pe) {
			err = pe.Err
		} else if errors.As(err, &le) {
			err = le.Err
		}
		e.What = fmt.Sprintf("cannot be written (%v)", err)
	}
	return e
}

// outputs are the files a command is asked to write, to be refused before the
// work rather than after it.
type outputs struct {
	sources []string // files that are read and must stay as they are
	folder  string   // the case folder, into which nothing is written; may be empty
}

// allow returns an error if writing to path could harm a source, or if its
// folder is not there.
func (o outputs) allow(path string) error {
	if path == "" || path == "-" {
		return nil
	}
	dir := filepath.Dir(path)
	info, err := os.Stat(dir)
	if err != nil {
		return writeError(path, err)
	}
	if !info.IsDir() {
		return &inputError{File: path, What: dir + " is not a folder", Try: "another folder"}
	}
	if o.folder != "" && inside(dir, o.folder) {
		return &inputError{
			File: path, What: "lies in the case folder, into which nothing is written",
			Try: filepath.Join(filepath.Dir(filepath.Clean(o.folder)), filepath.Base(path)),
		}
	}
	target, err := os.Stat(path)
	if err != nil { // it does not exist yet
		return probe(path)
	}
	if target.IsDir() {
		return &inputError{File: path, What: "is a folder, not a file", Try: filepath.Join(path, "report.html")}
	}
	for _, s := range o.sources {
		if si, err := os.Stat(s); err == nil && os.SameFile(si, target) {
			return &inputError{File: path, What: "is one of the files that are read; it is never overwritten", Try: "another name"}
		}
	}
	if isScanName(path) {
		return &inputError{File: path, What: "is an existing scan; it is never overwritten", Try: "another name"}
	}
	if !target.Mode().IsRegular() {
		return nil
	}
	return probe(path)
}

// probe finds out whether a file can be made beside path, so that a long check
// does not end in a full or closed folder.
func probe(path string) error {
	f, err := createBeside(path)
	if err != nil {
		return writeError(path, err)
	}
	return errors.Join(f.Close(), removeTemp(f.Name()))
}

// inside reports whether dir is folder or lies below it, by identity of the
// folders and not by spelling.
func inside(dir, folder string) bool {
	want, err := os.Stat(folder)
	if err != nil {
		return false
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		return false
	}
	if real, err := filepath.EvalSymlinks(abs); err == nil {
		abs = real
	}
	for {
		if info, err := os.Stat(abs); err == nil && os.SameFile(info, want) {
			return true
		}
		up := filepath.Dir(abs)
		if up == abs {
			return false
		}
		abs = up
	}
}

// emit writes data to path, or to w where path is "-".
func emit(w io.Writer, path string, data []byte) error {
	if path != "-" {
		return writeFile(path, data)
	}
	_, err := w.Write(data)
	return err
}
