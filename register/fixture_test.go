package register_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

var seedFlag = flag.Uint64("seed", 1, "seed of noise and motions")

func rng(tb testing.TB, salt uint64) *rand.Rand {
	tb.Helper()
	return rand.New(rand.NewPCG(*seedFlag, salt))
}

// hills is the height of a surface with the relief of teeth: cusps some 5 mm apart and
// 1.5 mm high, no two alike.
func hills(x, y float64) float64 {
	return 0.8*math.Sin(1.2*x+0.3*y)*math.Cos(1.1*y) + 0.5*math.Sin(0.7*x*y/5+0.4*y) + 0.3*math.Cos(2.1*x-1.3*y+0.02*x*x)
}

// teeth is the height of a straight row of like teeth, 8.5 mm from one to the next,
// which differ as molars do: by a tenth in size, half a millimetre in their cusps, and of the gum on either side.
func teeth(x, y float64) float64 {
	k := math.Round(x / 8.5)
	dx := x - 8.5*k
	big := 1 + 0.1*math.Sin(2.3*k)
	body := 6 * math.Exp(-math.Pow(dx/(3.9*big), 4)-math.Pow((y-0.4*math.Cos(k))/4.5, 4))
	cusps := 0.0
	for i, c := range [4][2]float64{{-1.8, -2}, {1.9, -2.1}, {-1.9, 2}, {1.7, 2.2}} {
		h := 1.2 + 0.5*math.Sin(3*k+2*float64(i))
		u, v := dx-c[0]-0.4*math.Sin(1.7*k+float64(i)), y-c[1]
		cusps += h * math.Exp(-(u*u+v*v)/1.6)
	}
	return body + cusps + 0.1*math.Sin(0.9*x)*math.Sin(0.8*y)
}

// scanOf is [scanOfShape] of hills.
func scanOf(r *rand.Rand, lo, hi [2]float64, step, noise float64) *mesh.Mesh {
	return scanOfShape(r, hills, lo, hi, step, noise)
}

// scanOfShape samples a height on a jittered grid over a rectangle, with gaussian noise
// along the normal. Each scan has its own grid, so no two share a vertex.
func scanOfShape(r *rand.Rand, hills func(x, y float64) float64, lo, hi [2]float64, step, noise float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	nx, ny := int((hi[0]-lo[0])/step), int((hi[1]-lo[1])/step)
	dx, dy := r.Float64()*step, r.Float64()*step
	for j := range ny {
		for i := range nx {
			x := lo[0] + dx + step*(float64(i)+0.3*(r.Float64()-0.5))
			y := lo[1] + dy + step*(float64(j)+0.3*(r.Float64()-0.5))
			const h = 1e-5
			n, _ := r3.V(hills(x-h, y)-hills(x+h, y), hills(x, y-h)-hills(x, y+h), 2*h).Unit()
			m.Pos = append(m.Pos, r3.V(x, y, hills(x, y)).AddScaled(noise*r.NormFloat64(), n))
		}
	}
	id := func(i, j int) mesh.VertexID { return mesh.VertexID(j*nx + i) }
	for j := range ny - 1 {
		for i := range nx - 1 {
			a, b, c, d := id(i, j), id(i+1, j), id(i+1, j+1), id(i, j+1)
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, b, c}, [3]mesh.VertexID{a, c, d})
		}
	}
	return m
}

// motion is a random one of up to the given angle and shift.
func motion(r *rand.Rand, angle, shift float64) r3.Rigid {
	axis := r3.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()).UnitOr(r3.V(0, 0, 1))
	t := r3.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()).UnitOr(r3.V(0, 0, 1))
	return r3.Rigid{R: r3.Rotation(axis, angle*(2*r.Float64()-1)), T: t.Scale(shift * r.Float64())}
}

// points are about n vertices of m and their normals, evenly by number.
func points(m *mesh.Mesh, n int) (pts, normals []r3.Vec) {
	all := surface.VertexNormals(m)
	for v := 0; v < len(m.Pos); v += max(len(m.Pos)/n, 1) {
		pts, normals = append(pts, m.Pos[v]), append(normals, all[v])
	}
	return pts, normals
}
