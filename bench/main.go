// Command bench measures how fast Selvage is on this machine: reading, welding,
// index, nearest points, rays, and a whole check from files to verdict, on made
// scans of 100,000, 400,000 and 1,600,000 triangles. It prints one table.
//
//	go run ./bench                      everything (make bench)
//	go run ./bench -sizes 400000        one size
//	go run ./bench -page FILE.md        also as a Markdown page
//	go run ./bench -peers               beside other libraries (make bench-peers)
//
// The scans are phantoms, made once and kept under out/bench. Times are medians of
// several repetitions; the whole check runs in a process of its own, whose peak
// memory is read from the operating system.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"runtime/pprof"
	"strconv"
	"strings"
)

func main() {
	sizes := flag.String("sizes", "100000,400000,1600000", "triangles per scan")
	reps := flag.Int("reps", 5, "repetitions, of which the median counts")
	page := flag.String("page", "", "also write the table to this Markdown file")
	dir := flag.String("dir", "out/bench", "where the made scans are kept")
	one := flag.String("one", "", "check the case in this folder once and print the verdict (used by the program itself)")
	phases := flag.Bool("phases", false, "with -one: say when each phase begins")
	rivals := flag.Bool("peers", false, "compare with installed libraries, show growth and the profile of the whole check")
	growTo := flag.Int("grow", 10_000_000, "with -peers: the largest mesh of the growth curve")
	profile := flag.String("profile", "", "with -one: write a CPU profile to this file")
	flag.Parse()
	var err error
	if *one != "" {
		debug.SetGCPercent(25) // as the program does
		err = profiled(*profile, func() error { return checkOnce(context.Background(), *one, *phases) })
	} else if *rivals {
		err = runPeers(*reps, *growTo, *dir, *page)
	} else {
		err = run(*sizes, *reps, *dir, *page)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

// profiled runs f, under the profiler where a file is named.
func profiled(file string, f func() error) error {
	if file == "" {
		return f()
	}
	w, err := os.Create(file)
	if err != nil {
		return err
	}
	if err := pprof.StartCPUProfile(w); err != nil {
		return err
	}
	err = f()
	pprof.StopCPUProfile()
	return errors.Join(err, w.Close())
}

func run(sizes string, reps int, dir, page string) error {
	t := table{machine: machine()}
	fmt.Println(t.machine)
	for _, s := range strings.Split(sizes, ",") {
		n, err := strconv.Atoi(s)
		if err != nil || n < 1000 {
			return fmt.Errorf("-sizes %s: want numbers of triangles from 1000", sizes)
		}
		folder := filepath.Join(dir, s)
		if err := makeCase(folder, n); err != nil {
			return err
		}
		rows, err := kernels(folder, reps)
		if err != nil {
			return err
		}
		whole, err := wholeCheck(folder, reps)
		if err != nil {
			return err
		}
		rows = append(rows, whole...)
		for _, r := range rows {
			fmt.Println(r.text())
		}
		t.rows = append(t.rows, rows...)
	}
	if page == "" {
		return nil
	}
	return os.WriteFile(page, []byte(t.page()), 0o666)
}

// fewestTurns is how often rival and ours are run in turn, at least.
const fewestTurns = 7

// runPeers measures what goes into doc/speed.md.
func runPeers(reps, growTo int, dir, page string) error {
	r := report{machine: machine(), reps: max(reps, fewestTurns)}
	r.loads[0] = load()
	fmt.Println(r.machine)
	var err error
	if r.peers, err = peers(dir, r.reps); err != nil {
		return err
	}
	var sizes []int
	for _, n := range []int{50_000, 200_000, 400_000, 1_600_000, 4_000_000, 10_000_000} {
		if n <= growTo {
			sizes = append(sizes, n)
		}
	}
	r.growth = grow(sizes)
	folder := filepath.Join(dir, strconv.Itoa(peerTriangles))
	if err := makeCase(folder, peerTriangles); err != nil {
		return err
	}
	if r.whole, err = wholeCheck(folder, reps); err != nil {
		return err
	}
	if r.phases, r.profile, err = inDetail(folder); err != nil {
		return err
	}
	r.copied = copyRate()
	r.loads[1] = load()
	fmt.Print(r.page())
	if page == "" {
		return nil
	}
	return os.WriteFile(page, []byte(r.page()), 0o666)
}

// machine says what the numbers were measured on.
func machine() string {
	return fmt.Sprintf("%s, %s/%s, %d cores%s", runtime.Version(), runtime.GOOS, runtime.GOARCH, runtime.NumCPU(), cpuName())
}

// cpuName reads the processor's name where the system tells it.
func cpuName() string {
	data, err := os.ReadFile("/proc/cpuinfo")
	if err != nil {
		return ""
	}
	for _, line := range strings.Split(string(data), "\n") {
		if name, ok := strings.CutPrefix(line, "model name"); ok {
			return ", " + strings.TrimSpace(strings.TrimLeft(name, "\t :"))
		}
	}
	return ""
}
