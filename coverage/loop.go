package coverage

import (
	"math"

	"selvage/mesh"
	"selvage/r3"
)

// loop is a boundary loop of a scan, as a hole to be filled.
type loop struct {
	surface *Surface
	piece   int32    // of the surface
	labels  []int32  // pieces of the surface's faces
	pts     []r3.Vec // around, in the frame of the scan
	middle  r3.Vec
	normal  r3.Vec  // unit, outward; zero for a loop of no area
	extent  float64 // longest way across
	area    float64 // of the cap over it
	edge    float64 // mean length of its edges
	rim     bool    // it runs round its piece, not round a hole in it
	loose   bool    // of a piece that is too small to be part of the scan
}

// Sizes of loops, mm.
const (
	// loopLeast is the extent below which a hole is a pinhole: several triangles
	// of a scan, and less than any limit of the table.
	loopLeast = 0.4
	// looseArea is the area, mm², below which a piece apart is a crumb: the top of
	// the smallest tooth has more.
	looseArea = 15.0
	// looseShare is the share of the scan's area that makes a piece part of it.
	looseShare = 0.02
)

// loops returns the boundary loops of a surface; pinholes are left out. Odd edges
// (non-manifold ones) make no hole.
func loops(s *Surface) []loop {
	labels, n := s.Topo.Components()
	area := make([]float64, n)
	total := 0.0
	for f, l := range labels {
		a := s.Mesh.AreaVector(mesh.FaceID(f)).Norm()
		area[l] += a
		total += a
	}
	longest := make([]int, n) // per piece, one plus the loop of largest extent
	var out []loop
	for _, l := range s.Topo.Loops() {
		if len(l) < 3 {
			continue
		}
		piece := labels[l[0].Face()]
		x := measureLoop(s, l)
		if x.extent < loopLeast {
			continue
		}
		x.piece, x.labels = piece, labels
		x.loose = area[piece] < looseArea && area[piece] < looseShare*total
		out = append(out, x)
		if k := longest[piece]; k == 0 || x.extent > out[k-1].extent {
			longest[piece] = len(out)
		}
	}
	for _, k := range longest {
		if k > 0 && out[k-1].extent > rimLeast {
			out[k-1].rim = true
		}
	}
	return out
}

// rimLeast is the extent from which the largest loop of a piece is its outer rim:
// a scan of one tooth is wider, a hole that wide would be half of it.
const rimLeast = 7.0

// measureLoop returns the geometry of one loop.
func measureLoop(s *Surface, half []mesh.HalfedgeID) loop {
	m := s.Mesh
	l := loop{surface: s}
	var sum, normals r3.Vec
	apex := make([]r3.Vec, len(half)) // the third corner of each face along the loop
	for i, h := range half {
		p := m.Pos[m.From(h)]
		apex[i] = m.Pos[m.To(mesh.Next(h))]
		l.pts = append(l.pts, p)
		sum = sum.Add(p)
		normals = normals.Add(m.AreaVector(h.Face()).UnitOr(r3.Vec{}))
	}
	l.middle = sum.Scale(1 / float64(len(l.pts)))
	var vec r3.Vec
	for i, p := range l.pts {
		q := l.pts[(i+1)%len(l.pts)]
		l.edge += p.Dist(q) / float64(len(l.pts))
		vec = vec.Add(p.Sub(l.middle).Cross(q.Sub(l.middle)).Scale(0.5))
	}
	l.area = vec.Norm()
	l.normal = vec.UnitOr(r3.Vec{})
	if l.normal.Dot(normals) < 0 {
		l.normal = l.normal.Neg()
	}
	l.extent = widest(l.pts)
	inward := 0.0
	for i, p := range l.pts {
		mid := p.Lerp(l.pts[(i+1)%len(l.pts)], 0.5)
		inward += apex[i].Sub(mid).UnitOr(r3.Vec{}).Dot(l.middle.Sub(mid).UnitOr(r3.Vec{}))
	}
	l.rim = inward > 0 // the faces lie towards the middle
	return l
}

// extentU is the expanded uncertainty (k = 2) of a loop's extent, mm: what is missing ends
// anywhere within an edge of the rim, evenly, at both ends of the way across, and
//
//	2·√(2/12)·edge
//
// is twice the standard deviation of their sum.
func (l *loop) extentU() float64 { return 2 * math.Sqrt(2.0/12) * l.edge }

// widest returns the largest distance between two of the points: the largest
// width over 64 directions and then the points that gave it, so it is exact for
// few points and within 0.5 % for many. Cost: O(64 n).
func widest(pts []r3.Vec) float64 {
	const directions = 64
	best := 0.0
	if len(pts) == 0 {
		return 0
	}
	golden := math.Pi * (3 - math.Sqrt(5))
	for i := range directions {
		z := 1 - (float64(i)+0.5)/directions // half the sphere: a width has two ends
		s, c := math.Sincos(golden * float64(i))
		d := r3.V(math.Sqrt(1-z*z)*c, math.Sqrt(1-z*z)*s, z)
		lo, hi := 0, 0
		for k, p := range pts {
			if x := p.Dot(d); x < pts[lo].Dot(d) {
				lo = k
			} else if x > pts[hi].Dot(d) {
				hi = k
			}
		}
		best = max(best, pts[lo].Dist(pts[hi]))
	}
	return best
}

// samples returns points on a fan over the loop from its middle: the cap.
func (l *loop) samples() []r3.Vec {
	out := []r3.Vec{l.middle}
	const most = 24 // around; more would test the same places again
	step := max(1, len(l.pts)/most)
	for i := 0; i < len(l.pts); i += step {
		out = append(out, l.middle.Lerp(l.pts[i], 0.4), l.middle.Lerp(l.pts[i], 0.8))
	}
	return out
}

// Cover by another scan.
const (
	coverLeast = 0.15 // mm: how far from the cap the other scan may lie, at least
	coverShare = 0.9  // of the samples
)

// coveredBy reports whether another scan shows what is missing in the loop: rays
// along the cap's normal meet it within max(coverLeast, the loop's inscribed
// radius, 2·area/perimeter) for nearly all samples.
func (l *loop) coveredBy(o *Surface) bool {
	if o == nil || o == l.surface || l.normal == (r3.Vec{}) {
		return false
	}
	round := 0.0
	for i, p := range l.pts {
		round += p.Dist(l.pts[(i+1)%len(l.pts)])
	}
	reach := max(coverLeast, 2*l.area/round)
	pts := l.samples()
	hit := 0
	for _, p := range pts {
		if o.Tree.Occluded(p, l.normal, -reach, reach) {
			hit++
		}
	}
	return float64(hit) >= coverShare*float64(len(pts))
}
