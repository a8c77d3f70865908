package register

import (
	"cmp"
	"math"
	"slices"

	"selvage/mesh"
	"selvage/r3"
)

// sample is a point that stands for a piece of a surface, with the mean normal there.
type sample struct{ p, n r3.Vec }

// thin returns one sample per cube of space, of the given edge, that the surface passes:
// the centroid of the face nearest to the middle of the surface in the cube, with the
// area-weighted mean normal. Samples come in the order of their cubes. A cube in which
// normals cancel gives none. Cost: O(F log F).
func thin(m *mesh.Mesh, edge float64) []sample {
	type entry struct {
		cube uint64
		f    mesh.FaceID
	}
	in := make([]entry, 0, len(m.Tri))
	low := m.Box().Min
	for f := range mesh.FaceID(len(m.Tri)) {
		// 21 bits for each coordinate: two million cubes, a kilometre. What lies beyond
		// is no scan, and shares a cube.
		d := m.Centroid(f).Sub(low).Scale(1 / edge)
		const most = 1<<21 - 1
		x, y, z := min(d.X, most), min(d.Y, most), min(d.Z, most)
		in = append(in, entry{uint64(x)<<42 | uint64(y)<<21 | uint64(z), f})
	}
	slices.SortFunc(in, func(a, b entry) int {
		if a.cube != b.cube {
			return cmp.Compare(a.cube, b.cube)
		}
		return cmp.Compare(a.f, b.f)
	})
	var out []sample
	var faces []mesh.FaceID
	for from := 0; from < len(in); {
		to := from
		faces = faces[:0]
		for ; to < len(in) && in[to].cube == in[from].cube; to++ {
			faces = append(faces, in[to].f)
		}
		if s, ok := standIn(m, faces); ok {
			out = append(out, s)
		}
		from = to
	}
	return out
}

// standIn returns the sample that stands for some faces.
func standIn(m *mesh.Mesh, faces []mesh.FaceID) (s sample, ok bool) {
	var mid, normal r3.Vec
	total := 0.0
	for _, f := range faces {
		a := m.AreaVector(f)
		w := a.Norm()
		mid, normal, total = mid.AddScaled(w, m.Centroid(f)), normal.Add(a), total+w
	}
	if s.n, ok = normal.Unit(); !ok {
		return s, false
	}
	mid = mid.Scale(1 / total)
	best := math.Inf(1)
	for _, f := range faces {
		if c := m.Centroid(f); c.Dist2(mid) < best {
			best, s.p = c.Dist2(mid), c
		}
	}
	return s, true
}

// smoothNormals replaces each normal by the mean of those within radius that do not face
// away, so that a frame built on it survives noise and another sampling.
func smoothNormals(s []sample, g *grid, radius float64) []r3.Vec {
	out := make([]r3.Vec, len(s))
	for i, a := range s {
		sum := r3.Vec{}
		g.near(a.p, radius, func(j int32) {
			if b := &s[j]; b.n.Dot(a.n) > 0 && b.p.Dist2(a.p) <= radius*radius {
				sum = sum.Add(b.n)
			}
		})
		out[i] = sum.UnitOr(a.n)
	}
	return out
}

// every returns about n of s, evenly by number.
func every(s []sample, n int) []sample {
	if len(s) <= n {
		return s
	}
	out := make([]sample, 0, n)
	for i := range n {
		out = append(out, s[i*len(s)/n])
	}
	return out
}

// grid finds the samples in reach of a place: samples in order of cube, and where each
// cube begins.
type grid struct {
	edge  float64
	low   [3]int32
	size  [3]int32
	start []int32
	order []int32
}

// newGrid sorts the samples into cubes of the given edge. The cubes span the bounding
// box; their edge is enlarged until there are no more than 16 per sample.
func newGrid(s []sample, edge float64) *grid {
	box := r3.EmptyBox()
	for _, a := range s {
		box = box.Extend(a.p)
	}
	g := &grid{edge: edge}
	for {
		g.low = cellOf(box.Min, g.edge)
		high := cellOf(box.Max, g.edge)
		cubes := 1.0
		for k := range 3 {
			g.size[k] = high[k] - g.low[k] + 1
			cubes *= float64(g.size[k])
		}
		if cubes <= 16*float64(len(s))+1024 {
			break
		}
		g.edge *= 1.5
	}
	g.start = make([]int32, int(g.size[0])*int(g.size[1])*int(g.size[2])+1)
	for _, a := range s {
		g.start[g.index(cellOf(a.p, g.edge))+1]++
	}
	for i := 1; i < len(g.start); i++ {
		g.start[i] += g.start[i-1]
	}
	g.order = make([]int32, len(s))
	fill := slices.Clone(g.start)
	for i, a := range s {
		c := g.index(cellOf(a.p, g.edge))
		g.order[fill[c]] = int32(i)
		fill[c]++
	}
	return g
}

func (g *grid) index(c [3]int32) int {
	return (int(c[0]-g.low[0])*int(g.size[1])+int(c[1]-g.low[1]))*int(g.size[2]) + int(c[2]-g.low[2])
}

// near calls do for the samples in the cubes that a ball of the given radius meets.
func (g *grid) near(p r3.Vec, radius float64, do func(i int32)) {
	d := r3.V(radius, radius, radius)
	lo, hi := cellOf(p.Sub(d), g.edge), cellOf(p.Add(d), g.edge)
	for k := range 3 {
		lo[k], hi[k] = max(lo[k], g.low[k]), min(hi[k], g.low[k]+g.size[k]-1)
	}
	for x := lo[0]; x <= hi[0]; x++ {
		for y := lo[1]; y <= hi[1]; y++ {
			if lo[2] > hi[2] {
				continue
			}
			a, b := g.index([3]int32{x, y, lo[2]}), g.index([3]int32{x, y, hi[2]})
			for _, i := range g.order[g.start[a]:g.start[b+1]] {
				do(i)
			}
		}
	}
}
