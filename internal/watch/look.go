package watch

import (
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// deepest is how many folders below the watched one are looked into.
const deepest = 4

// look lists the files in a folder and below. A folder below that cannot be read is left
// for the next look; the error is of the folder itself.
func look(dir string) ([]Mark, error) {
	if _, err := os.ReadDir(dir); err != nil {
		return nil, err
	}
	var out []Mark
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		rel, rerr := filepath.Rel(dir, p)
		if rerr != nil {
			return rerr
		}
		rel = filepath.ToSlash(rel)
		hidden := rel != "." && (strings.HasPrefix(d.Name(), ".") || strings.HasPrefix(d.Name(), "~"))
		switch {
		case err != nil && rel == ".":
			return err
		case err != nil && d != nil && d.IsDir():
			return fs.SkipDir
		case err != nil:
			return nil
		case d.IsDir() && (hidden || strings.Count(rel, "/") >= deepest):
			return fs.SkipDir
		case d.IsDir() || hidden || !d.Type().IsRegular():
			return nil
		}
		info, err := d.Info()
		if err != nil || info.Size() == 0 {
			return nil // it went away, or is only begun
		}
		out = append(out, Mark{Path: rel, Size: info.Size(), Changed: info.ModTime()})
		return nil
	})
	if errors.Is(err, fs.SkipDir) {
		err = nil
	}
	return out, err
}

// folderOf returns the folder directly below the watched one that a file came in: files
// of one export may lie deeper.
func folderOf(rel string) string {
	first, _, below := strings.Cut(rel, "/")
	if !below {
		return ""
	}
	return first
}

// nameAll gives each file a name to be shown. Two that would be alike get their folders.
func nameAll(folder string, files []File) {
	n := map[string]int{}
	for _, f := range files {
		n[path.Base(f.Path)]++
	}
	for i, f := range files {
		files[i].Name = path.Base(f.Path)
		if n[files[i].Name] > 1 {
			files[i].Name = strings.ReplaceAll(strings.TrimPrefix(f.Path, folder+"/"), "/", " ")
		}
	}
}

// Within reports whether a folder is another or lies in it, links followed.
func Within(dir, other string) bool {
	for _, p := range []*string{&dir, &other} {
		if real, err := filepath.EvalSymlinks(*p); err == nil {
			*p = real
		}
	}
	rel, err := filepath.Rel(other, dir)
	return err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator))
}
