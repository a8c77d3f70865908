// Package stump models a prepared tooth as exact shapes and takes the truth about
// it from them: its insertion axis, margin, tapers, heights, shelf, resistance and
// undercut.
//
// A [Stump] lives in the frame of its tooth (mouth.Placed); [Sections] cut it in
// the die's frame: origin at the margin's centroid, +Z the insertion axis, azimuth
// from mesial by way of buccal. Lengths are mm, angles radians.
package stump
