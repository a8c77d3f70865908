// Package coverage tells what a scan should show and does not, and whether the
// crown needs it.
//
// A gap in a scan matters only if the crown needs the surface that is missing and
// no other scan of the final stage shows it (doc of [Assess]). Every other gap is
// listed as idle, so that nobody scans it again for nothing. For each gap that
// matters the package says how to hold the scanner.
//
// Lengths are millimetres, directions unit vectors in the frame of the working
// scan. The scan from before treatment is no witness: it shows the same root and
// must not cover for a gap.
package coverage
