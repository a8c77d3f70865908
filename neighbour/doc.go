// Package neighbour looks at the teeth beside a preparation: where the crown will
// meet each of them, how wide the gap is there and at the finish line, whether the
// side that faces the gap overhangs it, is hollow, or has lost something since the
// scan from before.
//
// [Measure] casts a raster of rays from the middle of the tooth at one neighbour.
// Everything is measured on that raster, in the frame of the scan that was cast at.
// Lengths are millimetres, directions unit vectors.
package neighbour
