package surface_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

func flatSheet(step float64) *mesh.Mesh {
	return sheet(-4, 4, -4, 4, step, 0, 1, func(x, y float64) float64 { return 0 })
}

// A paraboloid f = a·ρ² below level L covers π·L/a: the pool of area w is at a·w/π.
func TestLowPatchOfABowl(t *testing.T) {
	m := flatSheet(0.05)
	topo, area := mesh.NewTopology(m), surface.VertexAreas(m)
	f := make([]float64, len(m.Pos))
	for v, p := range m.Pos {
		f[v] = 0.3 * (p.X*p.X + p.Y*p.Y)
	}
	for _, want := range []float64{0.1, 0.5, 2} {
		p, ok := surface.LowPatch(topo, area, f, want)
		level := 0.3 * want / math.Pi
		// One ring of vertices more or less: the area steps by the rim's.
		if !ok || math.Abs(p.Level-level) > 0.05*level+0.002 {
			t.Errorf("area %.1f: level %.4f, want %.4f", want, p.Level, level)
		}
		if m.Pos[p.Lowest].Norm() > 0.04 {
			t.Errorf("lowest at %v", m.Pos[p.Lowest])
		}
	}
}

// Two pools: a deep one too small to count, and a shallow one. Water joins them only
// over the saddle.
func TestLowPatchIsConnected(t *testing.T) {
	m := flatSheet(0.05)
	topo, area := mesh.NewTopology(m), surface.VertexAreas(m)
	f := make([]float64, len(m.Pos))
	for v, p := range m.Pos {
		f[v] = 1
		if p.Dist(r3.V(-2, 0, 0)) < 0.2 { // 0.13 mm²
			f[v] = -5
		}
		if p.Dist(r3.V(2, 0, 0)) < 0.6 { // 1.1 mm²
			f[v] = 0.4
		}
	}
	p, ok := surface.LowPatch(topo, area, f, 0.5)
	if !ok || p.Level != 0.4 || m.Pos[p.Lowest].X < 1 {
		t.Errorf("patch %+v at %v, want level 0.4 at x = 2", p, m.Pos[p.Lowest])
	}
	if p, _ := surface.LowPatch(topo, area, f, 0.1); p.Level != -5 {
		t.Errorf("a small patch: level %g, want -5", p.Level)
	}
	if p, _ := surface.LowPatch(topo, area, f, 1.5); p.Level != 1 || m.Pos[p.Lowest].X > -1 {
		t.Errorf("once joined: %+v at %v, want level 1 and the deepest point", p, m.Pos[p.Lowest])
	}
	if _, ok := surface.LowPatch(topo, area, f, 100); ok {
		t.Error("a patch larger than the surface was found")
	}
	for v := range f {
		f[v] = math.NaN()
	}
	if _, ok := surface.LowPatch(topo, area, f, 0.01); ok {
		t.Error("a patch of nothing was found")
	}
}

func TestRegions(t *testing.T) {
	m := flatSheet(0.2)
	in := make([]bool, len(m.Pos))
	for v, p := range m.Pos {
		in[v] = math.Abs(p.X) > 3 || p.Norm() < 0.5
	}
	r := surface.Regions(mesh.NewTopology(m), in)
	if len(r) != 3 {
		t.Fatalf("%d regions, want 3", len(r))
	}
	n := 0
	for _, set := range r {
		n += len(set)
	}
	for _, yes := range in {
		if yes {
			n--
		}
	}
	if n != 0 {
		t.Errorf("%d vertices too many", n)
	}
}

func TestVertexAreasSumUp(t *testing.T) {
	m := sheet(-2, 2, -2, 2, 0.1, 0.03, 3, wavy)
	var sum float64
	for _, a := range surface.VertexAreas(m) {
		sum += a
	}
	if math.Abs(sum-m.Area()) > 1e-9 {
		t.Errorf("areas sum to %.9f of %.9f", sum, m.Area())
	}
}

