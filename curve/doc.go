// Package curve handles polylines in space: a margin line, a profile cut through a
// tooth, the ridge of an arch.
//
// A [Polyline] is a list of points, closed or open. Lengths are millimetres; a
// place on a curve is given by its arc length from the first point. Functions
// return new curves and alter none. A curve of no points has no length, and
// queries on it answer ok = false.
package curve
