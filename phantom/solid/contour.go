package solid

import (
	"math"
	"runtime"
	"sync"

	"selvage/mesh"
	"selvage/r3"
)

// Scene is what [Contour] meshes. At is its field. Near returns the scene to use
// inside a ball and whether the surface may pass through it; a scene for a smaller
// ball may leave out what cannot matter there, but must give the same values.
type Scene interface {
	At(p r3.Vec) Sample
	Near(c r3.Vec, radius float64) (s Scene, maybe bool)
}

// blockCells is the side of a block, the unit of work and of culling.
const blockCells = 16

// steepest bounds the gradient of a field: within radius r of a point where the
// value exceeds steepest·r there is no surface. Fields are distances near the
// surface; away from it the relief of a crown can be steeper.
const steepest = 1.35

// Contour returns the surface of s within box as a mesh wound outwards, open
// where it leaves the box. It is dual: one vertex per patch of the surface in a
// cell, moved onto the surface by Newton's method; one quadrilateral, cut along its
// shorter diagonal, per crossed grid edge. The method is that of surface nets with
// one vertex per patch (Nielson 2004), which keeps close sheets apart. Edges that
// two sheets would share, which happens only where sheets come closer than a cell,
// are cut out ([Clean]). Cost: O(surface/spacing²) evaluations.
func Contour(s Scene, l Lattice, box r3.Box) *mesh.Mesh {
	lo, hi := l.bounds(box)
	g := &gridder{scene: s, lattice: l, lo: lo}
	for k := range 3 {
		g.n[k] = (hi[k] - lo[k] + blockCells - 1) / blockCells
	}
	g.run(box)
	return g.assemble()
}

type gridder struct {
	scene   Scene
	lattice Lattice
	lo, n   [3]int
	blocks  []*block // by block index; nil where there is no surface
}

// block holds the active cells of one block.
type block struct {
	origin [3]int // grid coordinates of its first corner
	cell   []int32
	active []activeCell
	pos    []r3.Vec // of its vertices
	first  int32    // id of its first vertex
}

type activeCell struct {
	at    uint16 // index in the block
	mask  uint8
	first int32 // of the cell's vertices within the block
}

func (g *gridder) run(box r3.Box) {
	total := g.n[0] * g.n[1] * g.n[2]
	g.blocks = make([]*block, total)
	Parallel(total, func(i int) {
		g.blocks[i] = g.fill(i, box)
	})
}

// Parallel calls f for 0 to n-1 on all cores; f writes to its own slot only.
func Parallel(n int, f func(i int)) {
	var wg sync.WaitGroup
	workers := min(runtime.GOMAXPROCS(0), n)
	for w := range workers {
		wg.Go(func() {
			for i := w; i < n; i += workers {
				f(i)
			}
		})
	}
	wg.Wait()
}

func (g *gridder) corner(o [3]int, i, j, k int) r3.Vec {
	return g.lattice.At(r3.V(float64(o[0]+i), float64(o[1]+j), float64(o[2]+k)))
}

// ball returns a ball around the cells [i,i+n)³ of a block.
func (g *gridder) ball(o [3]int, i, j, k, n int) (c r3.Vec, r float64) {
	h := float64(n) / 2
	c = g.lattice.At(r3.V(float64(o[0]+i)+h, float64(o[1]+j)+h, float64(o[2]+k)+h))
	for corner := range 8 {
		p := g.corner(o, i+n*(corner&1), j+n*(corner>>1&1), k+n*(corner>>2))
		r = max(r, p.Dist2(c))
	}
	return c, math.Sqrt(r)
}

// fill finds the active cells of block i, or returns nil where there are none.
func (g *gridder) fill(i int, box r3.Box) *block {
	o := [3]int{
		g.lo[0] + i%g.n[0]*blockCells,
		g.lo[1] + i/g.n[0]%g.n[1]*blockCells,
		g.lo[2] + i/(g.n[0]*g.n[1])*blockCells,
	}
	c, r := g.ball(o, 0, 0, 0, blockCells)
	if box.Dist2(c) > r*r {
		return nil
	}
	near, maybe := g.scene.Near(c, r)
	if !maybe {
		return nil
	}
	w := &sampler{g: g, origin: o}
	w.divide(near, 0, 0, 0, blockCells)
	if len(w.active) == 0 {
		return nil
	}
	b := &block{origin: o, active: w.active, pos: w.pos}
	b.cell = make([]int32, blockCells*blockCells*blockCells)
	for i := range b.cell {
		b.cell[i] = -1
	}
	for i, a := range b.active {
		b.cell[a.at] = int32(i)
	}
	return b
}

const sideCorners = blockCells + 1

// sampler evaluates the corners of one block as they are needed.
type sampler struct {
	g      *gridder
	origin [3]int
	val    [sideCorners * sideCorners * sideCorners]Sample
	known  [sideCorners * sideCorners * sideCorners]bool
	active []activeCell
	pos    []r3.Vec
}

