package surface

import (
	"math"

	"selvage/internal/num"
	"selvage/mesh"
	"selvage/r3"
)

// Sampling is how densely a scan samples the surface along a line.
type Sampling struct {
	Median   float64 // mm, median edge within samplingReach of the line
	Coarsest float64 // mm, the largest local median along it
	At       r3.Vec  // where that is, on the line
	Index    int     // the point of the line nearest to it
	Edges    int     // how many edges Median rests on
}

const (
	// samplingReach is how far from the line edges count, mm [trade §4.3].
	samplingReach = 0.5

	// samplingEdges is the fewest edges that make a local median: at 0.3 mm
	// spacing, thrice too coarse, a ball of 0.5 mm on a flat still holds about 25.
	// With fewer the surface is missing there, and coverage speaks of that.
	samplingEdges = 8

	// longestEdge bounds how far from the line, mm, a face that counts may start:
	// its reach and an edge that would be ten times too long.
	longestEdge = samplingReach + 1.5
)

// SamplingAlong returns the median length of the edges whose midpoint lies within
// 0.5 mm of a line, and where along it the local median, of the edges within 0.5 mm
// of one point, is largest.
//
// line is a dense polyline, a margin for example: its points are to be no more than
// about 0.25 mm apart, half the reach. A chord c across an edge of radius r misses
// it by c²/8r: 0.1 mm misses a crisp margin of 0.05 mm radius by 25 µm. ok is false
// where hardly any surface lies along the line. Cost: O(F + edges near the line).
func SamplingAlong(m *mesh.Mesh, line []r3.Vec) (s Sampling, ok bool) {
	near := newHash(line, samplingReach)
	box := r3.BoxOf(line...).Grow(longestEdge)
	local := make([][]float64, len(line))
	var all []float64
	for f, t := range m.Tri {
		if !box.Contains(m.Pos[t[0]]) {
			continue
		}
		a, b, c := m.Corners(mesh.FaceID(f))
		for _, e := range [3][2]r3.Vec{{a, b}, {b, c}, {c, a}} {
			mid, length, hit := e[0].Lerp(e[1], 0.5), e[0].Dist(e[1]), false
			for _, i := range near.around(mid) {
				if line[i].Dist2(mid) <= samplingReach*samplingReach {
					local[i] = append(local[i], length)
					hit = true
				}
			}
			if hit {
				all = append(all, length)
			}
		}
	}
	if len(all) < samplingEdges {
		return Sampling{}, false
	}
	s = Sampling{Median: num.Nth(all, len(all)/2), Edges: len(all), Index: -1}
	for i, l := range local {
		if len(l) < samplingEdges {
			continue
		}
		if x := num.Nth(l, len(l)/2); x > s.Coarsest {
			s.Coarsest, s.Index, s.At = x, i, line[i]
		}
	}
	return s, s.Index >= 0
}

// MedianAlong is the Median of [SamplingAlong], for who asks for nothing else: an edge is
// known to be near from the first point that it is near to.
func MedianAlong(m *mesh.Mesh, line []r3.Vec) (median float64, ok bool) {
	near := newHash(line, samplingReach)
	box := r3.BoxOf(line...).Grow(longestEdge)
	count := make([]int, len(line)) // of edges, until one has enough
	var all []float64
	for f, t := range m.Tri {
		if !box.Contains(m.Pos[t[0]]) {
			continue
		}
		a, b, c := m.Corners(mesh.FaceID(f))
		for _, e := range [3][2]r3.Vec{{a, b}, {b, c}, {c, a}} {
			mid, hit := e[0].Lerp(e[1], 0.5), false
			for _, i := range near.around(mid) {
				if line[i].Dist2(mid) > samplingReach*samplingReach {
					continue
				}
				hit = true
				if ok {
					break
				}
				count[i]++
				ok = count[i] >= samplingEdges
			}
			if !hit {
				continue
			}
			length := e[0].Dist(e[1])
			if length == 0 { // edges without length may be most of a place's
				s, ok := SamplingAlong(m, line)
				return s.Median, ok
			}
			all = append(all, length)
		}
	}
	if !ok {
		return 0, false
	}
	return num.Nth(all, len(all)/2), true
}

// hash is a grid of cells over some points; each cell knows the points in it and in
// the 26 around it, in rising order.
type hash struct {
	size  float64
	cells map[[3]int32][]int32
	last  [3]int32 // the cell that was asked about last, and its points:
	list  []int32  // midpoints of a mesh follow one another
}

func newHash(pts []r3.Vec, size float64) *hash {
	h := &hash{size: size, cells: make(map[[3]int32][]int32)}
	for i, p := range pts {
		k := h.key(p)
		for x := k[0] - 1; x <= k[0]+1; x++ {
			for y := k[1] - 1; y <= k[1]+1; y++ {
				for z := k[2] - 1; z <= k[2]+1; z++ {
					c := [3]int32{x, y, z}
					h.cells[c] = append(h.cells[c], int32(i))
				}
			}
		}
	}
	h.list = h.cells[h.last]
	return h
}

func (h *hash) key(p r3.Vec) [3]int32 {
	return [3]int32{
		int32(math.Floor(p.X / h.size)), int32(math.Floor(p.Y / h.size)), int32(math.Floor(p.Z / h.size)),
	}
}

// around returns the points near p: at least all within size of it.
func (h *hash) around(p r3.Vec) []int32 {
	if k := h.key(p); k != h.last {
		h.last, h.list = k, h.cells[k]
	}
	return h.list
}
