//go:build unix

package main

import (
	"os"
	"runtime"
	"syscall"
	"time"
)

// peakBytes returns the largest resident size of a process that has ended.
func peakBytes(p *os.ProcessState) int64 {
	u, ok := p.SysUsage().(*syscall.Rusage)
	if !ok {
		return 0
	}
	if runtime.GOOS == "darwin" { // bytes there, KiB elsewhere
		return u.Maxrss
	}
	return u.Maxrss << 10
}

// cpuTime returns the processor time that this process has taken.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic("bench: " + err.Error())
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
