package watch

import (
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"selvage/meshio"
)

// Mark names one version of a file by what a look can see of it.
type Mark struct {
	Path    string    `json:"path"` // from the watched folder on, with slashes
	Size    int64     `json:"size"`
	Changed time.Time `json:"changed"`
}

// key is equal for two marks of one version.
func (m Mark) key() string {
	return fmt.Sprintf("%s\x00%d\x00%d", m.Path, m.Size, m.Changed.UnixNano())
}

// File is one scan that arrived.
type File struct {
	Mark
	Name string // as it is shown: the last part of its path, more where two would be alike
	Data []byte
}

// Delivery is what arrived together.
type Delivery struct {
	Folder string // below the watched folder; empty for files that lie in it
	Files  []File // in order of path
}

// maxBytes is the largest file that is read.
const maxBytes = 2 << 30

// errChanged says that a file changed while it was read.
var errChanged = errors.New("the file is still being written")

// read reads the version of a file that m names. usable is false where its content is no
// scan.
func read(path string, m Mark) (data []byte, usable bool, err error) {
	if m.Size > maxBytes {
		return nil, false, nil
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, false, err
	}
	defer f.Close()
	data, err = io.ReadAll(io.LimitReader(f, maxBytes))
	if err != nil {
		return nil, false, err
	}
	info, err := f.Stat()
	if err != nil {
		return nil, false, err
	}
	if int64(len(data)) != m.Size || info.Size() != m.Size || !info.ModTime().Equal(m.Changed) {
		return nil, false, errChanged
	}
	_, _, err = meshio.Decode(data)
	return data, err == nil, nil
}
