package surface_test

import (
	"math"
	"testing"

	"selvage/mesh"
	"selvage/r3"
	"selvage/surface"
)

func filled(m *mesh.Mesh) []surface.Filling {
	return surface.Filled(m, mesh.NewTopology(m), surface.VertexNormals(m), 0.3)
}

// disc keeps or drops the faces of a sheet whose three corners lie within r of (0, 0).
func disc(m *mesh.Mesh, r float64, keep bool) *mesh.Mesh {
	out, _, _ := mesh.Submesh(m, func(f mesh.FaceID) bool {
		in := true
		for _, v := range m.Tri[f] {
			in = in && math.Hypot(m.Pos[v].X, m.Pos[v].Y) < r
		}
		return in == keep
	})
	return out
}

// capped closes the hole of a sheet about (0, 0) from rim to rim.
func capped(m *mesh.Mesh) *mesh.Mesh {
	for _, loop := range mesh.NewTopology(m).Loops() {
		if p := m.Pos[m.From(loop[0])]; math.Hypot(p.X, p.Y) > 2 {
			continue
		}
		var mid r3.Vec
		for _, h := range loop {
			mid = mid.AddScaled(1/float64(len(loop)), m.Pos[m.From(h)])
		}
		hub := mesh.VertexID(len(m.Pos))
		out := &mesh.Mesh{Pos: append(m.Pos, mid), Tri: m.Tri}
		for _, h := range loop {
			out.Tri = append(out.Tri, [3]mesh.VertexID{m.To(h), m.From(h), hub})
		}
		return out
	}
	return m
}

// evened takes the noise off a sheet within r of (0, 0).
func evened(m *mesh.Mesh, r float64, f func(x, y float64) float64) *mesh.Mesh {
	for i, p := range m.Pos {
		if math.Hypot(p.X, p.Y) < r {
			m.Pos[i].Z = f(p.X, p.Y)
		}
	}
	return m
}

// A lid of either kind is found at its place and size, in scans of any noise and spacing.
func TestFilled(t *testing.T) {
	for _, c := range []struct{ step, sigma, r float64 }{{0.1, 0.01, 1.5}, {0.06, 0.005, 0.7}, {0.15, 0.02, 1.5}} {
		for name, m := range map[string]*mesh.Mesh{
			"even": evened(sheet(-5, 5, -5, 5, c.step, c.sigma, 1, wavy), c.r, wavy),
			"long": capped(disc(sheet(-5, 5, -5, 5, c.step, c.sigma, 1, wavy), c.r, false)),
		} {
			d := filled(m)
			if len(d) != 1 {
				t.Errorf("%s %+v: %d places", name, c, len(d))
				continue
			}
			want := math.Pi * c.r * c.r
			if math.Hypot(d[0].At.X, d[0].At.Y) > c.r/2 || math.Abs(d[0].Area-want) > 0.35*want || d[0].Even != (name == "even") {
				t.Errorf("%s %+v: %+v, want %.2f mm²", name, c, d[0], want)
			}
		}
	}
}

// Measured surface is none: noisy, without noise, smoother by and by, coarser where it is
// flat, or with a sharp edge.
func TestNothingFilled(t *testing.T) {
	roof := func(x, y float64) float64 { return -math.Abs(x) }
	fading := sheet(-5, 5, -5, 5, 0.1, 0, 1, wavy)
	for i, n := range sheet(-5, 5, -5, 5, 0.1, 0.02, 3, func(_, _ float64) float64 { return 0 }).Pos {
		x := fading.Pos[i].X
		fading.Pos[i].Z += n.Z * math.Pow(10, -math.Abs(x)/5)
	}
	coarse := joined(sheet(-5, 0, -5, 5, 0.1, 0.01, 1, wavy), sheet(0.05, 5, -5, 5, 0.5, 0.01, 1, wavy))
	for name, m := range map[string]*mesh.Mesh{
		"noisy":         sheet(-5, 5, -5, 5, 0.1, 0.01, 1, wavy),
		"without noise": sheet(-5, 5, -5, 5, 0.1, 0, 1, wavy),
		"edge":          sheet(-5, 5, -5, 5, 0.1, 0.005, 1, roof),
		"sharp, exact":  sheet(-5, 5, -5, 5, 0.1, 0, 1, roof),
		"fading":        fading,
		"coarser":       coarse,
		"graded":        graded(),
	} {
		if d := filled(m); len(d) > 0 {
			t.Errorf("%s: %+v", name, d[0])
		}
	}
}

