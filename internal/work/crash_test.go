package work_test

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"selvage/internal/store/folder"
	"selvage/internal/work"
)

// The environment that makes this test binary the program that is killed.
const (
	crashDir  = "SELVAGE_CRASH_DIR"
	crashSeed = "SELVAGE_CRASH_SEED"
	crashDraw = "SELVAGE_CRASH_DRAW" // set: it only has one case checked
)

// TestMain lets the binary be the child of [TestKilledAtAnyMoment].
func TestMain(m *testing.M) {
	dir := os.Getenv(crashDir)
	if dir == "" {
		os.Exit(m.Run())
	}
	seed, err := strconv.ParseUint(os.Getenv(crashSeed), 10, 64)
	if err == nil {
		err = busy(dir, seed, os.Stdout)
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

// TestKilledAtAnyMoment kills a busy program again and again, while it opens its store,
// writes, checks, or does nothing, and looks at what it left: all that it had said was
// done is there, nothing is there by halves, and every check ends once. A kill takes the
// memory of the program and leaves that of the system: a loss of power is not tried here.
func TestKilledAtAnyMoment(t *testing.T) {
	chains, kills := 10, 20
	if testing.Short() {
		chains = 1
	}
	ready := t.TempDir()
	t.Run("made", func(t *testing.T) { oneDone(t, ready) })
	total, drawing := 0, 0
	for chain := range chains {
		rng := rand.New(rand.NewPCG(uint64(chain), 7))
		dir := t.TempDir()
		if chain%3 != 2 { // each third chain begins with nothing at all
			ok(t, os.CopyFS(dir, os.DirFS(ready)))
		}
		var said []ack
		for range kills {
			said = append(said, killed(t, dir, rng)...)
			total++
			drawing += look(t, dir, said)
			if t.Failed() {
				t.Fatalf("chain %d, after %d kills", chain, total)
			}
		}
		t.Run(fmt.Sprint("end of chain ", chain), func(t *testing.T) { settled(t, dir, said) })
	}
	t.Logf("%d kills, %d of them between a verdict and its pictures", total, drawing)
	if drawing == 0 && !testing.Short() {
		t.Error("no kill came between a verdict and its pictures")
	}
}

// killed runs the program on dir until it is killed and returns what it said was done.
func killed(t *testing.T, dir string, rng *rand.Rand) []ack {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), crashDir+"="+dir, crashSeed+"="+strconv.FormatUint(rng.Uint64(), 10))
	after, rest := rng.IntN(14), time.Duration(rng.IntN(8000))*time.Microsecond
	drawing := false
	switch rng.IntN(8) {
	case 0, 1: // while it opens its store
		after, rest = -1, time.Duration(rng.IntN(150))*time.Millisecond
	case 2: // while it draws
		drawing, after = true, 1<<20
		cmd.Env = append(cmd.Env, crashDraw+"=1")
	}
	var errs bytes.Buffer
	cmd.Stderr = &errs
	out, err := cmd.StdoutPipe()
	ok(t, err)
	ok(t, cmd.Start())
	var said []ack
	asked := ""
	lines := bufio.NewScanner(out)
	for after >= 0 && len(said) <= after && lines.Scan() {
		a := parseAck(t, lines.Bytes())
		if a.What == "none" {
			break
		}
		said = append(said, a)
		if drawing && a.What == "asked" {
			asked = a.Value
		}
		if drawing && a.What == "ended" && strings.HasPrefix(a.Value, asked+" ") {
			break
		}
	}
	time.Sleep(rest)
	ok(t, cmd.Process.Kill())
	for lines.Scan() { // what it said before it died
		said = append(said, parseAck(t, lines.Bytes()))
	}
	if err := cmd.Wait(); err == nil || errs.Len() > 0 {
		t.Fatalf("the program ended by itself: %v\n%s", err, errs.String())
	}
	return said
}

// ack is one change that the program said was done.
type ack struct{ What, Case, Value string }

func parseAck(t *testing.T, line []byte) ack {
	t.Helper()
	var a ack
	if err := json.Unmarshal(line, &a); err != nil {
		t.Fatalf("half a line came: %q", line)
	}
	return a
}

// oneDone makes a store with one case whose check is done, so that there is something to
// decide on.
func oneDone(t *testing.T, dir string) {
	ctx := context.Background()
	d := open(t, dir)
	id, err := d.NewCase(ctx, "asst", "P-0", "")
	ok(t, err)
	ok(t, d.SetOrder(ctx, "asst", id, name26))
	ok(t, d.AddScans(ctx, "asst", id, []work.Incoming{{Name: "working.stl", Data: bytes.NewReader(solid("P-0"))}}))
	if k := await(t, d, id); k.State != work.Done {
		t.Fatalf("check %+v, want done: a solid that is no tooth is not checked, which is an answer", k)
	}
}

// solid is a binary STL of four triangles, 60 mm wide, that opens with a comment.
func solid(comment string) []byte {
	var b bytes.Buffer
	b.Write(append([]byte(comment), make([]byte, 80-len(comment))...))
	b.Write([]byte{4, 0, 0, 0})
	put := func(corners ...[3]float32) {
		writeLE(&b, [3]float32{})
		for _, c := range corners {
			writeLE(&b, c)
		}
		b.Write([]byte{0, 0})
	}
	o, x, y, z := [3]float32{}, [3]float32{60}, [3]float32{0, 60}, [3]float32{0, 0, 60}
	put(o, y, x)
	put(o, x, z)
	put(o, z, y)
	put(x, y, z)
	return b.Bytes()
}

// lineWriter says each ack in one write, so that a kill cuts none.
type lineWriter struct{ w io.Writer }

func (l lineWriter) say(a ack) error {
	data, err := json.Marshal(a)
	if err != nil {
		return err
	}
	_, err = l.w.Write(append(data, '\n'))
	return err
}

func keyOf(dir string, mayMake bool) (*folder.Key, error) {
	return folder.LoadKey(filepath.Join(dir, "keys", "key"), mayMake)
}
