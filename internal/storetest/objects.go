package storetest

import (
	"bytes"
	"errors"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Objects is an object store that a test started.
type Objects struct {
	Endpoint, Bucket, Region string
	Access, Secret           string
	Dir                      string // with a folder for each bucket, and a file for each object
}

// StartObjects starts an object store on the loopback address, with one bucket, that keeps
// its objects as files, and stops it when the test ends. The program is built from
// tools/s3/go.mod.
func StartObjects(t testing.TB) Objects {
	t.Helper()
	if testing.Short() {
		t.Skip("SKIPPED: building the object store takes minutes the first time")
	}
	root := top(t)
	find := exec.Command("go", "tool", "-modfile="+filepath.Join(root, "tools", "s3", "go.mod"), "-n", "versitygw")
	find.Dir = root
	out, err := find.Output()
	if err != nil {
		var exit *exec.ExitError
		if errors.As(err, &exit) {
			t.Log(string(exit.Stderr))
		}
		t.Fatalf("the object store does not build: %v", err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	o := Objects{Endpoint: l.Addr().String(), Bucket: "scans", Region: "us-east-1", Access: "us", Secret: "only-for-this-test", Dir: t.TempDir()}
	if err := errors.Join(l.Close(), os.Mkdir(filepath.Join(o.Dir, o.Bucket), 0o700)); err != nil {
		t.Fatal(err)
	}
	var said bytes.Buffer
	cmd := exec.Command(strings.TrimSpace(string(out)), "--access", o.Access, "--secret", o.Secret, "--region", o.Region,
		"--port", o.Endpoint, "--quiet", "posix", "--sidecar", t.TempDir(), o.Dir)
	cmd.Stdout, cmd.Stderr = &said, &said
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		if t.Failed() {
			t.Log(said.String())
		}
	})
	for end := time.Now().Add(time.Minute); ; time.Sleep(50 * time.Millisecond) {
		c, err := net.Dial("tcp", o.Endpoint)
		if err == nil {
			_ = c.Close()
			return o
		}
		if time.Now().After(end) {
			t.Fatalf("the object store does not answer: %v\n%s", err, said.String())
		}
	}
}

// top returns the folder of the module.
func top(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for ; dir != filepath.Dir(dir); dir = filepath.Dir(dir) {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
	}
	t.Fatal("there is no go.mod above the test")
	return ""
}
