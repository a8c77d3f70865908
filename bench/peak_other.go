//go:build !unix

package main

import "time"

// peakBytes is not known on this system.
func peakBytes() int64 { return 0 }

var begun = time.Now()

// cpuTime returns the time since the start: the processor's own is not known here.
func cpuTime() time.Duration { return time.Since(begun) }
