package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/internal/study"
	"selvage/phantom"
)

// makeCase makes a case of four scans of about n triangles each, once.
func makeCase(folder string, n int) error {
	if _, err := os.Stat(filepath.Join(folder, "case.json")); err == nil {
		return nil
	} else if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	fmt.Printf("making a case of four scans of about %d triangles ...\n", n)
	c, err := sized(n)
	if err != nil {
		return err
	}
	order, files, err := study.Files("bench", c)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return err
	}
	for _, f := range files {
		if err := os.WriteFile(filepath.Join(folder, f.Name), f.Data, 0o666); err != nil {
			return err
		}
	}
	data, err := order.Encode()
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(folder, "case.json"), data, 0o666)
}

// sized makes a case each of whose scans has about n triangles. A phantom sizes its
// working scan, so every scan is made alone. All show one mouth in one frame.
func sized(n int) (phantom.Case, error) {
	var whole phantom.Case
	for _, role := range []string{phantom.Working, phantom.Opposing, phantom.Bite, phantom.Before} {
		c, err := scanOf(role, n)
		if err != nil {
			return whole, err
		}
		whole.Prescription = c.Prescription
		whole.Scans = append(whole.Scans, c.Scans...)
	}
	return whole, nil
}

// scanOf makes one scan of about n triangles, correcting the spacing by what came
// out before.
func scanOf(role string, n int) (c phantom.Case, err error) {
	spec := phantom.Default(26)
	spec.Roles = []string{role}
	spec.Scanner.Triangles = n
	for range 3 {
		if c, err = phantom.Make(spec); err != nil {
			return c, err
		}
		got := float64(len(c.Scans[0].Mesh.Tri)) / float64(n)
		if got > 0.95 && got < 1.05 {
			break
		}
		spec.Scanner.Triangles = int(float64(spec.Scanner.Triangles) / got)
	}
	return c, nil
}

// checkOnce checks the case in a folder, from its files, and prints the verdict and
// the number of triangles.
//
// With phases it says on standard error when each phase began.
func checkOnce(ctx context.Context, folder string, phases bool) error {
	data, err := os.ReadFile(filepath.Join(folder, "case.json"))
	if err != nil {
		return err
	}
	c, err := casefile.Parse(data)
	if err != nil {
		return err
	}
	in := check.Input{Case: c, Stage: finding.Final}
	for _, s := range c.Scans {
		data, err := os.ReadFile(filepath.Join(folder, s.File))
		if err != nil {
			return err
		}
		in.Files = append(in.Files, check.File{Name: s.File, Role: s.Role, Data: data})
	}
	var tell check.Progress
	if phases {
		tell = func(phase string, _, _ int) { fmt.Fprintf(os.Stderr, "%d %s\n", cpuTime().Nanoseconds(), phase) }
	}
	out, err := check.Run(ctx, in, tell)
	if err != nil {
		return err
	}
	if _, err := out.Report.Encode(); err != nil {
		return err
	}
	n := 0
	for _, s := range out.Report.Scans {
		n += s.Triangles
	}
	fmt.Printf("%s, %d scans, %d triangles in all", out.Report.Verdict, len(out.Report.Scans), n)
	if peak := peakBytes(); peak > 0 {
		fmt.Printf(", peak %d MiB", peak>>20)
	}
	return nil
}

// wholeCheck measures the check in processes of its own, on all cores and on one.
func wholeCheck(folder string, reps int) ([]row, error) {
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	var rows []row
	for _, cores := range []int{runtime.NumCPU(), 1} {
		var said string
		var cpu []time.Duration
		var fault error
		d := median(reps, func() {
			cmd := exec.Command(self, "-one", folder)
			cmd.Env = append(os.Environ(), fmt.Sprintf("GOMAXPROCS=%d", cores))
			cmd.Stderr = os.Stderr
			out, err := cmd.Output()
			if err != nil {
				fault = fmt.Errorf("check %s: %w", folder, err)
				return
			}
			said = strings.TrimSpace(string(out))
			cpu = append(cpu, cmd.ProcessState.UserTime()+cmd.ProcessState.SystemTime())
		})
		if fault != nil {
			return nil, fault
		}
		slices.Sort(cpu)
		rows = append(rows, row{
			what: "whole check, files to verdict", triangles: sizeOf(folder), cores: cores,
			median: d.Round(time.Millisecond), cpu: cpu[(len(cpu)-1)/2], note: said,
		})
	}
	return rows, nil
}

// inDetail runs one check on one core under the profiler.
func inDetail(folder string) (phases []phase, profile string, err error) {
	self, err := os.Executable()
	if err != nil {
		return nil, "", err
	}
	file := filepath.Join(folder, "check.prof")
	cmd := exec.Command(self, "-one", folder, "-phases", "-profile", file)
	cmd.Env = append(os.Environ(), "GOMAXPROCS=1")
	var said strings.Builder
	cmd.Stderr = &said
	if err := cmd.Run(); err != nil {
		return nil, "", fmt.Errorf("check %s: %w: %s", folder, err, said.String())
	}
	for l := range strings.Lines(said.String()) {
		at, name, _ := strings.Cut(strings.TrimSpace(l), " ")
		ns, err := strconv.ParseInt(at, 10, 64)
		if err != nil {
			return nil, "", fmt.Errorf("check %s said %q: %w", folder, l, err)
		}
		phases = append(phases, phase{name, time.Duration(ns)})
	}
	profile, err = topOf(self, file)
	return phases, profile, err
}

// sizeOf returns the number of triangles of the working scan, from its size.
func sizeOf(folder string) int {
	info, err := os.Stat(filepath.Join(folder, "working.stl"))
	if err != nil {
		return 0
	}
	return int((info.Size() - 84) / 50) // binary STL: 84 + 50 n bytes
}
