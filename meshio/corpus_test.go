package meshio_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/meshio"
)

// outcome puts what Decode returned into the words of a manifest.
func outcome(s mesh.Soup, f meshio.Format, err error) string {
	if err != nil {
		return meshtest.Outcome(s, f.Layout, err)
	}
	return f.String() + ", " + meshtest.Outcome(s, f.Layout, nil)
}

func TestSniffCorpus(t *testing.T) {
	for _, e := range meshtest.Corpus(t, "testdata") {
		s, f, err := meshio.Decode(e.Data)
		if got := outcome(s, f, err); got != e.Want {
			t.Errorf("%s: %s\n got %s\nwant %s\nerror: %v", e.File, e.Why, got, e.Want, err)
		}
		if bad := strings.HasPrefix(e.File, "bad/"); bad != (err != nil) {
			t.Errorf("%s: a file of this folder gave the error %v", e.File, err)
		}
		var typed *meshio.Error
		if err != nil && !errors.As(err, &typed) {
			t.Errorf("%s: the error is no *meshio.Error: %T", e.File, err)
		}
	}
}

// unsniffable are the files of the formats' own corpora that hold too little to
// tell what they were.
var unsniffable = []string{
	"stl/bad/header-only.stl", "stl/bad/blank.stl", "stl/bad/prose.stl", "ply/bad/not-ply.ply",
	"obj/bad/blank.obj", "obj/bad/comments-only.obj",
}

// Every file of the formats' own corpora must come to the same end through
// Decode: telling formats apart loses none.
func TestFormatCorporaThroughDecode(t *testing.T) {
	for dir, want := range map[string]meshio.Container{"stl": meshio.STL, "ply": meshio.PLY, "obj": meshio.OBJ} {
		for _, e := range meshtest.Corpus(t, dir+"/testdata") {
			s, f, err := meshio.Decode(e.Data)
			if slices.Contains(unsniffable, dir+"/"+e.File) {
				if err == nil {
					t.Errorf("%s/%s was decoded", dir, e.File)
				}
				continue
			}
			if got := meshtest.Outcome(s, f.Layout, err); got != e.Want {
				t.Errorf("%s/%s: got %s, want %s", dir, e.File, got, e.Want)
			}
			if err == nil && (f.Container != want || !f.Named(e.File)) {
				t.Errorf("%s/%s is taken for %s", dir, e.File, f)
			}
		}
	}
}

func TestNamed(t *testing.T) {
	stl := meshio.Format{Container: meshio.STL}
	for name, want := range map[string]bool{
		"a.stl": true, "A.STL": true, "dir.ply/a.Stl": true, "a.ply": false, "stl": true, "a.stl.gz": false, "": false,
	} {
		if got := stl.Named(name); got != want {
			t.Errorf("an STL file is called %q: %v, want %v", name, got, want)
		}
	}
}
