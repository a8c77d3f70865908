// Package num holds the small numerical tools that several analyses share:
// eigenvalues and solutions of small symmetric systems, least squares with few
// unknowns, robust statistics, and harmonics on the circle.
//
// Everything is deterministic: sums run in the order of their input, ties are
// ordered by index, nothing is random. Sizes are small (up to a dozen unknowns),
// so the plain, stable algorithm is chosen over the fast one. Nothing here knows
// a unit; a comment on the caller's side says what a number means.
package num