// Cubes of cells down to narrowed are asked for a scene of their own. In the cubes of
// half that size inside them the value in the middle decides, or where they are wide, so
// that leaving parts of the scene out pays, a scene of their own again.
const (
	narrowed = 4
	wideBall = 0.3 // mm
)

func (w *sampler) divide(s Scene, i, j, k, n int) {
	c, r := w.g.ball(w.origin, i, j, k, n)
	if n < blockCells { // a whole block was asked already
		var maybe bool
		if s, maybe = s.Near(c, r); !maybe {
			return
		}
	}
	h := n / 2
	for q := range 8 {
		i, j, k := i+h*(q&1), j+h*(q>>1&1), k+h*(q>>2)
		if n > narrowed {
			w.divide(s, i, j, k, h)
			continue
		}
		c, r := w.g.ball(w.origin, i, j, k, h)
		inner := s
		if r > wideBall {
			var maybe bool
			if inner, maybe = s.Near(c, r); !maybe {
				continue
			}
		} else if math.Abs(s.At(c).D) > steepest*r {
			continue
		}
		for q := range h * h * h {
			w.cell(inner, i+q%h, j+q/h%h, k+q/(h*h))
		}
	}
}

func (w *sampler) value(s Scene, i, j, k int) *Sample {
	at := (k*sideCorners+j)*sideCorners + i
	if !w.known[at] {
		w.known[at] = true
		w.val[at] = s.At(w.g.corner(w.origin, i, j, k))
	}
	return &w.val[at]
}

// cell records a cell that the surface crosses, with a vertex for each patch.
func (w *sampler) cell(s Scene, i, j, k int) {
	var v [8]*Sample
	var mask uint8
	for c := range 8 {
		v[c] = w.value(s, i+c&1, j+c>>1&1, k+c>>2)
		if v[c].D < 0 {
			mask |= 1 << c
		}
	}
	if mask == 0 || mask == 255 {
		return
	}
	p := &patchings[mask]
	w.active = append(w.active, activeCell{
		at: uint16((k*blockCells+j)*blockCells + i), mask: mask, first: int32(len(w.pos)),
	})
	for patch := range p.num {
		w.pos = append(w.pos, w.vertex(s, i, j, k, p, uint8(patch), &v))
	}
}

// vertex returns the point of one patch: the mean of its crossings or, where the
// surface bends sharply within the cell, the point of the edge; moved to the surface.
func (w *sampler) vertex(s Scene, i, j, k int, p *patching, patch uint8, v *[8]*Sample) r3.Vec {
	var room [12]r3.Vec
	cross := room[:0]
	var sum, first r3.Vec
	turn := 1.0 // the least cosine to the first normal
	for e, of := range p.of {
		if of != patch {
			continue
		}
		a := edgeStart[e/4][e%4]
		b := a | 1<<(e/4)
		pa := w.g.corner(w.origin, i+int(a&1), j+int(a>>1&1), k+int(a>>2))
		pb := w.g.corner(w.origin, i+int(b&1), j+int(b>>1&1), k+int(b>>2))
		c := pa.Lerp(pb, v[a].D/(v[a].D-v[b].D))
		sum = sum.Add(c)
		for _, q := range [2]uint8{a, b} {
			n := v[q].N
			if len(cross) == 0 && q == a {
				first = n
			}
			if l := math.Sqrt(n.Norm2() * first.Norm2()); l > 0 {
				turn = min(turn, n.Dot(first)/l)
			}
		}
		cross = append(cross, c)
	}
	mean := sum.Scale(1 / float64(len(cross)))
	size := w.g.corner(w.origin, i, j, k).Dist(w.g.corner(w.origin, i+1, j+1, k+1))
	if turn < sharpTurn {
		// In a bend the point of the edge may lie in a neighbour, whose own would change
		// places with it and fold the faces between them. An edge that two planes make is
		// one, wherever it leaves the cell.
		if q, ok := Project(s.At, edgePoint(s, cross, mean, size/2), size/2); ok && (turn < planesTurn || w.holds(i, j, k, q)) {
			return q
		}
	}
	if q, ok := Project(s.At, mean, size/2); ok {
		return q
	}
	return mean
}

// beyondCell is how far outside its cell a vertex may lie, in sides of the cell.
const beyondCell = 0.05

// holds reports whether a point lies in a cell or hardly outside. The lattice turns and
// stretches so slowly that the cell counts as a parallelepiped.
func (w *sampler) holds(i, j, k int, p r3.Vec) bool {
	o := w.g.corner(w.origin, i, j, k)
	for _, e := range [3]r3.Vec{
		w.g.corner(w.origin, i+1, j, k).Sub(o), w.g.corner(w.origin, i, j+1, k).Sub(o), w.g.corner(w.origin, i, j, k+1).Sub(o),
	} {
		if t := p.Sub(o).Dot(e) / e.Norm2(); t < -beyondCell || t > 1+beyondCell {
			return false
		}
	}
	return true
}

// sharpTurn is the cosine of the turn within a cell from which on it holds an edge.
const sharpTurn = 0.9

// planesTurn is the cosine of the turn from which on it is no bend but an edge.
const planesTurn = 0.5
