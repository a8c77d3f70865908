package picture

import (
	"bytes"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"selvage/internal/picture/paint"
	"selvage/mesh"
	"selvage/r3"
)

const seed = 20260504 // of all random shapes in these tests

func straightDown(span float64) View {
	return View{Eye: r3.V(0, 0, 1), Up: r3.V(0, 1, 0), Span: span}
}

// TestSharedEdgeBelongsToOne checks the top-left rule: a random fan of triangles
// round a point covers every sample inside its outline exactly once.
func TestSharedEdgeBelongsToOne(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 1))
	for trial := range 40 {
		n := 3 + rng.IntN(9)
		rim := make([]r3.Vec, n)
		for i := range rim {
			a := 2 * math.Pi * (float64(i) + 0.6*rng.Float64()) / float64(n)
			rim[i] = r3.V(math.Cos(a), math.Sin(a), 0).Scale(2 + 2*rng.Float64())
		}
		hub := r3.V(0.2*rng.Float64(), 0.2*rng.Float64(), 0)
		p := straightDown(10).projector(64, 64)
		count := make([]int, 64*64*perPixel*perPixel)
		whole := make([]bool, len(count))
		for i := range rim {
			m := &mesh.Mesh{Pos: []r3.Vec{hub, rim[i], rim[(i+1)%n]}, Tri: [][3]mesh.VertexID{{0, 1, 2}}}
			for k, id := range rasterise([]Surface{{Mesh: m}}, p, 64, 64).id {
				if id != noSurface {
					count[k]++
					whole[k] = true
				}
			}
		}
		for k, c := range count {
			if c > 1 {
				t.Fatalf("seed %d trial %d: sample %d is covered %d times", seed, trial, k, c)
			}
		}
		// the hub's own sample is inside, so the fan has no pinhole there
		x, y, _ := p.at(hub)
		if k := int(y*perPixel)*64*perPixel + int(x*perPixel); !whole[k] {
			t.Errorf("seed %d trial %d: pinhole at the hub", seed, trial)
		}
	}
}

// bruteNearest is the oracle: for each sample the nearest triangle, by exact tests
// of every triangle in plain coordinates.
func bruteNearest(m *mesh.Mesh, p projector, w, h int) []int {
	out := make([]int, w*h*perPixel*perPixel)
	for sy := range h * perPixel {
		for sx := range w * perPixel {
			px, py := (float64(sx)+0.5)/perPixel, (float64(sy)+0.5)/perPixel
			best, bestZ := -1, math.Inf(-1)
			for f, t := range m.Tri {
				ax, ay, az := p.at(m.Pos[t[0]])
				bx, by, bz := p.at(m.Pos[t[1]])
				cx, cy, cz := p.at(m.Pos[t[2]])
				area := (bx-ax)*(cy-ay) - (by-ay)*(cx-ax)
				wb := ((px-ax)*(cy-ay) - (py-ay)*(cx-ax)) / area
				wc := ((bx-ax)*(py-ay) - (by-ay)*(px-ax)) / area
				if wa := 1 - wb - wc; wa < 0 || wb < 0 || wc < 0 {
					continue
				} else if z := wa*az + wb*bz + wc*cz; z > bestZ {
					best, bestZ = f, z
				}
			}
			out[sy*w*perPixel+sx] = best
		}
	}
	return out
}

// TestNearestAgainstBruteForce holds the z-buffer to the oracle on crossing
// triangles. Samples within a fixed-point step of an edge or of a crossing may
// differ: at most 2 % of them here.
func TestNearestAgainstBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 2))
	m := &mesh.Mesh{}
	for i := range 30 {
		for range 3 {
			m.Pos = append(m.Pos, r3.V(10*rng.Float64()-5, 10*rng.Float64()-5, 4*rng.Float64()))
		}
		k := mesh.VertexID(3 * i)
		m.Tri = append(m.Tri, [3]mesh.VertexID{k, k + 1, k + 2})
	}
	p := straightDown(10).projector(48, 48)
	got := rasterise([]Surface{{Mesh: m}}, p, 48, 48).id
	differ := 0
	for k, want := range bruteNearest(m, p, 48, 48) {
		if int(got[k])-1 != want {
			differ++
		}
	}
	if most := len(got) / 50; differ > most {
		t.Errorf("seed %d: %d of %d samples differ from the oracle, want at most %d", seed, differ, len(got), most)
	}
}

