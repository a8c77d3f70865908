package report

import (
	"fmt"
	"math"

	"selvage/finding"
	"selvage/tooth"
)

// glyph is the shape of a verdict. All four are the margin seen from above: whole
// for clear, broken at the place to scan, filled with a point to look at for the
// dentist, a row of beads where nothing could be told. They differ in outline, so
// they are told apart in grey, from two metres, and by anyone's eyes.
type glyph struct {
	Kind string // the verdict
	Ring string // path of the broken ring
	Head string // points of the arrow head that points at the gap
	X, Y string // the point to look at
}

const (
	glyphMiddle = 60.0 // of a square of side 120
	glyphRadius = 38.0
	glyphGap    = 0.62 // half the gap, radians
)

// glyphOf draws a verdict; side turns the gap or the point to where the worst
// finding lies on tooth n.
func glyphOf(v finding.Verdict, n tooth.Number, side tooth.Surface) glyph {
	g := glyph{Kind: string(v), X: num(glyphMiddle), Y: num(glyphMiddle)}
	x, y, ok := chartOf(n).toward(side)
	if ok {
		g.X, g.Y = num(glyphMiddle+22*x), num(glyphMiddle-22*y)
	} else {
		x, y = 0, -1 // no place: from below, which is no sign for anything else
	}
	a := math.Atan2(-y, x) // y down in the drawing
	point := func(r, a float64) (px, py float64) {
		return glyphMiddle + r*math.Cos(a), glyphMiddle + r*math.Sin(a)
	}
	x0, y0 := point(glyphRadius, a+glyphGap)
	x1, y1 := point(glyphRadius, a-glyphGap)
	g.Ring = fmt.Sprintf("M%.1f %.1fA%.0f %.0f 0 1 1 %.1f %.1f", x0, y0, glyphRadius, glyphRadius, x1, y1)
	tx, ty := point(24, a)
	lx, ly := point(57, a+0.24)
	rx, ry := point(57, a-0.24)
	g.Head = fmt.Sprintf("%.1f,%.1f %.1f,%.1f %.1f,%.1f", tx, ty, lx, ly, rx, ry)
	return g
}
