package watch_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"selvage/internal/watch"
)

// room is a watched folder with a clock that is set by hand.
type room struct {
	t    *testing.T
	dir  string
	w    *watch.Watcher
	now  time.Time
	got  []watch.Delivery
	said []string
	fail error // of the next deliveries
}

func newRoom(t *testing.T, taken ...watch.Mark) *room {
	r := &room{t: t, dir: t.TempDir(), now: time.Now()}
	r.watch(r.now, taken)
	return r
}

// watch begins anew, as a program that starts.
func (r *room) watch(begun time.Time, taken []watch.Mark) {
	r.w = watch.New(watch.Options{
		Dir: r.dir, Begun: begun, Taken: taken,
		Take: func(_ context.Context, d watch.Delivery) error {
			if r.fail != nil {
				return r.fail
			}
			r.got = append(r.got, d)
			return nil
		},
		Say: func(err error) { r.said = append(r.said, fmt.Sprint(err)) },
	})
}

// scan is a small solid.
func scan(comment string) string {
	s := "solid " + comment + "\n"
	for _, f := range [][]string{{"0 0 0", "0 9 0", "9 0 0"}, {"0 0 0", "9 0 0", "0 0 9"}, {"0 0 0", "0 0 9", "0 9 0"}, {"9 0 0", "0 9 0", "0 0 9"}} {
		s += "facet normal 0 0 0\nouter loop\nvertex " + strings.Join(f, "\nvertex ") + "\nendloop\nendfacet\n"
	}
	return s + "endsolid\n"
}

func (r *room) write(name, data string) {
	r.t.Helper()
	p := filepath.Join(r.dir, name)
	if err := os.MkdirAll(filepath.Dir(p), 0o700); err != nil {
		r.t.Fatal(err)
	}
	if err := os.WriteFile(p, []byte(data), 0o600); err != nil {
		r.t.Fatal(err)
	}
}

// look looks n times, a second apart.
func (r *room) look(n int) {
	for range n {
		r.now = r.now.Add(time.Second)
		r.w.Look(context.Background(), r.now)
	}
}

// wants demands what was delivered since the last time: "folder: names" each.
func (r *room) wants(want ...string) {
	r.t.Helper()
	var got []string
	for _, d := range r.got {
		var names []string
		for _, f := range d.Files {
			names = append(names, f.Name)
		}
		got = append(got, d.Folder+": "+strings.Join(names, ", "))
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		r.t.Errorf("delivered %q, want %q", got, want)
	}
	r.got = nil
}

func TestWhatComesTogetherIsOneDelivery(t *testing.T) {
	r := newRoom(t)
	r.look(2)
	r.write("P-7/upper.stl", scan("u"))
	r.look(2)
	r.write("P-7/lower.stl", scan("l")) // before the quiet time is over
	r.write("letter.txt", "dear colleague")
	r.write("P-8/upper.ply", scan("whatever it is called"))
	r.write("P-7/.hidden.stl", scan("h"))
	r.look(3)
	r.wants()
	r.look(2)
	r.wants("P-7: lower.stl, upper.stl", "P-8: upper.ply")
	r.look(10)
	r.wants() // each once
	r.write("P-7/upper.stl", scan("a newer one"))
	r.look(6)
	r.wants("P-7: upper.stl")
}

func TestNamesThatWouldBeAlike(t *testing.T) {
	r := newRoom(t)
	r.write("P-7/upper/scan.stl", scan("u"))
	r.write("P-7/lower/scan.stl", scan("l"))
	r.write("P-7/bite.stl", scan("b"))
	r.look(6)
	r.wants("P-7: bite.stl, lower scan.stl, upper scan.stl")
}

// TestFileThatGrows: it is taken when it has stopped, however slowly it came, and as it
// then is. What lies beside it does not wait for ever.
func TestFileThatGrows(t *testing.T) {
	r := newRoom(t)
	whole := scan(strings.Repeat("long ", 50))
	for i := 1; i < 20; i++ {
		r.write("upper.stl", whole[:i*len(whole)/20])
		r.look(2)
		r.wants()
	}
	r.write("upper.stl", whole[:len(whole)-20]) // it stands still, and is no whole scan
	r.look(20)
	r.wants()
	r.write("upper.stl", whole)
	r.look(6)
	if len(r.got) != 1 || string(r.got[0].Files[0].Data) != whole {
		t.Errorf("delivered %v", r.got)
	}
	r.wants(": upper.stl")
	r.write("lower.stl", scan("l"))
	for i := range 70 {
		r.write("log.txt", strings.Repeat("x", i+1))
		r.look(1)
	}
	r.wants(": lower.stl")
}

func TestFolderThatVanishes(t *testing.T) {
	r := newRoom(t)
	r.write("P-7/upper.stl", scan("u"))
	r.look(6)
	r.wants("P-7: upper.stl")
	away := r.dir + "-away"
	if err := os.Rename(r.dir, away); err != nil {
		t.Fatal(err)
	}
	r.look(5)
	if len(r.said) != 1 || !strings.Contains(r.said[0], "no such file") {
		t.Errorf("said %q, want one word that it is gone", r.said)
	}
	if err := os.Rename(away, r.dir); err != nil {
		t.Fatal(err)
	}
	r.write("P-7/lower.stl", scan("l"))
	r.look(6)
	r.wants("P-7: lower.stl")
	if len(r.said) != 2 || r.said[1] != "<nil>" {
		t.Errorf("said %q, want one word more, that it is back", r.said)
	}
}

func TestDeliveryThatIsNotTaken(t *testing.T) {
	r := newRoom(t)
	r.fail = errors.New("the disk is full")
	r.write("upper.stl", scan("u"))
	r.look(100)
	if len(r.said) != 1 || r.said[0] != "the disk is full" {
		t.Errorf("said %q, want it once", r.said)
	}
	r.fail = nil
	r.look(40)
	r.wants(": upper.stl")
	if len(r.said) != 2 || r.said[1] != "<nil>" {
		t.Errorf("said %q, want one word more, that it goes on", r.said)
	}
}

// TestStart: what was taken before, and what was there long before, is left alone; what
// came while nobody looked is taken.
func TestStart(t *testing.T) {
	r := newRoom(t)
	r.write("old.stl", scan("o"))
	old := r.now.Add(-100 * time.Hour)
	if err := os.Chtimes(filepath.Join(r.dir, "old.stl"), old, old); err != nil {
		t.Fatal(err)
	}
	r.write("taken.stl", scan("t"))
	r.look(6)
	r.wants(": taken.stl")
	info, err := os.Stat(filepath.Join(r.dir, "taken.stl"))
	if err != nil {
		t.Fatal(err)
	}
	mark := watch.Mark{Path: "taken.stl", Size: info.Size(), Changed: info.ModTime()}
	r.write("meanwhile.stl", scan("m"))
	r.watch(r.now, []watch.Mark{mark})
	r.look(6)
	r.wants(": meanwhile.stl")
	r.write("copied.stl", scan("c")) // a copy keeps the time of the original
	if err := os.Chtimes(filepath.Join(r.dir, "copied.stl"), old, old); err != nil {
		t.Fatal(err)
	}
	r.look(6)
	r.wants(": copied.stl")
}
