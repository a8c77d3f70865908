//go:build unix

package main

import (
	"fmt"
	"os"
	"strings"
	"syscall"
	"time"
)

// peakBytes returns the largest resident size of this process, 0 where it is not known.
// It is the kernel's own mark and not that of getrusage, which a child on Linux takes
// over from its parent: a bench that had held a big mesh lent its own peak to the check.
func peakBytes() int64 {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(status)) {
		var kib int64
		if n, _ := fmt.Sscanf(line, "VmHWM: %d kB", &kib); n == 1 {
			return kib << 10
		}
	}
	return 0
}

// cpuTime returns the processor time that this process has taken.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic("bench: " + err.Error())
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