// What looks like a lid and is none: too small to matter, on a scan that was smoothed as a
// whole, growing even by and by, at the border of the scan, or a row of slivers.
func TestNoLid(t *testing.T) {
	even := func(sigma float64) *mesh.Mesh { return evened(sheet(-5, 5, -5, 5, 0.1, sigma, 1, wavy), 1.5, wavy) }
	long := func() *mesh.Mesh { return capped(disc(sheet(-5, 5, -5, 5, 0.1, 0.01, 1, wavy), 1.5, false)) }
	for name, m := range map[string]*mesh.Mesh{"even": even(0.01), "long": long()} {
		if d := surface.Filled(m, mesh.NewTopology(m), surface.VertexNormals(m), 10); len(d) > 0 {
			t.Errorf("%s: %.1f mm² are less than 10", name, d[0].Area)
		}
	}
	byAndBy := sheet(-5, 5, -5, 5, 0.1, 0, 1, wavy)
	for i, n := range sheet(-5, 5, -5, 5, 0.1, 0.01, 3, func(_, _ float64) float64 { return 0 }).Pos {
		p := byAndBy.Pos[i]
		byAndBy.Pos[i].Z += n.Z * math.Pow(0.05, max(0, 1-math.Hypot(p.X, p.Y)/2.5))
	}
	for name, m := range map[string]*mesh.Mesh{
		"smoothed as a whole": even(0.0008),
		"even by and by":      byAndBy,
		"at the border":       notched(0),
	} {
		if d := filled(m); len(d) > 0 {
			t.Errorf("%s: %+v", name, d[0])
		}
	}
	row := slit()
	if d := surface.Filled(row, mesh.NewTopology(row), surface.VertexNormals(row), 0.05); len(d) > 0 {
		t.Errorf("a row of slivers: %+v", d)
	}
	if d := filled(notched(2)); len(d) != 1 || d[0].Even {
		t.Errorf("the same lid 2 mm inside the border: %+v", d)
	}
}

// notched is a sheet that begins a way below the x axis, with the upper half of a disc about
// the origin cut out and closed by faces from the rim to the origin: open along the x axis
// where the sheet begins there, else bounded by more of the sheet.
func notched(below float64) *mesh.Mesh {
	full := sheet(-5, 5, -below, 5, 0.1, 0.01, 1, wavy)
	m, _, _ := mesh.Submesh(full, func(f mesh.FaceID) bool {
		for _, v := range full.Tri[f] {
			if p := full.Pos[v]; math.Hypot(p.X, p.Y) > 1.5 || p.Y < -0.01 {
				return true
			}
		}
		return false
	})
	hub := mesh.VertexID(len(m.Pos))
	for _, loop := range mesh.NewTopology(m).Loops() {
		for _, h := range loop {
			a, b := m.From(h), m.To(h)
			p, q := m.Pos[a], m.Pos[b]
			rim := func(p r3.Vec) bool { return math.Hypot(p.X, p.Y) < 1.6 && (below > 0 || p.Y > -0.01) }
			if rim(p) && rim(q) && (p.Y > 0.05 || q.Y > 0.05 || below > 0) {
				m.Tri = append(m.Tri, [3]mesh.VertexID{b, a, hub})
			}
		}
	}
	m.Pos = append(m.Pos, r3.V(0, 0.02, wavy(0, 0.02)))
	return m
}

// slit is a level sheet whose middle row of cells, over 4 mm, is closed by faces from one end.
func slit() *mesh.Mesh {
	full := sheet(-5, 5, -5, 5, 0.1, 0.002, 1, func(_, _ float64) float64 { return 0 })
	m, _, _ := mesh.Submesh(full, func(f mesh.FaceID) bool {
		for _, v := range full.Tri[f] {
			if p := full.Pos[v]; math.Abs(p.X) > 2 || p.Y < -0.05 || p.Y > 0.15 {
				return true
			}
		}
		return false
	})
	for _, loop := range mesh.NewTopology(m).Loops() {
		hub := m.From(loop[0])
		if p := m.Pos[hub]; math.Abs(p.X) > 4 || math.Abs(p.Y) > 4 {
			continue
		}
		for _, h := range loop {
			if p := m.Pos[m.From(h)]; p.X < m.Pos[hub].X {
				hub = m.From(h)
			}
		}
		for _, h := range loop {
			if a, b := m.From(h), m.To(h); a != hub && b != hub {
				m.Tri = append(m.Tri, [3]mesh.VertexID{b, a, hub})
			}
		}
		break
	}
	return m
}

// graded is a sheet whose spacing doubles twice, with faces that join the steps.
func graded() *mesh.Mesh {
	m := &mesh.Mesh{}
	noise := rng(5)
	row := func(y, step float64) (first, n int) {
		first = len(m.Pos)
		for x := -5.0; x < 5+step/2; x += step {
			m.Pos = append(m.Pos, r3.V(x, y, wavy(x, y)+0.01*noise.NormFloat64()))
			n++
		}
		return first, n
	}
	a, na := row(0, 0.1)
	y := 0.0
	for range 60 {
		step := 0.1
		switch {
		case y > 3:
			step = 0.5
		case y > 2:
			step = 0.25
		}
		y += step
		b, nb := row(y, step)
		for i, j := 0, 0; i < na-1 || j < nb-1; { // zip the two rows
			if j == nb-1 || i < na-1 && m.Pos[a+i+1].X <= m.Pos[b+j+1].X {
				m.Tri = append(m.Tri, [3]mesh.VertexID{mesh.VertexID(a + i), mesh.VertexID(a + i + 1), mesh.VertexID(b + j)})
				i++
			} else {
				m.Tri = append(m.Tri, [3]mesh.VertexID{mesh.VertexID(a + i), mesh.VertexID(b + j + 1), mesh.VertexID(b + j)})
				j++
			}
		}
		a, na = b, nb
	}
	return m
}
