package phantom

import (
	"math"
	"sort"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/phantom/solid"
	"selvage/r3"
)

// room is the space above the preparation: the exact surface of the stump inside
// its margin, as the vertices and faces of the working mesh before any noise, with
// its distance to the opposing teeth.
type room struct {
	m      *mesh.Mesh
	normal []r3.Vec
	inside []bool // vertices on the stump, inside the margin
	dist   []float64
	foot   []r3.Vec
}

// onStump is how far from the stump's exact surface a vertex of its mesh may lie, mm.
// The walk to the surface ends at 0.1 µm on a slope, but on the top of a ridge, whose
// field bends within a step, up to 0.3 µm short: where the least room is.
const onStump = 1e-3

// clearanceReach is how far opposing surface is looked for, mm.
const clearanceReach = 12.0

// newRoom measures every vertex inside the margin against the opposing mesh. The
// chords of that mesh, 0.13 to 0.25 mm long on cusps of 2 mm radius and more, lie
// up to 1 to 4 µm under the surface; [room.refine] takes that out where it matters.
func (w *world) newRoom(working *mesh.Mesh, opposing *bvh.Tree) *room {
	r := &room{m: working}
	n := len(working.Pos)
	r.normal, r.inside = make([]r3.Vec, n), make([]bool, n)
	r.dist, r.foot = make([]float64, n), make([]r3.Vec, n)
	reach := w.prepared.Form.Width + w.prepared.Form.Height
	solid.Parallel(n, func(i int) {
		r.dist[i] = math.Inf(1)
		p := working.Pos[i]
		if p.Dist(w.prepared.Center()) > reach {
			return
		}
		q := w.prepared.Local(p)
		outer, cut := w.stump.Faces(q)
		s := w.stump.Local(q)
		if math.Abs(s.D) > onStump || cut.D < outer.D || q.Z < w.spec.Stump.MarginHeight-1 {
			return
		}
		r.inside[i] = true
		r.normal[i] = w.prepared.Mouth.Dir(gradient(w.stump.Local, q)).UnitOr(r3.V(0, 0, 1))
		if opposing == nil {
			return
		}
		if near, ok := opposing.Nearest(p, clearanceReach); ok {
			r.dist[i], r.foot[i] = near.D, near.Point
		}
	})
	return r
}

// gradient returns that of a field at p by differences of the field itself: the one
// that a [solid.Sample] carries is off by some degrees on a rounded edge between a wall
// and a top that turns against it.
func gradient(f solid.Field, p r3.Vec) r3.Vec {
	const h = 1e-4
	d := func(e r3.Vec) float64 { return (f(p.Add(e)).D - f(p.Sub(e)).D) / (2 * h) }
	return r3.V(d(r3.V(h, 0, 0)), d(r3.V(0, h, 0)), d(r3.V(0, 0, h)))
}

// least returns the vertex with the smallest value among those that count, or -1.
func (r *room) least(value []float64, counts func(i int) bool) int {
	best := -1
	for i := range r.inside {
		if r.inside[i] && counts(i) && !math.IsInf(value[i], 1) && (best < 0 || value[i] < value[best]) {
			best = i
		}
	}
	return best
}

// refine walks from p on the field a and q on the field b to the closest pair of
// points near by, p staying where within holds (nil: anywhere): a pattern search, each point in turn trying eight steps in its
// tangent plane, projected back onto its surface, and the step halved where none is
// shorter. It needs no smoothness, so the edges of facets do not hold it up. The
// distance is exact to the square of finestStep over the radii, far under 0.1 µm.
func refine(a, b solid.Field, p, q r3.Vec, within func(r3.Vec) bool) (r3.Vec, r3.Vec, float64) {
	best := p.Dist(q)
	move := func(f solid.Field, p, other r3.Vec, h float64, within func(r3.Vec) bool) (r3.Vec, bool) {
		e1, e2 := f(p).N.UnitOr(r3.V(0, 0, 1)).Basis()
		for k := range 8 {
			s, c := math.Sincos(float64(k) * math.Pi / 4)
			t, ok := solid.Project(f, p.AddScaled(h*c, e1).AddScaled(h*s, e2), 4*h)
			if d := t.Dist(other); ok && d < best && (within == nil || within(t)) {
				best = d
				return t, true
			}
		}
		return p, false
	}
	for h := 0.1; h > finestStep; {
		var m1, m2 bool
		p, m1 = move(a, p, q, h, within)
		q, m2 = move(b, q, p, h, nil)
		if !m1 && !m2 {
			h /= 2
		}
	}
	return p, q, best
}

// finestStep ends the search, mm.
const finestStep = 2e-5

// patch returns the level at which a connected patch of the surface whose value
// lies below it reaches area mm², and the point of its least value; ok is false where
// there is no such patch.
func (r *room) patch(value []float64, counts func(i int) bool, area float64) (level float64, at int, ok bool) {
	share := make([]float64, len(r.m.Pos)) // a third of the faces around
	near := make([][]int32, len(r.m.Pos))
	for f, t := range r.m.Tri {
		if !r.inside[t[0]] || !r.inside[t[1]] || !r.inside[t[2]] {
			continue
		}
		a := r.m.AreaVector(mesh.FaceID(f)).Norm() / 3
		for i := range 3 {
			share[t[i]] += a
			near[t[i]] = append(near[t[i]], int32(t[(i+1)%3]))
		}
	}
	var order []int
	for i := range r.inside {
		if r.inside[i] && counts(i) && !math.IsInf(value[i], 1) {
			order = append(order, i)
		}
	}
	sort.Slice(order, func(a, b int) bool {
		if value[order[a]] != value[order[b]] {
			return value[order[a]] < value[order[b]]
		}
		return order[a] < order[b]
	})
	set := newSets(len(r.m.Pos))
	for rank, i := range order {
		set.open(i, rank, share[i])
		for _, j := range near[i] {
			set.join(i, int(j))
		}
		if root := set.find(i); set.area[root] >= area {
			return value[i], order[set.first[root]], true
		}
	}
	return 0, 0, false
}

// sets joins vertices into patches; a patch remembers its area and the rank of its
// lowest vertex.
type sets struct {
	parent []int32
	area   []float64
	first  []int
}

func newSets(n int) *sets {
	s := &sets{parent: make([]int32, n), area: make([]float64, n), first: make([]int, n)}
	for i := range s.parent {
		s.parent[i] = -1
	}
	return s
}

func (s *sets) open(i, rank int, area float64) {
	s.parent[i], s.area[i], s.first[i] = int32(i), area, rank
}

func (s *sets) find(i int) int {
	for int(s.parent[i]) != i {
		s.parent[i] = s.parent[s.parent[i]]
		i = int(s.parent[i])
	}
	return i
}

// join merges the patches of i and j, if j is open yet.
func (s *sets) join(i, j int) {
	if s.parent[j] < 0 {
		return
	}
	a, b := s.find(i), s.find(j)
	if a == b {
		return
	}
	s.parent[a] = int32(b)
	s.area[b] += s.area[a]
	s.first[b] = min(s.first[a], s.first[b])
}
