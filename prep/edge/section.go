package edge

import (
	"math"

	"selvage/mesh"
	"selvage/prep"
	"selvage/r3"
)

// Windows of a section, mm: vertices within alongReach along the edge and acrossReach
// across it, fewestPoints of them at least.
const (
	alongReach   = 0.3
	fewestPoints = 20
)

// acrossReach are the half-widths of a section, mm, tried in this order. The first is for
// most edges; the wide one shows the flanks of a wide round; the narrow ones keep a second
// edge near by out: an incisal edge is a millimetre thick.
var acrossReach = [...]float64{0.65, 0.95, 0.45, 0.3}

// widestArc is the greatest radius, mm, that each of these sections shows with enough of its
// flanks. Where less of them is in it the fit has a second minimum, in which a flank takes
// part of the arc's bend and the round comes out sharper by a third.
var widestArc = [...]float64{0.65, 0.95, 0.3, 0.2}

// mostFlank is the most that a flank bends, 1/mm: biting surfaces do by some tenths, and
// one that seems to bend by more is a part of the round.
const mostFlank = 0.6

// fitPlace fits the edge at a seed. ok is false where no round between two flanks
// describes the surface: the turn is under leastTurn, a flank is not seen, or what
// the fit leaves is far above the noise.
func fitPlace(p *prep.Preparation, in []mesh.VertexID, s seed) (Place, bool) {
	f, doubt, ok := roundAt(p, in, s.frame)
	if !ok {
		return Place{}, false
	}
	pl := Place{
		At:     s.frame.Inverse().Point(r3.V(f.crest().x, f.crest().y, 0)),
		Along:  s.frame.Inverse().Dir(r3.V(0, 0, 1)),
		Normal: s.frame.Inverse().Dir(r3.V(f.bisector().x, f.bisector().y, 0)),
		Turn:   f.a + f.b, Arc: f.r,
	}
	pl.Radius, pl.U, pl.fixed, pl.scatter = f.radiusU(p.Spacing)
	pl.fixed += doubt * pl.Radius
	pl.U += doubt * pl.Radius
	return pl, true
}

// roundAt fits the round at a seed: in the first section that has room for it; else in the
// first that shows flanks which bend no more than those of teeth do; else in the first that
// shows a round at all. doubt is the share of the radius that may be wrong for that.
func roundAt(p *prep.Preparation, in []mesh.VertexID, frame r3.Rigid) (f round, doubt float64, ok bool) {
	noise := max(p.Noise, leastNoise)
	var bent, straight round
	anyBent, anyStraight := false, false
	for i, across := range acrossReach {
		g, fits := fitRound(section(p, in, frame, across), noise)
		flat := max(g.ka, g.kb) <= mostFlank
		switch {
		case !fits:
		case flat && g.r <= widestArc[i]:
			return g, 0, true
		case flat && !anyStraight:
			straight, anyStraight = g, true
		case !anyBent:
			bent, anyBent = g, true
		}
	}
	if anyStraight {
		return straight, crampedDoubt, true
	}
	return bent, bentDoubt, anyBent
}

// crampedDoubt and bentDoubt are the shares of the radius by which a round may be wrong
// where no section has room enough for it, and where its flanks bend as rounds do.
const (
	crampedDoubt = 0.1
	bentDoubt    = 0.25
)

// leastNoise is the deviation that a fit is not expected to go below, mm: rounding of
// the file and the flanks' own shape.
const leastNoise = 0.003

// facing is the least part of a normal that must lie in the section: beyond 45° the
// surface belongs to another edge.
const facing = 0.7

// section gathers the vertices of a slab square to the edge, as points of the plane.
// A point beside the edge must face to that side, or it belongs to something beyond.
func section(p *prep.Preparation, in []mesh.VertexID, frame r3.Rigid, across float64) []point {
	var pts []point
	back := frame.Inverse()
	o := back.Point(r3.Vec{})
	reach2 := 4*across*across + alongReach*alongReach
	for _, v := range in {
		pos := p.Mesh.Pos[v]
		if pos.Dist2(o) > reach2 {
			continue
		}
		d := frame.Point(pos)
		if math.Abs(d.Z) > alongReach || math.Hypot(d.X, d.Y) > 1.5*across || math.Abs(d.X) > across {
			continue
		}
		n := frame.Dir(p.Normals[v])
		if math.Hypot(n.X, n.Y) < facing || n.X*d.X < -0.3*math.Abs(d.X) && math.Abs(d.X) > 0.1 {
			continue
		}
		pts = append(pts, point{d.X, d.Y, d.Z})
	}
	return pts
}
