package cli

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"

	"selvage/mesh"
	"selvage/meshio/stl"
	"selvage/r3"
)

// cmdCode runs a command and demands its exit code: code 10 selvage check CASE.
// What it printed is then found by stdout and stderr.
func cmdCode(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: code N command [args...]")
	}
	err := ts.Exec(args[1], args[2:]...)
	got := 0
	var exit *exec.ExitError
	switch {
	case errors.As(err, &exit):
		got = exit.ExitCode()
	case err != nil:
		ts.Fatalf("%v", err)
	}
	if strconv.Itoa(got) != args[0] {
		ts.Fatalf("exit code %d, want %s", got, args[0])
	}
}

// cmdShape writes a small solid as binary STL, standing in for a scan in tests
// of what is not measurement: shape FILE SIZE-MM.
func cmdShape(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: shape FILE SIZE")
	}
	size, err := strconv.ParseFloat(args[1], 64)
	ts.Check(err)
	s := size
	o, x, y, z := r3.Vec{}, r3.V(s, 0, 0), r3.V(0, s, 0), r3.V(0, 0, s)
	m, _ := mesh.Build(mesh.Soup{Pos: []r3.Vec{o, y, x, o, x, z, o, z, y, x, y, z}})
	var b bytes.Buffer
	ts.Check(stl.Encode(&b, m))
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), b.Bytes(), 0o666))
}

// cmdKeeps remembers the names and contents of a folder, and on its second use
// with the same folder demands that they are as before: keeps FOLDER.
func cmdKeeps(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: keeps FOLDER")
	}
	state, err := folderState(ts.MkAbs(args[0]))
	ts.Check(err)
	key := "keeps:" + args[0]
	was := ts.Getenv(key)
	if was == "" {
		ts.Setenv(key, state)
		return
	}
	if was != state {
		ts.Fatalf("%s was altered:\nbefore\n%s\nafter\n%s", args[0], was, state)
	}
}

// folderState lists what is in a folder with hashes, in order of path.
func folderState(root string) (string, error) {
	var b strings.Builder
	err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, p)
		if err != nil || d.IsDir() {
			fmt.Fprintf(&b, "%s/\n", rel)
			return err
		}
		data, err := os.ReadFile(p)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(data)
		fmt.Fprintf(&b, "%s %s\n", rel, hex.EncodeToString(sum[:]))
		return nil
	})
	return b.String(), err
}

// cmdSized makes a sparse file of so many bytes: sized FILE BYTES.
func cmdSized(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: sized FILE BYTES")
	}
	n, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	f, err := os.Create(ts.MkAbs(args[0]))
	ts.Check(err)
	ts.Check(f.Truncate(n))
	ts.Check(f.Close())
}

// cmdNoted demands that standard error is one line that names the given words:
// noted WORD...
func cmdNoted(ts *testscript.TestScript, neg bool, args []string) {
	text := ts.ReadFile("stderr")
	if n := strings.Count(text, "\n"); neg || n != 1 {
		ts.Fatalf("standard error has %d lines, want one:\n%s", n, text)
	}
	for _, w := range args {
		if !strings.Contains(text, w) {
			ts.Fatalf("standard error does not say %q:\n%s", w, text)
		}
	}
}

// cmdShorts cuts a file to so many bytes: shorts FILE BYTES.
func cmdShorts(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: shorts FILE BYTES")
	}
	n, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	ts.Check(os.Truncate(ts.MkAbs(args[0]), n))
}
