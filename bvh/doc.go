// Package bvh answers where questions about a triangle mesh: the nearest point of
// the surface, what a ray hits, which faces lie in a sphere or a box, and on which
// side of the surface a point is.
//
// Start with [Build]; every query is a method of the [Tree]. Lengths are in the
// mesh's unit (millimetres), a ray's parameter in lengths of its direction. A tree
// is not altered by queries and may be shared by any number of goroutines.
//
// Every answer is the one that the plain loop over all faces gives, bit for bit
// ([Brute] is that loop, and the tests compare the two): the bounds in the tree are
// conservative, and equal distances go to the lowest face id. Neither the number of
// cores nor the shape of the tree can change a result.
//
// The package does not judge: it does not know whether a face was scanned well, and
// on an open mesh a signed distance is that to the nearest sheet, no more.
package bvh
