package surface

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"selvage/internal/num"
	"selvage/mesh"
	"selvage/r3"
)

// sheet is a wavy rectangle of side² vertices with jitter and noise. Of its faces the
// share torn is left out, which makes holes, single corners and bow-ties.
func sheet(side int, torn float64, seed uint64) *mesh.Mesh {
	r := rand.New(rand.NewPCG(seed, 77))
	m := &mesh.Mesh{}
	for i := range side * side {
		x := 0.1 * (float64(i%side) + 0.3*r.NormFloat64()*0.5)
		y := 0.1 * (float64(i/side) + 0.3*r.NormFloat64()*0.5)
		m.Pos = append(m.Pos, r3.V(x, y, math.Sin(x)*math.Cos(0.7*y)+0.005*r.NormFloat64()))
	}
	for i := range side * side {
		if i%side == side-1 || i/side == side-1 {
			continue
		}
		a, b := mesh.VertexID(i), mesh.VertexID(i+side)
		for _, t := range [2][3]mesh.VertexID{{a, a + 1, b}, {a + 1, b + 1, b}} {
			if r.Float64() >= torn {
				m.Tri = append(m.Tri, t)
			}
		}
	}
	return m
}

// TestLinksAreOneRings holds the links, and the fan written out, against the rings of the
// topology, on a whole sheet and on torn ones with bow-ties.
func TestLinksAreOneRings(t *testing.T) {
	for _, torn := range []float64{0, 0.02, 0.3} {
		m := sheet(80, torn, 1)
		topo := mesh.NewTopology(m)
		if (topo.BowTies > 0) != (torn > 0) {
			t.Fatalf("%g torn: %d bow-ties", torn, topo.BowTies)
		}
		l := newLinks(topo, len(m.Pos))
		var want, got []mesh.VertexID
		for v := range mesh.VertexID(len(m.Pos)) {
			want, got = topo.OneRing(want, v), oneRing(topo, got, v)
			if !slices.Equal(l.at(v), want) || !slices.Equal(got, want) {
				t.Fatalf("%g torn, vertex %d: links %v, fan %v, ring %v", torn, v, l.at(v), got, want)
			}
		}
	}
}

// slowJet is fitJet as the sum of the squares of its rows.
func slowJet(pos, normals []r3.Vec, pts []mesh.VertexID, radius float64) (c [6]float64, sum2 float64, ok bool) {
	n := normals[pts[0]]
	e1, e2 := n.Basis()
	var a [6][6]float64
	var b [6]float64
	var rows [][6]float64
	var hs []float64
	for _, v := range pts {
		if normals[v].Dot(n) < turned {
			continue
		}
		d := pos[v].Sub(pos[pts[0]]).Scale(1 / radius)
		x, y, h := d.Dot(e1), d.Dot(e2), d.Dot(n)
		row := [6]float64{1, x, y, x * x / 2, x * y, y * y / 2}
		for i := range row {
			for k := range row {
				a[i][k] += row[i] * row[k]
			}
			b[i] += row[i] * h
		}
		rows, hs = append(rows, row), append(hs, h)
	}
	if len(rows) < jetUnknowns+2 {
		return c, 0, false
	}
	c, ok = num.Solve6(a, b)
	for i, row := range rows {
		e := hs[i]
		for k := range c {
			e -= c[k] * row[k]
		}
		sum2 += e * e
	}
	return c, sum2 * radius * radius, ok
}

// slowPrincipal turns the second fundamental form by its angle.
func slowPrincipal(j *jet) (k1, k2 float64, phi float64) {
	g := math.Hypot(j.p, j.q)
	cx, cy := 1.0, 0.0
	if g > 0 {
		cx, cy = j.p/g, j.q/g
	}
	w := math.Sqrt(1 + g*g)
	uu := (cx*cx*j.a + 2*cx*cy*j.b + cy*cy*j.c) / (w * w * w)
	uv := (cx*cy*(j.c-j.a) + (cx*cx-cy*cy)*j.b) / (w * w)
	vv := (cy*cy*j.a - 2*cx*cy*j.b + cx*cx*j.c) / w
	mean, diff := -(uu+vv)/2, -(uu-vv)/2
	return mean + math.Hypot(diff, uv), mean - math.Hypot(diff, uv), 0.5 * math.Atan2(-uv, diff)
}

