package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

const (
	// maxScanBytes bounds a scan file. The largest intraoral exports seen are
	// under 200 MB; 2 GB is forty million triangles, which is no mouth.
	maxScanBytes = 2 << 30
	// maxTextBytes bounds case.json and a limit table, which are a few kB.
	maxTextBytes = 4 << 20
)

// readBounded reads a regular file whole, refusing one larger than limit before
// it has taken any memory, and one that grows while it is read.
func readBounded(path string, limit int64) (data []byte, err error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, readError(path, err)
	}
	switch {
	case info.IsDir():
		return nil, &inputError{File: path, What: "is a folder, not a file", Try: "name the file inside it"}
	case !info.Mode().IsRegular():
		return nil, &inputError{File: path, What: "is not an ordinary file", Try: "copy the scan to a file first"}
	case info.Size() > limit:
		return nil, &inputError{
			File: path, What: fmt.Sprintf("holds %s, more than the %s a file may have", bytesText(info.Size()), bytesText(limit)),
			Try: "export the scan again with fewer triangles",
		}
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, readError(path, err)
	}
	defer f.Close() // read only: nothing to lose
	data = make([]byte, info.Size())
	if _, err := io.ReadFull(f, data); err != nil {
		return nil, &inputError{File: path, What: "could not be read to its end", Try: "wait until the export has finished", Err: err}
	}
	if n, _ := f.Read(make([]byte, 1)); n != 0 {
		return nil, &inputError{File: path, What: "grew while it was read", Try: "wait until the export has finished"}
	}
	return data, nil
}

// readError says in plain words why a path could not be opened.
func readError(path string, err error) error {
	e := &inputError{File: path, Err: err}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		e.What, e.Try = "there is no such file or folder", nearest(path)
	case errors.Is(err, fs.ErrPermission):
		e.What, e.Try = "may not be read", "ask for the right to read it"
	default:
		var pe *fs.PathError
		if errors.As(err, &pe) {
			err = pe.Err
		}
		e.What = err.Error()
	}
	return e
}

// nearest proposes what is there: the part of the path that exists.
func nearest(path string) string {
	for dir := filepath.Dir(path); ; dir = filepath.Dir(dir) {
		if _, err := os.Stat(dir); err == nil {
			return "look into " + dir
		}
		if dir == filepath.Dir(dir) {
			return "check the spelling"
		}
	}
}

// scanExt are the endings by which a folder's scans are known. What a file
// really holds is decided from its bytes.
var scanExt = []string{".stl", ".ply", ".obj"}

func isScanName(name string) bool {
	ext := strings.ToLower(filepath.Ext(name))
	for _, e := range scanExt {
		if ext == e {
			return true
		}
	}
	return false
}

// bytesText prints a size for a person.
func bytesText(n int64) string {
	switch {
	case n >= 1<<30:
		return fmt.Sprintf("%.1f GB", float64(n)/(1<<30))
	case n >= 1<<20:
		return fmt.Sprintf("%.1f MB", float64(n)/(1<<20))
	default:
		return fmt.Sprintf("%d bytes", n)
	}
}
