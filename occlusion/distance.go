package occlusion

import (
	"math"
	"runtime"
	"sync"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
)

// gap is the way from a point to the opposing arch.
type gap struct {
	d    float64     // mm, negative inside the opposing arch; +Inf beyond reach
	face mesh.FaceID // the nearest
	at   r3.Vec
	edge bool // the nearest point lies where the opposing scan ends
}

// noGap is that of a point with nothing in reach.
var noGap = gap{d: math.Inf(1), face: mesh.None}

// gauge measures signed distances to an open surface.
type gauge struct {
	tree *bvh.Tree
	open []bool // per vertex: the surface ends there
	up   r3.Vec // from the working tissue to the opening
}

func newGauge(t *bvh.Tree, up r3.Vec) *gauge {
	return &gauge{tree: t, open: openVertices(t.Mesh), up: up}
}

// openVertices marks the vertices at which the surface ends.
//
// At a vertex each face leads from one neighbour to the next. Round a closed fan
// every neighbour is left once and reached once, so the sum of (next - previous)
// ids is zero; along an open fan it is the last id less the first, which are
// different vertices. That takes one pass and no topology. A vertex where several
// open fans meet could cancel by chance; it would have to be a bow-tie whose ids
// add up.
func openVertices(m *mesh.Mesh) []bool {
	sum := make([]mesh.VertexID, len(m.Pos))
	for _, t := range m.Tri {
		sum[t[0]] += t[2] - t[1]
		sum[t[1]] += t[0] - t[2]
		sum[t[2]] += t[1] - t[0]
	}
	open := make([]bool, len(sum))
	for v, s := range sum {
		open[v] = s != 0
	}
	return open
}

// clearSide is the cosine between a face's normal and the way to a point above which
// that face alone tells the side: 60°. Neighbouring faces of a scan do not turn so
// far against each other at a vertex that is nearest to anything outside.
const clearSide = 0.5

// measure returns the gap at every point, no farther than reach.
//
// A point is inside the opposing arch if two witnesses say so. The pseudo-normal at
// the nearest point must look away from it. And on the way back towards its own
// tissue it must leave the opposing arch through its outer side: one folded sliver,
// of which noise makes many where a scan is dense, turns the pseudo-normal at its tip,
// and is the nearest point of everything for millimetres around. Where the nearest
// point is at the scan's own edge the way back alone decides.
func (g *gauge) measure(pts []r3.Vec, reach float64) []gap {
	out := make([]gap, len(pts))
	near := g.tree.NearestAll(pts, reach)
	parallel(len(pts), func(i int) { out[i] = g.sign(pts[i], near[i]) })
	return out
}

// measureBelow is [gauge.measure] for who asks only for what is less than worth, mm: all
// else may be as beyond reach.
//
// A point farther off than that has a lesser gap only if it lies inside the opposing arch;
// then the way back leaves the arch, which few points' does and costs less to ask than
// what is nearest.
func (g *gauge) measureBelow(pts []r3.Vec, reach, worth float64) []gap {
	worth = max(worth, 0)
	if worth >= reach {
		return g.measure(pts, reach)
	}
	out := make([]gap, len(pts))
	near := g.tree.NearestAll(pts, worth)
	inside := make([]bool, len(pts)) // perhaps
	parallel(len(pts), func(i int) {
		out[i] = g.sign(pts[i], near[i])
		inside[i] = near[i].Face == mesh.None && g.leaves(pts[i], min(reach, signReach))
	})
	var at []int
	var ask []r3.Vec
	for i, in := range inside {
		if in {
			at, ask = append(at, i), append(ask, pts[i])
		}
	}
	for i, x := range g.measure(ask, reach) {
		out[at[i]] = x
	}
	return out
}

func (g *gauge) sign(p r3.Vec, n bvh.Near) gap {
	if n.Face == mesh.None {
		return noGap
	}
	out := gap{d: n.D, face: n.Face, at: n.Point, edge: g.onEdge(n)}
	if n.D < signReach && (out.edge || g.behind(p, n)) && g.leaves(p, n.D) {
		out.d = -n.D
	}
	return out
}

// behind reports whether the pseudo-normal at the nearest point looks away from p.
//
// Where the nearest face sees p well from one side the pseudo-normal, a mean of that
// face and its neighbours, can only agree; the rest is asked exactly. A reach a hair
// longer than the distance just found spares the search.
func (g *gauge) behind(p r3.Vec, n bvh.Near) bool {
	s := g.tree.Mesh.AreaVector(n.Face).UnitOr(r3.Vec{}).Dot(p.Sub(n.Point))
	if math.Abs(s) > clearSide*n.D {
		return s < 0
	}
	d, ok := g.tree.SignedDistance(p, n.D+1e-9)
	return ok && d < 0
}

// leaves reports whether the ray from p back towards the working tissue first meets
// the opposing arch from inside. A point d from the surface leaves it within d over
// the cosine of the slope; a wall steeper than 70° against the bite crosses nothing.
func (g *gauge) leaves(p r3.Vec, d float64) bool {
	h, ok := g.tree.Ray(p, g.up.Neg(), 0, 3*d)
	return ok && g.tree.Mesh.AreaVector(h.Face).Dot(g.up) < 0
}

// onEdge reports whether the nearest point lies on an edge whose ends are both
// open, or at an open vertex.
func (g *gauge) onEdge(n bvh.Near) bool {
	t := g.tree.Mesh.Tri[n.Face]
	if !g.open[t[0]] && !g.open[t[1]] && !g.open[t[2]] {
		return false
	}
	a, b, c := g.tree.Mesh.Corners(n.Face)
	w := barycentric(a, b, c, n.Point)
	const on = 1e-6 // share of an edge: a nanometre or less
	for i := range 3 {
		j, k := (i+1)%3, (i+2)%3
		if w[k] > on {
			continue // not on the edge from i to j
		}
		if g.open[t[i]] && g.open[t[j]] || w[j] <= on && g.open[t[i]] || w[i] <= on && g.open[t[j]] {
			return true
		}
	}
	return false
}

// barycentric returns the weights of the corners at a point of a triangle; all zero
// for a triangle without area.
func barycentric(a, b, c, p r3.Vec) [3]float64 {
	n := b.Sub(a).Cross(c.Sub(a))
	n2 := n.Norm2()
	if n2 == 0 {
		return [3]float64{}
	}
	return [3]float64{
		c.Sub(b).Cross(p.Sub(b)).Dot(n) / n2,
		a.Sub(c).Cross(p.Sub(c)).Dot(n) / n2,
		b.Sub(a).Cross(p.Sub(a)).Dot(n) / n2,
	}
}

// parallel calls do for 0..n-1, each index once, in equal parts per core. do must
// write to its own slot only.
func parallel(n int, do func(i int)) {
	workers := min(runtime.GOMAXPROCS(0), max(1, n/512))
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			for i := w * n / workers; i < (w+1)*n/workers; i++ {
				do(i)
			}
		})
	}
	wg.Wait()
}
