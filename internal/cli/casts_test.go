package cli

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// castsFolder returns the real scans, or skips where they are not there: they are
// not part of the repository. Under CI their absence fails.
func castsFolder(t *testing.T) string {
	t.Helper()
	data := os.Getenv("SELVAGE_DATA")
	if data == "" {
		data = filepath.Join("..", "..", "..", "shared", "data")
	}
	dir := filepath.Join(data, "casts")
	if _, err := os.Stat(dir); err != nil {
		const why = "the real casts are not there; set SELVAGE_DATA to the folder that holds casts/"
		if os.Getenv("CI") != "" {
			t.Fatalf("%s (%v)", why, err)
		}
		t.Skipf("SKIPPED: %s (%v)", why, err)
	}
	return dir
}

// TestRealCasts checks two real casts in metres, in which no tooth is prepared: the
// unit is found, upper and lower are told apart, and the answer is that there is
// nothing to measure, without a number that was made up.
func TestRealCasts(t *testing.T) {
	dir := castsFolder(t)
	var stdout, stderr bytes.Buffer
	args := []string{"check", dir, "--tooth", "26", "--material", "zirconia-3y", "--json", "-"}
	code := Main(context.Background(), args, Env{Stdout: &stdout, Stderr: &stderr})
	if code != exitNotChecked {
		t.Errorf("exit code %d, want %d\n%s", code, exitNotChecked, stderr.String())
	}
	report := stdout.String()
	for _, want := range []string{
		`"verdict": "not-checked"`, `"tooth-not-found"`, `"units": "m"`, `"units-unlikely"`,
		`upperteeth.obj is taken as the working scan`, `lowerteeth.obj is taken as the opposing scan`,
	} {
		if !strings.Contains(report, want) {
			t.Errorf("the report does not say %s", want)
		}
	}
	for _, measured := range []string{"clearance_min_mm", "wall_height_min_mm", "undercut_depth_max_mm"} {
		_, after, ok := strings.Cut(report, `"`+measured+`": {`)
		if !ok || !strings.HasPrefix(strings.TrimSpace(after), `"not_measured"`) {
			t.Errorf("%s has a value, or is not in the report; no tooth was prepared", measured)
		}
	}
	if !strings.Contains(stderr.String(), "NOT CHECKED") {
		t.Errorf("the text does not say NOT CHECKED:\n%s", stderr.String())
	}
}

// TestNamesAreNotNeeded checks that the jaws of the same casts are told from their
// shapes where the names say nothing.
func TestNamesAreNotNeeded(t *testing.T) {
	dir := castsFolder(t)
	plain := t.TempDir()
	for from, to := range map[string]string{"upperteeth.obj": "scan2.obj", "lowerteeth.obj": "scan1.obj"} {
		data, err := os.ReadFile(filepath.Join(dir, from))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(plain, to), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	var stdout, stderr bytes.Buffer
	code := Main(context.Background(), []string{"check", plain, "--tooth", "26", "--json", "-"}, Env{Stdout: &stdout, Stderr: &stderr})
	if code != exitNotChecked || !strings.Contains(stdout.String(), "scan2.obj is taken as the working scan") {
		t.Errorf("exit code %d, want %d with scan2.obj as the working scan\n%s", code, exitNotChecked, stderr.String())
	}
}
