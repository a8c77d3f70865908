package study

import (
	"math"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
)

// TestResult is one line of the self-test.
type TestResult struct {
	What   string
	Got    float64
	Want   float64
	Within float64 // the error that the sampling of the solid allows
	Unit   string
}

// Right reports whether the answer lies within its bound.
func (r TestResult) Right() bool { return math.Abs(r.Got-r.Want) <= r.Within }

// The frustum of trade practice: a cone of base 8 mm, height 4 mm and total
// convergence 12°, in sides enough that the polygon's shortfall is known.
const (
	frustumBase   = 8.0
	frustumHeight = 4.0
	frustumAngle  = 6 * math.Pi / 180 // of one wall
	frustumSides  = 720
)

// SelfTest measures exact solids and returns one result per measure. It uses the
// same code as a check and takes under 100 ms.
func SelfTest() []TestResult {
	top := frustumBase/2 - frustumHeight*math.Tan(frustumAngle)
	m := frustum(frustumBase/2, top, frustumHeight, frustumSides)
	// A regular n-gon in a circle falls short of its area by the factor
	// sin(2π/n)/(2π/n), and of its radius by at most 1 - cos(π/n).
	n := float64(frustumSides)
	shrink := math.Sin(2*math.Pi/n) / (2 * math.Pi / n)
	// The sides are flat, so they lean a little less than the cone they stand in.
	flatSides := 2 * math.Atan((frustumBase/2-top)*math.Cos(math.Pi/n)/frustumHeight)
	volume := math.Pi * frustumHeight / 3 * (16 + 4*top + top*top)
	tree := bvh.Build(m)
	return []TestResult{
		{"volume of a frustum, 8 mm by 4 mm, 12°", m.SignedVolume(), volume * shrink, 1e-9 * volume, "mm³"},
		{"area of its top", topArea(m), math.Pi * top * top * shrink, 1e-9, "mm²"},
		{"convergence of its walls", wallConvergence(m) * 180 / math.Pi, flatSides * 180 / math.Pi, 1e-9, "°"},
		{"nearest point from 1 mm above", nearestFrom(tree, r3.V(0.3, 0.2, frustumHeight+1)), 1, 1e-12, "mm"},
		{"ray along the axis", rayLength(tree), frustumHeight, 1e-12, "mm"},
		{"open edges after welding", float64(openEdges(m)), 0, 0, ""},
	}
}

// frustum returns a closed frustum about +Z with its base at z = 0, through the
// same welding as a scan.
func frustum(r0, r1, h float64, sides int) *mesh.Mesh {
	ring := func(r, z float64, i int) r3.Vec {
		s, c := math.Sincos(2 * math.Pi * float64(i%sides) / float64(sides))
		return r3.V(r*c, r*s, z)
	}
	var pos []r3.Vec
	for i := range sides {
		a0, b0, a1, b1 := ring(r0, 0, i), ring(r0, 0, i+1), ring(r1, h, i), ring(r1, h, i+1)
		pos = append(pos, a0, b0, b1, a0, b1, a1, r3.V(0, 0, h), a1, b1, r3.Vec{}, b0, a0)
	}
	m, _ := mesh.Build(mesh.Soup{Pos: pos})
	return m
}

func topArea(m *mesh.Mesh) float64 {
	sum := 0.0
	for f := range m.Tri {
		a := m.AreaVector(mesh.FaceID(f))
		if n, ok := a.Unit(); ok && n.Z > 0.99 {
			sum += a.Norm()
		}
	}
	return sum
}

// wallConvergence is twice the mean taper of the side faces, asin(n·z).
func wallConvergence(m *mesh.Mesh) float64 {
	sum, area := 0.0, 0.0
	for f := range m.Tri {
		a := m.AreaVector(mesh.FaceID(f))
		n, ok := a.Unit()
		if !ok || math.Abs(n.Z) > 0.9 {
			continue
		}
		w := a.Norm()
		sum += w * math.Atan2(n.Z, math.Hypot(n.X, n.Y))
		area += w
	}
	return 2 * sum / area
}

func nearestFrom(t *bvh.Tree, p r3.Vec) float64 {
	near, ok := t.Nearest(p, math.Inf(1))
	if !ok {
		return math.NaN()
	}
	return near.D
}

// rayLength is the length of the stretch inside the solid of a ray from above.
func rayLength(t *bvh.Tree) float64 {
	hits := t.AllHits(nil, r3.V(0.3, 0.2, 10), r3.V(0, 0, -1), 0, 100)
	if len(hits) != 2 {
		return math.NaN()
	}
	return hits[1].T - hits[0].T
}

func openEdges(m *mesh.Mesh) int {
	open := 0
	for _, p := range mesh.NewTopology(m).Pair {
		if p < 0 {
			open++
		}
	}
	return open
}