// fitAll fits a field at the vertices at least 1 mm inside the sheet.
func fitAll(m *mesh.Mesh, f []float64, radius float64) (at []mesh.VertexID, got []float64) {
	for v, p := range m.Pos {
		if math.Abs(p.X) < 3 && math.Abs(p.Y) < 3 {
			at = append(at, mesh.VertexID(v))
		}
	}
	return at, surface.FitField(m, mesh.NewTopology(m), surface.VertexNormals(m), f, at, radius, 0)
}

// A quadric is reproduced exactly, whatever stray points lie on it.
func TestFitFieldOfAQuadric(t *testing.T) {
	m := flatSheet(0.1)
	want := make([]float64, len(m.Pos))
	f := make([]float64, len(m.Pos))
	rng := rand.New(rand.NewPCG(5, 5))
	for v, p := range m.Pos {
		want[v] = 1 + 0.2*p.X - 0.1*p.Y + 0.05*p.X*p.X - 0.3*p.X*p.Y + 0.11*p.Y*p.Y
		f[v] = want[v]
		if rng.Float64() < 0.01 {
			f[v] += 0.5 * rng.NormFloat64()
		}
	}
	at, got := fitAll(m, f, 0.32)
	wrong, worst := 0, 0.0
	for i, v := range at {
		if d := math.Abs(got[i] - want[v]); d > 1e-6 {
			wrong++
			worst = max(worst, d)
		}
	}
	t.Logf("%d of %d, worst %.4f", wrong, len(at), worst)
	if wrong > len(at)/100 {
		t.Errorf("%d of %d values are bent by stray points, the worst by %.3f", wrong, len(at), worst)
	}
}

// Over a roof of slope 0.5 the plain fit cuts the ridge; told the noise, it leaves it.
func TestFitFieldKeepsAKink(t *testing.T) {
	m := flatSheet(0.1)
	f := make([]float64, len(m.Pos))
	rng := rand.New(rand.NewPCG(8, 8))
	for v, p := range m.Pos {
		f[v] = 0.5*math.Abs(p.X+0.003) + 0.005*rng.NormFloat64()
	}
	topo, n := mesh.NewTopology(m), surface.VertexNormals(m)
	var at []mesh.VertexID
	for v, p := range m.Pos {
		if math.Abs(p.X) < 0.01 && math.Abs(p.Y) < 3 {
			at = append(at, mesh.VertexID(v))
		}
	}
	mean := func(noise float64) (s float64) {
		for _, x := range surface.FitField(m, topo, n, f, at, 0.32, noise) {
			s += x / float64(len(at))
		}
		return s
	}
	if plain, told := mean(0), mean(0.005); plain < 0.02 || math.Abs(told) > 0.005 {
		t.Errorf("on the ridge %.4f, told the noise %.4f; want 0", plain, told)
	}
}

func TestFitFieldLowersNoise(t *testing.T) {
	m := flatSheet(0.1)
	f := make([]float64, len(m.Pos))
	rng := rand.New(rand.NewPCG(6, 6))
	for v := range f {
		f[v] = 0.01 * rng.NormFloat64()
	}
	_, got := fitAll(m, f, 0.32)
	var s2, low float64
	for _, x := range got {
		s2 += x * x
		low = min(low, x)
	}
	rms := math.Sqrt(s2 / float64(len(got)))
	t.Logf("noise 10 µm: %.2f µm left, least of %d values %.1f", 1e3*rms, len(got), 1e3*low)
	if rms > 0.0065 {
		t.Errorf("%.4f of 0.0100 left: the uncertainties count on 0.6", rms)
	}
}

func TestFitFieldKeepsWhatIsNotFinite(t *testing.T) {
	m := flatSheet(0.1)
	f := make([]float64, len(m.Pos))
	for v, p := range m.Pos {
		f[v] = p.X
		if p.X > 0 {
			f[v] = math.Inf(1)
		}
	}
	at, got := fitAll(m, f, 0.32)
	for i, v := range at {
		x := m.Pos[v].X
		if math.IsInf(got[i], 1) != (x > 0) || x <= 0 && math.Abs(got[i]-x) > 1e-6 {
			t.Fatalf("at x = %.2f: %g", x, got[i])
		}
	}
}
