package cli

import (
	"bytes"
	"context"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"selvage/internal/home"
	"selvage/internal/work"
)

// noPages stands in for the pages where none is asked for.
func noPages(work.Shop) (http.Handler, error) { return http.NotFoundHandler(), nil }

// run runs a command line and returns what it said.
func run(t *testing.T, want int, args ...string) (out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	if code := Main(context.Background(), args, Env{Stdout: &o, Stderr: &e, Pages: noPages}); code != want {
		t.Fatalf("selvage %q: exit code %d, want %d\n%s%s", args, code, want, &o, &e)
	}
	return o.String(), e.String()
}

// house opens the cases in a folder, as selvage serve does.
func house(data, key string) (*work.Desk, func() error, error) {
	d, _, stop, err := serveVerb{Place: home.Place{Data: data, Keys: key}}.desk(context.Background())
	return d, stop, err
}

// TestBackUpAndRestore follows the commands as their help says, with the page's store
// open meanwhile.
func TestBackUpAndRestore(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	ctx := context.Background()
	desk, stop, err := house(at("data"), at("key"))
	if err != nil {
		t.Fatal(err)
	}
	id, err := desk.NewCase(ctx, "asst", "P-1", "")
	if err != nil {
		t.Fatal(err)
	}
	if err := desk.AddScans(ctx, "asst", id, []work.Incoming{{Name: "upper.stl", Data: strings.NewReader("x")}}); err != nil {
		t.Fatal(err)
	}
	back := []string{"backup", "--data", at("data"), "--keys", at("key"), "--to", at("backup")}
	if out, _ := run(t, 0, back...); !strings.Contains(out, "3 events, 1 files. 1 files") || !strings.Contains(out, "The key is not in it") {
		t.Errorf("back-up: %s", out)
	}
	if out, _ := run(t, 0, back...); !strings.Contains(out, "0 files (0 bytes) were copied") {
		t.Errorf("second back-up: %s", out)
	}
	if b, made, err := desk.LastBackup(ctx); err != nil || !made || b.What.Files != 1 || b.What.To != at("backup") {
		t.Errorf("the page learns of the back-up: %+v, %v, %v", b, made, err)
	}
	if err := stop(); err != nil {
		t.Fatal(err)
	}
	if _, errs := run(t, 2, "backup-key", "--keys", at("key"), "--to", at("backup")); !strings.Contains(errs, "the key would lie in the back-up") {
		t.Errorf("key into the back-up: %s", errs)
	}
	if out, _ := run(t, 0, "backup-key", "--keys", at("key"), "--to", at("safe.key")); !strings.Contains(out, "is copied") {
		t.Errorf("key: %s", out)
	}
	if err := os.Remove(at("key")); err != nil {
		t.Fatal(err)
	}
	restore := []string{"restore", at("backup"), "--data", at("new"), "--keys"}
	if _, errs := run(t, 2, append(restore, at("key"))...); !strings.Contains(errs, "is missing; put it back") {
		t.Errorf("without the key: %s", errs)
	}
	if out, _ := run(t, 0, append(restore, at("safe.key"))...); !strings.Contains(out, "4 events, 1 files") {
		t.Errorf("restore: %s", out)
	}
	if _, errs := run(t, 2, append(restore, at("safe.key"))...); !strings.Contains(errs, "holds something already") {
		t.Errorf("restore again: %s", errs)
	}
	if _, errs := run(t, 2, "restore", at("data"), "--data", at("other"), "--keys", at("safe.key")); !strings.Contains(errs, "holds no back-up") {
		t.Errorf("restore of no back-up: %s", errs)
	}
	desk, stop, err = house(at("new"), at("safe.key"))
	if err != nil {
		t.Fatal(err)
	}
	if c, err := desk.Case(ctx, id); err != nil || c.Name != "P-1" || len(c.Scans) != 1 {
		t.Errorf("restored case %+v, %v", c, err)
	}
	if err := stop(); err != nil {
		t.Fatal(err)
	}
}
