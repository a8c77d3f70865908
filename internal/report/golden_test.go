package report

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"
)

var update = flag.Bool("update", false, "write the golden files anew; read the difference as prose before you commit it")

// golden holds got to testdata/golden/name.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", "golden", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Equal(got, want) {
		return
	}
	a, b := bytes.Split(got, []byte("\n")), bytes.Split(want, []byte("\n"))
	for i := range min(len(a), len(b)) {
		if !bytes.Equal(a[i], b[i]) {
			t.Fatalf("%s differs in line %d:\n got %s\nwant %s", name, i+1, a[i], b[i])
		}
	}
	t.Fatalf("%s has %d lines, want %d", name, len(a), len(b))
}

func TestGoldenPages(t *testing.T) {
	for _, c := range cases {
		page, err := HTML(input(c.make()))
		if err != nil {
			t.Fatal(err)
		}
		golden(t, c.name+".html", page)
		again, _ := HTML(input(c.make()))
		if !bytes.Equal(page, again) {
			t.Errorf("%s: the same report gives different pages", c.name)
		}
	}
}

func TestGoldenTexts(t *testing.T) {
	for _, c := range cases {
		var b bytes.Buffer
		if err := Text(&b, input(c.make()), TextOptions{Width: 80, Plain: true}); err != nil {
			t.Fatal(err)
		}
		golden(t, c.name+".txt", b.Bytes())
	}
	var b bytes.Buffer
	if err := Text(&b, input(scanAgain()), TextOptions{Width: 100}); err != nil {
		t.Fatal(err)
	}
	golden(t, "scan-again-terminal.txt", b.Bytes())
}
