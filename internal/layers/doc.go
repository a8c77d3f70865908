// Package layers holds the tests that guard the shape of the repository: who may
// import whom, what a public package may touch, how large files and functions
// may grow, that exported identifiers carry a comment, that a work cited in a
// comment stands in REFERENCES.bib, and that the tree names nothing of the
// machine it was written on.
//
// It exports nothing. A failure names the file, the line and what to do. The
// rules themselves are in ARCHITECTURE.md and CONTRIBUTING.md; change them there
// and here together.
package layers
