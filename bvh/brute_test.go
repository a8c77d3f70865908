package bvh_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
)

// TestNearestAgainstBrute asks the tree and the plain loop the same questions; the
// answers must be the same bits.
func TestNearestAgainstBrute(t *testing.T) {
	for _, c := range meshes(t) {
		t.Run(c.name, func(t *testing.T) {
			r := rng(t, 2)
			tree, brute := bvh.Build(c.mesh), bvh.Brute{Mesh: c.mesh}
			for _, p := range places(r, c.mesh, 400) {
				for _, reach := range []float64{math.Inf(1), 1, 1e-3, 0} {
					got, ok := tree.Nearest(p, reach)
					want, wantOK := brute.Nearest(p, reach)
					if got != want || ok != wantOK {
						t.Fatalf("Nearest(%v, %g) = %+v %v, the loop says %+v %v", p, reach, got, ok, want, wantOK)
					}
				}
			}
		})
	}
}

func TestNearestAllAgainstNearest(t *testing.T) {
	for _, c := range meshes(t) {
		t.Run(c.name, func(t *testing.T) {
			r := rng(t, 3)
			tree := bvh.Build(c.mesh)
			pts := places(r, c.mesh, 6000)
			for _, reach := range []float64{math.Inf(1), 0.5} {
				for i, got := range tree.NearestAll(pts[7:], reach) { // without those that are not finite
					if want, _ := tree.Nearest(pts[7+i], reach); got != want {
						t.Fatalf("NearestAll, finite point %d %v, reach %g: %+v, alone %+v", i, pts[7+i], reach, got, want)
					}
				}
				for i, got := range tree.NearestAll(pts, reach) {
					if want, _ := tree.Nearest(pts[i], reach); got != want {
						t.Fatalf("NearestAll, point %d %v, reach %g: %+v, alone %+v", i, pts[i], reach, got, want)
					}
				}
			}
		})
	}
}

// beams are rays to ask about: through corners, along axes and edges, in the plane of
// faces, of directions from tiny to huge, and without sense.
func beams(r *rand.Rand, m *mesh.Mesh, n int) [][2]r3.Vec {
	axes := []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}, {X: -1}, {Y: -1}, {Z: -1}}
	out := [][2]r3.Vec{
		{{}, {}}, {{X: math.NaN()}, {X: 1}}, {{}, {X: math.Inf(1)}}, {{X: math.Inf(-1)}, {X: 1}}, {{X: 1e300}, {X: -1}},
	}
	size := 1.0
	if len(m.Pos) > 0 {
		size = max(m.Box().Longest(), 1e-12)
	}
	pts := places(r, m, n)
	for i, o := range pts[7:] {
		to := pts[7+r.IntN(len(pts)-7)]
		d := to.Sub(o)
		switch i % 6 {
		case 0:
			d = axes[r.IntN(6)]
			o = to.AddScaled(-size*r.Float64(), d)
		case 1:
			d = axes[r.IntN(6)].AddScaled(math.Pow(10, -20*r.Float64()), unitBall(r))
			o = to.AddScaled(-size*r.Float64(), d)
		case 2:
			if len(m.Tri) > 0 {
				a, b, c := m.Corners(mesh.FaceID(r.IntN(len(m.Tri))))
				o, d = a.AddScaled(-r.Float64(), b.Sub(a)), [2]r3.Vec{b.Sub(a), c.Sub(a)}[r.IntN(2)]
			}
		case 3:
			d = d.Scale(math.Pow(10, 40*r.Float64()-20))
		}
		out = append(out, [2]r3.Vec{o, d})
	}
	return out
}

func TestRaysAgainstBrute(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range meshes(t) {
		t.Run(c.name, func(t *testing.T) {
			r := rng(t, 4)
			tree, brute := bvh.Build(c.mesh), bvh.Brute{Mesh: c.mesh}
			hits := 0
			for _, b := range beams(r, c.mesh, 600) {
				for _, span := range [][2]float64{{-inf, inf}, {0, inf}, {0, 1}, {0.5, 0.25}, {-2, 0.5}} {
					want := brute.AllHits(nil, b[0], b[1], span[0], span[1])
					got := tree.AllHits(nil, b[0], b[1], span[0], span[1])
					ask := fmt.Sprintf("(%v, %v, %g, %g)", b[0], b[1], span[0], span[1])
					if !slices.Equal(got, want) {
						t.Fatalf("AllHits%s =\n%+v\nthe loop says\n%+v", ask, got, want)
					}
					first, ok := tree.Ray(b[0], b[1], span[0], span[1])
					if wantFirst, wantOK := brute.Ray(b[0], b[1], span[0], span[1]); first != wantFirst || ok != wantOK {
						t.Fatalf("Ray%s = %+v %v, the loop says %+v %v", ask, first, ok, wantFirst, wantOK)
					}
					if got := tree.Occluded(b[0], b[1], span[0], span[1]); got != (len(want) > 0) {
						t.Fatalf("Occluded%s = %v, %d hits", ask, got, len(want))
					}
					hits += len(want)
				}
			}
			if len(c.mesh.Tri) > 2 && hits < 100 {
				t.Errorf("only %d hits: the rays test nothing", hits)
			}
		})
	}
}

func TestRangesAgainstBrute(t *testing.T) {
	for _, c := range meshes(t) {
		t.Run(c.name, func(t *testing.T) {
			r := rng(t, 5)
			tree, brute := bvh.Build(c.mesh), bvh.Brute{Mesh: c.mesh}
			size := 1.0
			if len(c.mesh.Pos) > 0 {
				size = max(c.mesh.Box().Longest(), 1e-12)
			}
			for _, p := range places(r, c.mesh, 300) {
				rad := size * math.Pow(10, -4*r.Float64())
				for _, rad := range []float64{rad, 0, -1} {
					got, want := tree.InSphere(nil, p, rad), brute.InSphere(nil, p, rad)
					if !slices.Equal(got, want) {
						t.Fatalf("InSphere(%v, %g) = %v, the loop says %v", p, rad, got, want)
					}
				}
				box := r3.BoxOf(p, p.AddScaled(rad, unitBall(r)))
				got, want := tree.InBox(nil, box), brute.InBox(nil, box)
				if !slices.Equal(got, want) {
					t.Fatalf("InBox(%v) = %v, the loop says %v", box, got, want)
				}
			}
			if got := tree.InBox(nil, r3.EmptyBox()); len(got) > 0 {
				t.Errorf("InBox of the empty box = %v", got)
			}
		})
	}
}

// TestSameTreeOnAnyNumberOfCores compares the answers of trees built on one core and on
// several, ties and order of visits included.
func TestSameTreeOnAnyNumberOfCores(t *testing.T) {
	m := sheet(140, 30, bumpy)
	r := rng(t, 6)
	pts := places(r, m, 3000)
	before := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(before)
	tree := bvh.Build(m)
	near := tree.NearestAll(pts, math.Inf(1))
	shape := tree.Digest()
	for _, cores := range []int{2, 3, 8} {
		runtime.GOMAXPROCS(cores)
		other := bvh.Build(m)
		if got := other.Digest(); got != shape {
			t.Errorf("%d cores build the tree %x, one core %x", cores, got, shape)
		}
		if !slices.Equal(other.NearestAll(pts, math.Inf(1)), near) {
			t.Errorf("%d cores answer otherwise than one", cores)
		}
	}
}
