package surface

import (
	"cmp"
	"math"
	"runtime"
	"slices"
	"sync"

	"selvage/internal/num"
	"selvage/mesh"
	"selvage/r3"
)

// RayCast asks for the first face that the ray o + t·d meets with tmin ≤ t ≤ tmax;
// the method Ray of an index of the same mesh, in a few words. It must be safe for
// use by several goroutines.
type RayCast func(o, d r3.Vec, tmin, tmax float64) (f mesh.FaceID, t float64, ok bool)

// Doubling is a place where the scan shows one surface twice.
type Doubling struct {
	At     r3.Vec  // on the outer sheet
	Normal r3.Vec  // unit
	Area   float64 // mm² of the outer sheet that has another behind it
	Gap    float64 // mm between the sheets, median
	Outer  []mesh.VertexID
}

const (
	// doubleGap is how far apart, mm, two sheets of one surface lie at most: passes
	// of a scan that were joined wrongly slip by 0.05-0.3 mm. Farther apart they
	// are more likely two surfaces.
	doubleGap = 0.3

	// doubleLike is the least cosine between the normals of the two sheets: 45°,
	// the noise of a vertex normal added to the tilt between two passes.
	doubleLike = math.Sqrt2 / 2

	// clearOfSelf is where a ray starts below its own vertex, mm: beyond rounding,
	// below any gap that a scan resolves.
	clearOfSelf = 1e-3
)

// Doubled finds where two sheets of the scan lie one behind the other within 0.3 mm
// with like normals, as connected patches of at least least mm², the largest first.
//
// A ray goes from every vertex against its normal, into the tissue. In a sound
// surface the first thing that it can meet is the far side of a thin part, seen from
// inside: its normal runs with the ray. Meeting another front first means that the
// surface was entered twice and never left: two sheets. So the walls of a sulcus, a
// papilla between two teeth, the facing sides of two neighbours and thin folds,
// whose normals are opposed, do not count, however near they are.
//
// A sheet whose border alone overlaps counts by the area of the overlap. normals are
// as from [VertexNormals]. Cost: one short ray per vertex. Deterministic.
func Doubled(m *mesh.Mesh, topo *mesh.Topology, normals []r3.Vec, cast RayCast, least float64) []Doubling {
	gap := behind(m, normals, cast)
	area := VertexAreas(m)
	var out []Doubling
	for _, set := range Regions(topo, widened(topo, gap)) {
		if d := doubling(m, normals, area, gap, set); d.Area >= least {
			out = append(out, d)
		}
	}
	slices.SortStableFunc(out, func(a, b Doubling) int { return cmp.Compare(b.Area, a.Area) })
	return out
}

// behind returns for every vertex the distance to a second front behind it, or 0.
func behind(m *mesh.Mesh, normals []r3.Vec, cast RayCast) []float64 {
	gap := make([]float64, len(m.Pos))
	workers := min(runtime.GOMAXPROCS(0), max(1, len(gap)/1024))
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			for v := w * len(gap) / workers; v < (w+1)*len(gap)/workers; v++ {
				n := normals[v]
				if n == (r3.Vec{}) {
					continue
				}
				f, t, ok := cast(m.Pos[v], n.Neg(), clearOfSelf, doubleGap)
				if ok && m.AreaVector(f).UnitOr(r3.Vec{}).Dot(n) > doubleLike {
					gap[v] = t
				}
			}
		})
	}
	wg.Wait()
	return gap
}

// widened marks the vertices with a second front and their neighbours: two noisy
// sheets cross here and there, and a patch should not fall to pieces for that.
func widened(topo *mesh.Topology, gap []float64) []bool {
	in := make([]bool, len(gap))
	var ring []mesh.VertexID
	for v, g := range gap {
		if g == 0 {
			continue
		}
		in[v] = true
		ring = oneRing(topo, ring, mesh.VertexID(v))
		for _, w := range ring {
			in[w] = true
		}
	}
	return in
}

func doubling(m *mesh.Mesh, normals []r3.Vec, area, gap []float64, set []mesh.VertexID) Doubling {
	var d Doubling
	var gaps []float64
	for _, v := range set {
		if gap[v] == 0 {
			continue
		}
		d.Outer = append(d.Outer, v)
		d.Area += area[v]
		gaps = append(gaps, gap[v])
		d.Normal = d.Normal.AddScaled(area[v], normals[v])
		d.At = d.At.AddScaled(area[v], m.Pos[v])
	}
	if d.Area == 0 {
		return Doubling{}
	}
	middle := d.At.Scale(1 / d.Area)
	d.Normal = d.Normal.UnitOr(normals[d.Outer[0]])
	d.Gap = num.Nth(gaps, len(gaps)/2)
	d.At = m.Pos[nearest(m, d.Outer, middle)]
	return d
}

// nearest returns the vertex of set nearest to p; the first of equally near ones.
func nearest(m *mesh.Mesh, set []mesh.VertexID, p r3.Vec) mesh.VertexID {
	best := set[0]
	for _, v := range set {
		if m.Pos[v].Dist2(p) < m.Pos[best].Dist2(p) {
			best = v
		}
	}
	return best
}
