package packed

import (
	"math"

	"selvage/mesh"
	"selvage/r3"
)

// CoarseTarget is the number of triangles of a twin: three of them are turned together
// by a browser without a graphics card.
const CoarseTarget = 28_000

// perCell is how many triangles stay for each cell that the surface passes through:
// a plane in general position meets about 1.5 cells for each square of a cell's side,
// each becomes one vertex, and a surface has two triangles per vertex.
const perCell = 2

// Coarse makes a twin of m with about target triangles, for drawing while the model
// is turned: the vertices of each cubic cell become their mean, and triangles that
// fall into two cells or one are dropped. Values and colours are means over the
// vertices of a cell that have one. A mesh of no more than target triangles comes back
// as it is. Thin walls narrower than a cell are not kept apart; never measure on it.
//
// Cost: O(faces). Deterministic.
func Coarse(m *mesh.Mesh, values []Value, target int) (*mesh.Mesh, []Value) {
	if len(m.Tri) <= target || target < 1 {
		return m, values
	}
	side := math.Sqrt(area(m) * perCell * 1.5 / float64(target))
	if !(side > 0) {
		return m, values
	}
	c := clusters(m, side)
	pos := c.points(m)
	tri := c.triangles(m, pos)
	// One correction: the number of triangles goes with one over the square of the side.
	if got := float64(len(tri)) / float64(target); got > 1.15 || got < 0.85 && len(tri) > 0 {
		c = clusters(m, side*math.Sqrt(got))
		pos = c.points(m)
		tri = c.triangles(m, pos)
	}
	out := &mesh.Mesh{Pos: pos, Tri: tri, Color: c.colours(m)}
	twin := make([]Value, len(values))
	for i, v := range values {
		twin[i] = Value{Name: v.Name, Step: v.Step, Of: c.means(v.Of)}
	}
	return out, twin
}

func area(m *mesh.Mesh) float64 {
	sum := 0.0
	for f := range m.Tri {
		sum += m.AreaVector(mesh.FaceID(f)).Norm()
	}
	return sum
}

// grouping says to which cluster each vertex belongs.
type grouping struct {
	of []int32 // cluster by vertex
	n  int
}

// clusters groups the vertices by cubic cell, numbered in the order of their first
// vertex.
func clusters(m *mesh.Mesh, side float64) grouping {
	lo := m.Box().Min
	const axis = 1 << 21 // cells along an axis that a key can tell apart
	side = max(side, m.Box().Longest()/(axis-2))
	g := grouping{of: make([]int32, len(m.Pos))}
	t := newTable(len(m.Pos) / 4)
	cell := func(d float64) uint64 { return uint64(d/side) & (axis - 1) }
	for i, p := range m.Pos {
		d := p.Sub(lo)
		g.of[i] = t.number(cell(d.X)<<42 | cell(d.Y)<<21 | cell(d.Z))
	}
	g.n = t.n
	return g
}

// triangles returns those that keep three corners and their side: one that was turned
// over lies folded on its neighbours, and leaves no hole. A triangle that falls on
// another is kept: it hides nothing.
func (g grouping) triangles(m *mesh.Mesh, pos []r3.Vec) [][3]mesh.VertexID {
	var out [][3]mesh.VertexID
	for f, t := range m.Tri {
		a, b, c := g.of[t[0]], g.of[t[1]], g.of[t[2]]
		if a == b || b == c || c == a {
			continue
		}
		if pos[b].Sub(pos[a]).Cross(pos[c].Sub(pos[a])).Dot(m.AreaVector(mesh.FaceID(f))) > 0 {
			out = append(out, [3]mesh.VertexID{mesh.VertexID(a), mesh.VertexID(b), mesh.VertexID(c)})
		}
	}
	return out
}

func (g grouping) points(m *mesh.Mesh) []r3.Vec {
	pos, count := make([]r3.Vec, g.n), make([]float64, g.n)
	for i, p := range m.Pos {
		pos[g.of[i]] = pos[g.of[i]].Add(p)
		count[g.of[i]]++
	}
	for i := range pos {
		pos[i] = pos[i].Scale(1 / count[i]) // every cluster has a vertex
	}
	return pos
}

func (g grouping) colours(m *mesh.Mesh) []mesh.RGB {
	if len(m.Color) != len(m.Pos) {
		return nil
	}
	sum, count := make([][3]int, g.n), make([]int, g.n)
	for i, c := range m.Color {
		k := g.of[i]
		for ch := range c {
			sum[k][ch] += int(c[ch])
		}
		count[k]++
	}
	out := make([]mesh.RGB, g.n)
	for k := range out {
		for ch := range out[k] {
			out[k][ch] = uint8((sum[k][ch] + count[k]/2) / count[k])
		}
	}
	return out
}

// means averages a value over each cluster's vertices that have one.
func (g grouping) means(of []float64) []float64 {
	out, count := make([]float64, g.n), make([]float64, g.n)
	for i, x := range of {
		if finite(x) {
			out[g.of[i]] += x
			count[g.of[i]]++
		}
	}
	for k := range out {
		out[k] /= count[k] // 0/0 is NaN: no value
	}
	return out
}

// table numbers keys in the order in which they are first seen: open addressing,
// since Go's map takes three times as long here.
type table struct {
	key   []uint64 // key+1; 0: free
	num   []int32
	n     int
	shift uint
}

// golden is 2^64 over the golden ratio: multiplying by it spreads neighbouring keys.
const golden = 0x9E3779B97F4A7C15

func newTable(expect int) *table {
	bits := uint(10)
	for 1<<bits < 2*expect {
		bits++
	}
	return &table{key: make([]uint64, 1<<bits), num: make([]int32, 1<<bits), shift: 64 - bits}
}

func (t *table) number(k uint64) int32 {
	if 2*t.n >= len(t.key) {
		t.grow()
	}

	mask := uint64(len(t.key) - 1)
	for i := (k + 1) * golden >> t.shift; ; i = (i + 1) & mask {
		switch t.key[i] {
		case k + 1:
			return t.num[i]
		case 0:
			t.key[i], t.num[i] = k+1, int32(t.n)
			t.n++
			return t.num[i]
		}
	}
}

func (t *table) grow() {
	old := *t
	*t = *newTable(len(old.key)) // twice as many places
	for i, k := range old.key {
		if k == 0 {
			continue
		}
		mask := uint64(len(t.key) - 1)
		j := k * golden >> t.shift
		for t.key[j] != 0 {
			j = (j + 1) & mask
		}
		t.key[j], t.num[j] = k, old.num[i]
	}
	t.n = old.n
}
