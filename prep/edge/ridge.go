package edge

import (
	"math"

	"selvage/mesh"
	"selvage/prep"
	"selvage/r3"
	"selvage/surface"
)

const (
	// clearOfMargin is how far from the margin an edge must lie, mm: the margin's own
	// flanks are fitted over 0.42 mm.
	clearOfMargin = 0.6
	// jetRadius is the radius, mm, of the neighbourhood whose curvature points to an
	// edge. Three spacings of a good scan.
	jetRadius = 0.3
	// bentFrom is the curvature, 1/mm, from which a vertex may lie on an edge: that of
	// a round of 0.8 mm, beyond the largest tool.
	bentFrom = 1 / 0.8
	// leastRidge is how much more an edge bends across than along: the end of a premolar's
	// cusp bends by half as much along the line angle as across it.
	leastRidge = 1.2
	// crestReach is how far across the edge a vertex must be the most bent, mm.
	crestReach = 0.3
	// seedApart is the distance of sections along an edge, mm.
	seedApart = 0.13
)

// overUnread is how far above the proposed line, mm, surface counts to the preparation
// where the line could not be read: gum or paste that lies over it reaches up as far, and
// its own crest is no edge of the tooth.
const overUnread = 1.5

// unreadReach is how many points beside one that could not be read count with it: five
// degrees.
const unreadReach = 10

// inside lists the vertices of the preparation proper: within the margin's outline,
// above its level, clear of the line itself and of the rim of the scan, and above the
// foot of the wall: where the line wanders off under tissue, the margin itself would else
// pass for a sharp edge inside it. unread is the share of the way round on which surface up
// to overUnread above the line is left out.
func inside(m *prep.Margin) (in []mesh.VertexID, unread float64) {
	p := m.Fan.Prep
	g := p.Frame()
	n := len(m.Points)
	line := make([]r3.Vec, n)
	for i := range line {
		line[i] = g.Point(m.Points[i].At)
	}
	above := make([]float64, n) // the line by which surface begins to count
	for i := range above {
		above[i] = clearOfMargin / 2
		for d := -unreadReach; d <= unreadReach; d++ {
			if !m.Points[(i+d+n)%n].Traced {
				above[i] = overUnread
			}
		}
		if above[i] == overUnread {
			unread += 1 / float64(n)
		}
	}
	for v, pos := range p.Mesh.Pos {
		q := g.Point(pos)
		k := int(math.Round(math.Atan2(q.Y, q.X)/(2*math.Pi)*float64(n))) + n
		e := line[k%n]
		if p.Rim[v] || q.Z < e.Z+above[k%n] || q.X*q.X+q.Y*q.Y > e.X*e.X+e.Y*e.Y {
			continue
		}
		if w := &m.Walls[k%n]; w.Found() && q.Z < m.Fan.Profiles[k%n].Z[w.Foot] {
			continue
		}
		if clear(line, k, q) {
			in = append(in, mesh.VertexID(v))
		}
	}
	return in, unread
}

// clear reports whether q is clearOfMargin away from the line near its point k.
func clear(line []r3.Vec, k int, q r3.Vec) bool {
	n := len(line)
	const reach = 40 // points each way: 20 degrees
	for d := -reach; d <= reach; d += 2 {
		if line[(k+d+n)%n].Dist2(q) < clearOfMargin*clearOfMargin {
			return false
		}
	}
	return true
}

// seed is a vertex on the crest of an edge.
type seed struct {
	at    r3.Vec
	frame r3.Rigid // x across the edge, y outwards, z along it
}

// seeds lists crest vertices about seedApart from one another: where the larger
// principal curvature is greater than at any vertex beside it across the edge.
func seeds(p *prep.Preparation, in []mesh.VertexID) []seed {
	var bent []mesh.VertexID
	var curv []surface.Principal // of bent
	for i, c := range surface.CurvatureOf(p.Mesh, p.Topo, p.Normals, in, max(jetRadius, 3*p.Spacing)) {
		if c.K1 > bentFrom {
			bent, curv = append(bent, in[i]), append(curv, c)
		}
	}
	var out []seed
	for i, v := range bent {
		c := &curv[i]
		if c.K1 < leastRidge*math.Abs(c.K2) { // a cusp's tip or a saddle: no edge
			continue
		}
		crest := true
		for k, w := range bent {
			d := p.Mesh.Pos[w].Sub(p.Mesh.Pos[v])
			if curv[k].K1 > c.K1 && d.Norm2() < crestReach*crestReach && math.Abs(d.Dot(c.D1)) > math.Abs(d.Dot(c.D2)) {
				crest = false
				break
			}
		}
		if !crest {
			continue
		}
		at := p.Mesh.Pos[v]
		near := false
		for k := range out {
			near = near || out[k].at.Dist(at) < seedApart
		}
		if near {
			continue
		}
		n := p.Normals[v]
		z := c.D2.Reject(n).UnitOr(p.Axis)
		out = append(out, seed{at: at, frame: r3.FrameTo(at, n.Cross(z), n, z)})
	}
	return out
}
