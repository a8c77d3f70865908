// Package surface measures what a triangle mesh is like locally: its normals, how
// it curves, how noisy and how densely sampled it is, and how far apart two places
// are along it.
//
// Lengths are millimetres. Normals leave the solid. Curvature is positive where the
// surface is convex: a sphere of radius R has k1 = k2 = 1/R, a dent of that radius
// -1/R; k1 ≥ k2, the mean curvature is (k1+k2)/2 and the gaussian k1·k2. (Other
// libraries turn the sign round, or call the sum the mean.)
//
// The package does not decide what a ridge or a tooth is.
package surface
