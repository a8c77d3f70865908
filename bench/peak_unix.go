//go:build unix

package main

import (
	"os"
	"runtime"
	"syscall"
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