// TestJetAgainstSlow holds the moments against the rows, the residual against its sum and
// the half turn against the angle.
func TestJetAgainstSlow(t *testing.T) {
	m := sheet(40, 0.01, 2)
	topo := mesh.NewTopology(m)
	normals := VertexNormals(m)
	r := newRings(topo, len(m.Pos), nil)
	fits := 0
	for v := range mesh.VertexID(len(m.Pos)) {
		pts := r.within(m.Pos, v, 0.3, fitMost)
		j, ok := fitJet(m.Pos, normals, pts, 0.3)
		c, sum2, slowOK := slowJet(m.Pos, normals, pts, 0.3)
		if ok != slowOK {
			t.Fatalf("vertex %d: ok is %v, from the rows %v", v, ok, slowOK)
		}
		if !ok {
			continue
		}
		fits++
		got := [6]float64{j.f / 0.3, j.p, j.q, j.a * 0.3, j.b * 0.3, j.c * 0.3}
		for i := range c {
			if math.Abs(got[i]-c[i]) > 1e-9*(1+math.Abs(c[i])) {
				t.Fatalf("vertex %d: %v, from the rows %v", v, got, c)
			}
		}
		if math.Abs(j.sum2-sum2) > 1e-12 {
			t.Fatalf("vertex %d: residual² %g, summed %g", v, j.sum2, sum2)
		}
		p := j.principal()
		k1, k2, phi := slowPrincipal(&j)
		if math.Abs(p.K1-k1) > 1e-12*(1+math.Abs(k1)) || math.Abs(p.K2-k2) > 1e-12*(1+math.Abs(k2)) {
			t.Fatalf("vertex %d: curvatures %g and %g, by the angle %g and %g", v, p.K1, p.K2, k1, k2)
		}
		if math.Abs(p.D1.Dot(p.D2)) > 1e-12 || math.Abs(phi) > math.Pi/2 {
			t.Fatalf("vertex %d: directions %v and %v", v, p.D1, p.D2)
		}
	}
	if fits < 1500 {
		t.Fatalf("only %d fits", fits)
	}
	for i := range 720 {
		y, x := math.Sincos(float64(i) * math.Pi / 360)
		s, c := halfTurn(3*x, 3*y, 3*math.Sqrt(x*x+y*y))
		if ws, wc := math.Sincos(0.5 * math.Atan2(y, x)); math.Abs(s-ws) > 1e-15 || math.Abs(c-wc) > 1e-15 {
			t.Fatalf("half of %d half degrees: %g, %g, want %g, %g", i, s, c, ws, wc)
		}
	}
}

// TestVertexNormalsAgainstSlow holds the normals against three angles a face.
func TestVertexNormalsAgainstSlow(t *testing.T) {
	m := sheet(30, 0.05, 3)
	want := make([]r3.Vec, len(m.Pos))
	for f, c := range m.Tri {
		u, ok := m.AreaVector(mesh.FaceID(f)).Unit()
		if !ok {
			continue
		}
		for i, v := range c {
			p := m.Pos[v]
			want[v] = want[v].AddScaled(m.Pos[c[(i+1)%3]].Sub(p).Angle(m.Pos[c[(i+2)%3]].Sub(p)), u)
		}
	}
	for v, n := range VertexNormals(m) {
		if w, _ := want[v].Unit(); n.Dist(w) > 1e-14 {
			t.Fatalf("vertex %d: %v, by three angles %v", v, n, w)
		}
	}
}

// TestAngleAgainstAtan2 holds the table against the library, over the half turn and over
// sizes beyond single precision.
func TestAngleAgainstAtan2(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for i := range 200000 {
		y, x := math.Sincos(math.Pi * float64(i) / 199999)
		size := math.Exp(20 * r.NormFloat64())
		y, x = math.Abs(y)*size, x*size
		if got, want := angleOf(y, x), math.Atan2(y, x); !(math.Abs(got-want) <= 5e-16) {
			t.Fatalf("angle of (%g, %g) is %.17g, want %.17g", y, x, got, want)
		}
	}
	for _, c := range [][2]float64{{0, 0}, {0, 1}, {0, -1}, {1, 0}, {1e300, 1}, {1, -1e300}, {1e-320, 1e-310}, {math.Inf(1), 1}, {1e60, 1e60}} {
		if got, want := angleOf(c[0], c[1]), math.Atan2(c[0], c[1]); !(math.Abs(got-want) <= 5e-16) {
			t.Errorf("angle of %v is %g, want %g", c, got, want)
		}
	}
	if !math.IsNaN(angleOf(math.NaN(), 1)) || !math.IsNaN(angleOf(1, math.NaN())) {
		t.Error("an angle of no number")
	}
}
