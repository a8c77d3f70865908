package main

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"strings"
	"time"
)

// report is everything that goes into doc/speed.md.
type report struct {
	machine string
	reps    int
	peers   []result
	growth  []growth
	whole   []row
	phases  []phase
	profile string // lines of go tool pprof
	copied  float64
	loads   [2]string // of the machine, when the run began and ended
}

func (r result) text() string {
	return fmt.Sprintf("%-70s %-14s %9.1f ms, ours %9.1f ms, %5.2f times as fast (at least %.2f), %s", r.what, r.rival, ms(r.theirs), ms(r.ours), r.ratio(), r.least, r.differs())
}

func (r result) ratio() float64 { return float64(r.theirs) / float64(r.ours) }

func (r result) differs() string {
	if math.IsNaN(r.difference) {
		return fmt.Sprintf("%d counted", r.count)
	}
	return fmt.Sprintf("%d counted, answers within %.1g mm", r.count, r.difference)
}

// page writes the report as Markdown.
func (r report) page() string {
	var b strings.Builder
	line := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	line("# Speed\n")
	line("Made by `make bench-peers`; do not edit. %s.\n", r.machine)
	line("All times but wall times are processor time: while anything else runs, wall time says nothing. Processes that")
	line("waited for a core: %s when the run began, %s when it ended. From two on, cores and caches are shared, and processor", r.loads[0], r.loads[1])
	line("time too is longer than on a quiet machine; the ratios hold better, since rival and ours take turns.\n")
	line("## Against general-purpose libraries\n")
	line("One thread each, %d triangles, rival and ours in turn %d times, medians. Ratio is theirs over ours; in", peerTriangles, r.reps)
	line("brackets the rival's least time over our longest. The run fails where counts differ or answers by more than")
	line("%g mm. \"Off the truth\" is how far our motion lies from the one that the points were moved by.\n", mostDifference)
	line("| kernel | rival | rival, ms | ours, ms | ratio | answers |")
	line("| --- | --- | ---: | ---: | ---: | --- |")
	for _, p := range r.peers {
		line("| %s | %s | %.1f | %.1f | %.2f (%.2f) | %s |", p.what, p.rival, ms(p.theirs), ms(p.ours), p.ratio(), p.least, p.differs())
	}
	r.growthPart(line)
	r.wholePart(line)
	return b.String()
}

func (r report) growthPart(line func(string, ...any)) {
	line("\n## Growth\n")
	line("Nanoseconds a triangle on one thread (of the nearest points: a query), and bytes alive a triangle: mesh,")
	line("half-edges, index and pseudo-normals. A straight row grows as n; n log n adds 1.6 times over the table.\n")
	line("| triangles | %s | bytes |", strings.Join(growthKernels, " | "))
	line("| ---: |%s ---: |", strings.Repeat(" ---: |", len(growthKernels)))
	for _, g := range r.growth {
		cells := make([]string, len(g.cpu))
		for k, d := range g.cpu {
			n := g.triangles
			if growthKernels[k] == "100,000 nearest points" {
				n = queries
			}
			cells[k] = fmt.Sprintf("%.0f", float64(d.Nanoseconds())/float64(n))
		}
		line("| %d | %s | %d |", g.triangles, strings.Join(cells, " | "), g.heap/uint64(g.triangles))
	}
}

func (r report) wholePart(line func(string, ...any)) {
	line("\n## The whole check\n")
	line("Four scans, files to verdict and JSON, each run in a process of its own.\n")
	line("| triangles of the working scan | cores | processor time, s | wall time, s | |")
	line("| ---: | ---: | ---: | ---: | --- |")
	for _, w := range r.whole {
		line("| %d | %d | %.2f | %.2f | %s |", w.triangles, w.cores, w.cpu.Seconds(), w.median.Seconds(), w.note)
	}
	line("\nWhen each phase begins, on one core, in seconds of processor time since the start:\n")
	line("| phase | begins at |")
	line("| --- | ---: |")
	for _, p := range r.phases {
		line("| %s | %.2f |", p.name, p.at.Seconds())
	}
	line("\n### Where the time goes\n")
	line("The profile of one run on one core: own time, share, and time with what is called.\n")
	line("```text\n%s```", r.profile)
	line("\n### The physical limit\n")
	line("Memory moves %.1f GB/s here. The 80 MB of four scans of 400,000 triangles cross it in %.0f ms, and all that is", r.copied/1e9, 80e6/r.copied*1e3)
	line("kept of them, some 300 MB, in %.0f ms: everything above that is computation.", 300e6/r.copied*1e3)
}

// load returns the number of processes that run or wait, averaged over a minute.
func load() string {
	data, err := os.ReadFile("/proc/loadavg")
	if err != nil {
		return "not known"
	}
	first, _, _ := strings.Cut(string(data), " ")
	return first
}

// phase is when a phase of a check begins.
type phase struct {
	name string
	at   time.Duration // processor time
}

// topOf returns the lines of a CPU profile that name our functions, by time with what
// they call, without the runtime's.
func topOf(binary, profile string) (string, error) {
	out, err := exec.Command("go", "tool", "pprof", "-top", "-cum", "-nodecount=120", binary, profile).Output()
	if err != nil {
		return "", fmt.Errorf("go tool pprof: %w", err)
	}
	var b strings.Builder
	lines := 0
	for _, l := range strings.Split(string(out), "\n") {
		if f := strings.Fields(l); len(f) >= 6 && strings.HasPrefix(f[5], "selvage/") && !strings.Contains(f[5], ".func") && lines < 40 {
			fmt.Fprintf(&b, "%8s %7s %8s  %s\n", f[0], f[1], f[3], strings.TrimPrefix(f[5], "selvage/"))
			lines++
		}
	}
	return b.String(), nil
}
