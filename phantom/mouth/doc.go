// Package mouth models teeth, gum and arch as exact fields: crowns of each class
// from the dimension table, with cusps, fissures and height of contour, set along
// a beta-function arch until neighbours touch, and gum that hugs them with
// scallops and papillae.
//
// A tooth's own frame has its origin on the long axis at the level of the
// cementoenamel junction mid-buccally, +X towards mesial, +Y towards buccal, +Z
// towards occlusal; it is right-handed in the canonical mouth, a lower left
// quadrant: +X to the left, +Y to the back, +Z up. Every other quadrant is its
// exact mirror image ([Quadrant]). Lengths are mm, angles radians.
package mouth