// TestSameBytesOnAnyCores draws the same scenes with one and with many workers.
func TestSameBytesOnAnyCores(t *testing.T) {
	s := fixtureStage()
	scene := s.overview(fixtureSpots())
	scene.Map = &ValueMap{Ramp: paint.DepthRamp(), Max: 3, Step: 0.5, Limit: 1.5, Title: "room, mm"}
	scene.W, scene.H = 400, 320
	old := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(old)
	one := paint.Encode(scene.Draw())
	for _, n := range []int{2, 3, 8} {
		runtime.GOMAXPROCS(n)
		if !bytes.Equal(one, paint.Encode(scene.Draw())) {
			t.Fatalf("the picture differs between 1 and %d cores", n)
		}
	}
}

// TestOddMeshes draws what a damaged file may hold.
func TestOddMeshes(t *testing.T) {
	pos := []r3.Vec{{X: 0}, {X: 1}, {Y: 1}, {X: 1}, {X: 1e12}, {X: -3, Y: 1e-13}}
	for name, m := range map[string]*mesh.Mesh{
		"nothing":      {},
		"no triangles": {Pos: pos},
		"one":          {Pos: pos, Tri: [][3]mesh.VertexID{{0, 1, 2}}},
		"doubled":      {Pos: pos, Tri: [][3]mesh.VertexID{{0, 1, 3}}},
		"sliver":       {Pos: pos, Tri: [][3]mesh.VertexID{{0, 1, 5}}},
		"far away":     {Pos: pos, Tri: [][3]mesh.VertexID{{0, 4, 2}, {0, 1, 2}}},
	} {
		s := Scene{View: straightDown(4), W: 40, H: 30, Surfaces: []Surface{{Mesh: m}, {Mesh: nil}}}
		if got := s.Draw().Rect.Dx(); got != 40 {
			t.Errorf("%s: width %d", name, got)
		}
	}
}

// TestClip checks that a cut keeps exactly one half of a square.
func TestClip(t *testing.T) {
	m := field(-4, 4, -4, 4, 1, func(x, y float64) float64 { return 0 }, nil)
	p := straightDown(8).projector(64, 64)
	g := rasterise([]Surface{{Mesh: m, Clip: []Plane{{P: r3.V(0.3, 0, 0), N: r3.V(1, 0, 0)}}}}, p, 64, 64)
	for y := range g.sh {
		for x := range g.sw {
			q := p.back((float64(x)+0.5)/perPixel, (float64(y)+0.5)/perPixel, 0)
			if math.Abs(q.X-0.3) < 0.1 { // within a sample of the cut
				continue
			}
			if kept := g.id[y*g.sw+x] != noSurface; kept != (q.X > 0.3) {
				t.Fatalf("sample at x = %.2f: kept %v", q.X, kept)
			}
		}
	}
}

// TestInsideIsHatched looks at a plane from behind: it must not pass for a tooth.
func TestInsideIsHatched(t *testing.T) {
	m := field(-4, 4, -4, 4, 1, func(x, y float64) float64 { return 0 }, nil)
	front := Scene{View: straightDown(6), W: 60, H: 60, NoScale: true, Surfaces: []Surface{{Mesh: m}}}
	back := front
	back.View.Eye, back.View.Up = r3.V(0, 0, -1), r3.V(0, 1, 0)
	shades := func(s Scene) int {
		seen := map[[3]uint8]bool{}
		img := s.Draw()
		for y := 20; y < 40; y++ {
			for x := 20; x < 40; x++ {
				c := img.RGBAAt(x, y)
				seen[[3]uint8{c.R, c.G, c.B}] = true
			}
		}
		return len(seen)
	}
	if f, b := shades(front), shades(back); f != 1 || b < 2 {
		t.Errorf("%d shades from the front (want 1: flat), %d from behind (want 2 or more: hatched)", f, b)
	}
}
