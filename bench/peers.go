package main

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"

	"selvage/r3"
)

// peer is a general-purpose library in a process of its own. It loads the mesh and the
// tasks, says its version, and then runs one kernel for each line that it is sent; its
// answer is the processor time of the kernel alone, a count, and how many numbers it has
// written to the file of answers.
type peer struct {
	dir, version string
	cmd          *exec.Cmd
	in           io.WriteCloser
	out          *bufio.Reader
}

func startPeer(dir string, command ...string) (*peer, error) {
	p := &peer{dir: dir, cmd: exec.Command(command[0], append(command[1:], dir)...)}
	p.cmd.Stderr = os.Stderr
	p.cmd.Env = append(os.Environ(), "OMP_NUM_THREADS=1", "OPENBLAS_NUM_THREADS=1")
	var err error
	if p.in, err = p.cmd.StdinPipe(); err != nil {
		return nil, err
	}
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	p.out = bufio.NewReader(out)
	if err := p.cmd.Start(); err != nil {
		return nil, err
	}
	line, err := p.out.ReadString('\n')
	p.version = strings.TrimSpace(line)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", command[0], err)
	}
	return p, nil
}

// answer is what a kernel gave and took.
type answer struct {
	cpu     time.Duration
	count   int
	numbers []float64
}

func (p *peer) ask(kernel string) (a answer, err error) {
	if _, err := fmt.Fprintln(p.in, kernel); err != nil {
		return a, err
	}
	line, err := p.out.ReadString('\n')
	if err != nil {
		return a, fmt.Errorf("%s, %s: %w", p.version, kernel, err)
	}
	var seconds float64
	var n int
	if _, err := fmt.Sscan(line, &seconds, &a.count, &n); err != nil {
		return a, fmt.Errorf("%s, %s: %q: %w", p.version, kernel, line, err)
	}
	a.cpu = time.Duration(seconds * float64(time.Second))
	if n == 0 {
		return a, nil
	}
	f, err := os.Open(filepath.Join(p.dir, "answers"))
	if err != nil {
		return a, err
	}
	a.numbers = make([]float64, n)
	return a, errors.Join(binary.Read(bufio.NewReaderSize(f, 1<<20), binary.LittleEndian, a.numbers), f.Close())
}

func (p *peer) stop() error { return errors.Join(p.in.Close(), p.cmd.Wait()) }

// contest is one kernel that a peer and we both run.
type contest struct {
	key, what string
	ours      func() (count int, numbers []float64)
	// differ compares two answers and returns their largest difference in mm; nil where
	// the two define different things and only the counts are held against each other.
	differ func(theirs, ours []float64) (float64, error)
}

// result is one contest's outcome.
type result struct {
	what, rival  string
	theirs, ours time.Duration // medians of processor time
	least        float64       // their least time over our longest
	difference   float64       // mm; NaN where not compared
	count        int
}

// mostDifference is how far, mm, answers may differ.
const mostDifference = 1e-4

// race runs a contest so many times, rival and ours in turn, so that what else the
// machine does falls on both.
func race(p *peer, c contest, reps int) (r result, err error) {
	r = result{what: c.what, rival: p.version, difference: math.NaN()}
	var theirs, ours []time.Duration
	for range reps {
		t, err := p.ask(c.key)
		if err != nil {
			return r, err
		}
		runtime.GC()
		start := cpuTime()
		count, numbers := c.ours()
		ours = append(ours, cpuTime()-start)
		theirs = append(theirs, t.cpu)
		if count != t.count {
			return r, fmt.Errorf("%s: %s counts %d, we count %d", c.what, p.version, t.count, count)
		}
		r.count = count
		if c.differ == nil {
			continue
		}
		if r.difference, err = c.differ(t.numbers, numbers); err != nil {
			return r, fmt.Errorf("%s: %s and we: %w", c.what, p.version, err)
		}
	}
	slices.Sort(theirs)
	slices.Sort(ours)
	r.theirs, r.ours = theirs[(reps-1)/2], ours[(reps-1)/2]
	r.least = float64(theirs[0]) / float64(ours[reps-1])
	return r, nil
}

// sameNumbers compares distance by distance.
func sameNumbers(theirs, ours []float64) (most float64, err error) {
	if len(theirs) != len(ours) {
		return 0, fmt.Errorf("%d answers against %d", len(theirs), len(ours))
	}
	for i, d := range theirs {
		if d == ours[i] { // both nowhere
			continue
		}
		if e := math.Abs(d - ours[i]); !(e <= mostDifference) {
			return 0, fmt.Errorf("answer %d is %g mm against %g", i, d, ours[i])
		}
		most = max(most, math.Abs(d-ours[i]))
	}
	return most, nil
}

// registered is how far from the truth, mm, a motion of points with 10 µm of noise may
// lay them. The two fit by different losses, so their motions are not the same; each is
// held against the motion that the points were made with.
const registered = 0.005

// nearTruth returns the comparison of motions, three rows of four, at the corners of a box.
func nearTruth(truth r3.Rigid, box r3.Box) func(theirs, ours []float64) (float64, error) {
	return func(theirs, ours []float64) (float64, error) {
		var off [2]float64
		for k, m := range [2][]float64{theirs, ours} {
			if len(m) != 12 {
				return 0, fmt.Errorf("a motion of %d numbers", len(m))
			}
			g := r3.Rigid{
				R: r3.Mat{r3.V(m[0], m[1], m[2]), r3.V(m[4], m[5], m[6]), r3.V(m[8], m[9], m[10])},
				T: r3.V(m[3], m[7], m[11]),
			}
			for _, p := range [2]r3.Vec{box.Min, box.Max} {
				off[k] = max(off[k], g.Point(p).Dist(truth.Point(p)))
			}
		}
		if off[1] > registered || off[1] > 2*off[0]+mostDifference {
			return 0, fmt.Errorf("motions lie %.5f and %.5f mm off the truth", off[0], off[1])
		}
		return off[1], nil
	}
}

func motionNumbers(g r3.Rigid) []float64 {
	t := g.T.Array()
	var out []float64
	for i, row := range g.R {
		out = append(out, row.X, row.Y, row.Z, t[i])
	}
	return out
}
