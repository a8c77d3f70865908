// Package review looks back: which work was seated as first made, why the rest was not,
// which findings were right, which were missing, and how long things took. It reads what
// happened in cases and keeps nothing; intervals and charts' limits are package quality's.
//
// What it counts is told by [Work]. Training cases are no cases and never come here.
package review
