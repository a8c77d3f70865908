package picture

import (
	"math"

	"selvage/r3"
)

const (
	// perPixel samples along each side of a pixel: four samples a pixel smooth
	// edges well enough for print at 200 dots an inch, and cost a quarter of nine.
	perPixel = 2
	// subsample is the fixed-point unit: 1/16 of a sample, 1/32 of a pixel.
	subsample = 16
	// bandRows sample rows are drawn by one core at a time.
	bandRows = 64
	// maxFixed bounds the fixed-point coordinates, so that edge functions fit
	// int64 with room to spare; a vertex beyond lies kilometres off the picture.
	maxFixed = 1 << 26
	// noSurface is the id of an empty sample.
	noSurface = 0
)

// drawn is one surface, projected.
type drawn struct {
	Surface
	first   int // global number of its first triangle
	normals []r3.Vec
	x, y    []int32   // fixed-point sample coordinates of the vertices
	z       []float32 // depth toward the viewer, mm
	off     []bool    // vertex too far off to draw
}

// gbuffer holds, for every sample, the nearest triangle and its depth.
type gbuffer struct {
	w, h   int // pixels
	sw, sh int // samples
	proj   projector
	surf   []drawn
	id     []uint32  // noSurface, or 1 + global triangle number
	z      []float32 // valid where id is not noSurface
}

// rasterise finds the visible triangle of every sample. A sample on an edge
// that two triangles share belongs to exactly one of them (top-left rule on
// integers); of two triangles at the same depth the one with the lower number wins.
func rasterise(surfaces []Surface, p projector, w, h int) *gbuffer {
	g := &gbuffer{w: w, h: h, sw: w * perPixel, sh: h * perPixel, proj: p}
	g.id = make([]uint32, g.sw*g.sh)
	g.z = make([]float32, g.sw*g.sh)
	first := 0
	for _, s := range surfaces {
		if s.Mesh == nil || len(s.Mesh.Tri) == 0 {
			continue
		}
		g.surf = append(g.surf, g.project(s, first))
		first += len(s.Mesh.Tri)
	}
	bins := g.bin()
	inBands(g.sh, bandRows, func(band, lo, hi int) {
		for _, t := range bins[band] {
			g.fill(t, lo, hi)
		}
	})
	return g
}

func (g *gbuffer) project(s Surface, first int) drawn {
	n := len(s.Mesh.Pos)
	d := drawn{
		Surface: s, first: first, normals: s.Normals,
		x: make([]int32, n), y: make([]int32, n), z: make([]float32, n), off: make([]bool, n),
	}
	if len(d.normals) != n {
		d.normals = smoothNormals(s.Mesh)
	}
	const unit = perPixel * subsample
	inBands(n, 1<<14, func(_, lo, hi int) {
		for i := lo; i < hi; i++ {
			x, y, z := g.proj.at(s.Mesh.Pos[i])
			x, y = x*unit, y*unit
			if !(math.Abs(x) < maxFixed && math.Abs(y) < maxFixed) {
				d.off[i] = true
				continue
			}
			d.x[i], d.y[i], d.z[i] = int32(math.Floor(x+0.5)), int32(math.Floor(y+0.5)), float32(z)
		}
	})
	return d
}

// tri names a triangle within the buffer.
type tri struct {
	surf int32
	face int32
}

// bin lists, for each band of rows, the triangles that reach into it, in order.
func (g *gbuffer) bin() [][]tri {
	bands := (g.sh + bandRows - 1) / bandRows
	count := make([]int, bands)
	each := func(visit func(band int, t tri)) {
		for si := range g.surf {
			d := &g.surf[si]
			for f := range d.Mesh.Tri {
				lo, hi, ok := g.rows(d, f)
				if !ok {
					continue
				}
				for b := lo / bandRows; b <= hi/bandRows; b++ {
					visit(b, tri{int32(si), int32(f)})
				}
			}
		}
	}
	each(func(b int, _ tri) { count[b]++ })
	out := make([][]tri, bands)
	for b, n := range count {
		out[b] = make([]tri, 0, n)
	}
	each(func(b int, t tri) { out[b] = append(out[b], t) })
	return out
}

// rows returns the first and last sample row that the triangle may touch.
func (g *gbuffer) rows(d *drawn, f int) (lo, hi int, ok bool) {
	t := d.Mesh.Tri[f]
	if d.off[t[0]] || d.off[t[1]] || d.off[t[2]] {
		return 0, 0, false
	}
	x0, x1 := min(d.x[t[0]], d.x[t[1]], d.x[t[2]]), max(d.x[t[0]], d.x[t[1]], d.x[t[2]])
	y0, y1 := min(d.y[t[0]], d.y[t[1]], d.y[t[2]]), max(d.y[t[0]], d.y[t[1]], d.y[t[2]])
	if x1 < 0 || y1 < 0 || int(x0) >= g.sw*subsample || int(y0) >= g.sh*subsample {
		return 0, 0, false
	}
	// the first sample centre at or below y0, the last at or above y1
	lo = max(0, int(y0+subsample/2-1)>>4)
	hi = min(g.sh-1, int(y1-subsample/2)>>4)
	return lo, hi, lo <= hi && int(x0+subsample/2-1)>>4 <= int(x1-subsample/2)>>4
}

