// Package outside holds the tests that ask somebody else: general-purpose mesh
// libraries by other authors, published tables and worked examples, and real casts
// into which preparations are cut by construction. It
// exports nothing.
//
// The libraries come from npm and run under Node in a process of their own
// (peer/peer.mjs); `make test` installs them. Where Node or the packages are
// absent the tests that need them say so and are skipped, except under CI, where
// an absence fails.
package outside
