//go:build !unix

package main

import "os"

// peakBytes is not known on this system.
func peakBytes(*os.ProcessState) int64 { return 0 }
