// Command bench measures how fast Selvage is on this machine: reading, welding,
// index, nearest points, rays, and a whole check from files to verdict, on made
// scans of 100,000, 400,000 and 1,600,000 triangles. It prints one table.
//
//	go run ./bench                      everything (make bench)
//	go run ./bench -sizes 400000        one size
//	go run ./bench -page doc/speed.md   also as a Markdown page
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
	profile := flag.String("profile", "", "with -one: write a CPU profile to this file")
	flag.Parse()
	var err error
	if *one != "" {
		debug.SetGCPercent(25) // as the program does
		err = profiled(*profile, func() error { return checkOnce(context.Background(), *one) })
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