// edge is the half-plane left of a directed side of a triangle.
type edge struct {
	at, dx, dy int64 // value at the first sample; increment per sample right, down
}

func edgeOf(ax, ay, bx, by, px, py int64) edge {
	ex, ey := bx-ax, by-ay
	v := ex*(py-ay) - ey*(px-ax)
	if !(ey < 0 || ey == 0 && ex > 0) { // neither a left nor a top side
		v--
	}
	return edge{v, -ey * subsample, ex * subsample}
}

// fill writes one triangle into the sample rows lo..hi-1.
func (g *gbuffer) fill(t tri, lo, hi int) {
	d := &g.surf[t.surf]
	c := d.Mesh.Tri[t.face]
	cut, ok := d.clip(c)
	if !ok {
		return
	}
	a, b, e := c[0], c[1], c[2]
	ax, ay, bx, by := int64(d.x[a]), int64(d.y[a]), int64(d.x[b]), int64(d.y[b])
	cx, cy := int64(d.x[e]), int64(d.y[e])
	za, zb, zc := float64(d.z[a]), float64(d.z[b]), float64(d.z[e])
	area := (bx-ax)*(cy-ay) - (by-ay)*(cx-ax)
	if area == 0 {
		return
	}
	if area < 0 {
		bx, by, cx, cy, zb, zc, area = cx, cy, bx, by, zc, zb, -area
	}
	x0 := max(0, int(min(ax, bx, cx)+subsample/2-1)>>4)
	x1 := min(g.sw-1, int(max(ax, bx, cx)-subsample/2)>>4)
	y0 := max(lo, int(min(ay, by, cy)+subsample/2-1)>>4)
	y1 := min(hi-1, int(max(ay, by, cy)-subsample/2)>>4)
	if x0 > x1 || y0 > y1 {
		return
	}
	px, py := int64(x0*subsample+subsample/2), int64(y0*subsample+subsample/2)
	ea, eb, ec := edgeOf(bx, by, cx, cy, px, py), edgeOf(cx, cy, ax, ay, px, py), edgeOf(ax, ay, bx, by, px, py)
	inv := 1 / float64(area)
	// depth is linear over the picture: gradient per sample, and its value at the first sample
	gx := (float64(float64(ea.dx)*za) + float64(float64(eb.dx)*zb) + float64(float64(ec.dx)*zc)) * inv
	gy := (float64(float64(ea.dy)*za) + float64(float64(eb.dy)*zb) + float64(float64(ec.dy)*zc)) * inv
	z0 := za + float64(gx*(float64(px-ax)/subsample)) + float64(gy*(float64(py-ay)/subsample))
	id := uint32(d.first+int(t.face)) + 1
	for y := y0; y <= y1; y++ {
		va, vb, vc := ea.at, eb.at, ec.at
		zr := z0 + float64(gy*float64(y-y0))
		row := y * g.sw
		for x := x0; x <= x1; x++ {
			if va|vb|vc >= 0 {
				z := float32(zr + float64(gx*float64(x-x0)))
				if k := row + x; (g.id[k] == noSurface || z > g.z[k]) && (!cut || g.kept(d, x, y, z)) {
					g.id[k], g.z[k] = id, z
				}
			}
			va, vb, vc = va+ea.dx, vb+eb.dx, vc+ec.dx
		}
		ea.at, eb.at, ec.at = ea.at+ea.dy, eb.at+eb.dy, ec.at+ec.dy
	}
}

// clip says whether any of the triangle may stay (ok) and whether its samples
// must be tested one by one (cut).
func (d *drawn) clip(c [3]vertexID) (cut, ok bool) {
	for _, pl := range d.Clip {
		in := 0
		for _, v := range c {
			if pl.N.Dot(d.Mesh.Pos[v].Sub(pl.P)) >= 0 {
				in++
			}
		}
		if in == 0 {
			return false, false
		}
		cut = cut || in < 3
	}
	return cut, true
}

// kept reports whether a sample lies in front of every clipping plane.
func (g *gbuffer) kept(d *drawn, x, y int, z float32) bool {
	q := g.proj.back((float64(x)+0.5)/perPixel, (float64(y)+0.5)/perPixel, float64(z))
	for _, pl := range d.Clip {
		if pl.N.Dot(q.Sub(pl.P)) < 0 {
			return false
		}
	}
	return true
}
