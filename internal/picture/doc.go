// Package picture draws scans: deterministic pictures in software, without a
// graphics card, and sections as vector drawings.
//
// It answers "where on the tooth, and seen from where?". A [Scene] names the
// surfaces, the camera and the marks; [Scene.Draw] makes the image and
// [Encode] a compact PNG. On top of that, [ForReport] takes a finished report and the scans
// that it was measured on and makes one picture down the insertion axis, one of
// the arches in bite, and two for every finding: the spot in the middle as a
// person would look at it, and how to hold the scanner.
//
// Lengths are millimetres in the frame of the meshes that are given; all meshes
// of one scene share one frame. Angles are radians. The camera is orthographic,
// so that the scale bar holds everywhere in the picture.
//
// The same scene gives the same bytes for any number of cores: the image is
// split into bands of rows by index, every band sees the triangles in their
// order, and nothing is summed across bands. Coverage is decided with integers.
//
// Nothing is told by colour alone: doubtful margin is dashed, margin that was
// not captured is a row of open beads under a hatched arc, values carry contour
// lines with millimetres on them, the inside of a surface is hatched.
//
// The package measures nothing. It shows what a report says; where a value is
// missing the surface keeps its neutral tone.
package picture
