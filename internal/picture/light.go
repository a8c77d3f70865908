package picture

import (
	"math"

	"selvage/r3"
)

// light holds what shading needs to know about the neighbourhood of each pixel.
type light struct {
	w, h  int
	id    []uint32  // nearest triangle, as in the buffer
	n     []vec3    // view-space normal, toward the viewer; zero where there is nothing
	z     []float32 // depth, mm; -Inf where there is nothing
	open  []float32 // 0..1: how much of the sky a point sees past its neighbourhood
	crest []float32 // turn of the normal over a short way, rad: + on edges, - in creases
}

// vec3 is a direction in picture axes in single precision: x right, y down, z
// toward the viewer.
type vec3 struct{ x, y, z float32 }

func (a vec3) dot(b vec3) float32 {
	return float32(a.x*b.x) + float32(a.y*b.y) + float32(a.z*b.z)
}

func (a vec3) unit() vec3 {
	s := a.dot(a)
	if !(s > 0) {
		return vec3{}
	}
	s = 1 / float32(math.Sqrt(float64(s)))
	return vec3{a.x * s, a.y * s, a.z * s}
}

// hit is a sample resolved: the surface, the triangle and the weights of its corners.
type hit struct {
	d       *drawn
	face    int
	c       [3]vertexID
	wa, wb  float32
	inside  bool // the viewer sees the inner side
	present bool
}

// locate finds the triangle of an id and the weights at a sample.
func (g *gbuffer) locate(id uint32, x, y int) hit {
	if id == noSurface {
		return hit{}
	}
	k := int(id) - 1
	si := len(g.surf) - 1
	for g.surf[si].first > k {
		si--
	}
	d := &g.surf[si]
	c := d.Mesh.Tri[k-d.first]
	ax, ay := int64(d.x[c[0]]), int64(d.y[c[0]])
	bx, by := int64(d.x[c[1]])-ax, int64(d.y[c[1]])-ay
	cx, cy := int64(d.x[c[2]])-ax, int64(d.y[c[2]])-ay
	px, py := int64(x*subsample+subsample/2)-ax, int64(y*subsample+subsample/2)-ay
	area := bx*cy - by*cx
	h := hit{d: d, face: k - d.first, c: c, inside: area > 0, present: true} // y points down: outside winds negative
	if area == 0 {
		return h
	}
	inv := 1 / float32(area)
	wb := float32(px*cy-py*cx) * inv
	wc := float32(bx*py-by*px) * inv
	h.wa, h.wb = 1-wb-wc, wb
	return h
}

// normal returns the shading normal in picture axes, turned to the viewer.
func (g *gbuffer) normal(h hit) vec3 {
	wa, wb := float64(h.wa), float64(h.wb)
	na, nb, nc := h.d.normals[h.c[0]], h.d.normals[h.c[1]], h.d.normals[h.c[2]]
	n := nc.Scale(1-wa-wb).AddScaled(wa, na).AddScaled(wb, nb)
	if n == (r3.Vec{}) {
		n = g.proj.eye
	}
	x, y, z := g.proj.dir(n)
	v := vec3{float32(x), float32(y), float32(z)}.unit()
	if h.inside {
		v = vec3{-v.x, -v.y, -v.z}
	}
	return v
}

// light gathers the neighbourhood: normals and depths, then openness and crests.
func (g *gbuffer) light() *light {
	l := &light{w: g.w, h: g.h, id: make([]uint32, g.w*g.h), n: make([]vec3, g.w*g.h), z: make([]float32, g.w*g.h)}
	inf := float32(math.Inf(-1))
	inBands(g.h, bandRows, func(_, lo, hi int) {
		for y := lo; y < hi; y++ {
			for x := range g.w {
				k := y*g.w + x
				l.z[k] = inf
				s, sx, sy := g.nearest(x, y)
				if s < 0 {
					continue
				}
				l.z[k], l.id[k] = g.z[s], g.id[s]
				l.n[k] = g.normal(g.locate(g.id[s], sx, sy))
			}
		}
	})
	l.findOpen(float32(g.proj.perMM))
	l.findCrests(float32(g.proj.perMM))
	return l
}

// nearest returns the sample of a pixel that lies closest to the viewer, or -1.
func (g *gbuffer) nearest(x, y int) (k, sx, sy int) {
	k = -1
	for j := range perPixel {
		for i := range perPixel {
			q := (y*perPixel+j)*g.sw + x*perPixel + i
			if g.id[q] != noSurface && (k < 0 || g.z[q] > g.z[k]) {
				k, sx, sy = q, x*perPixel+i, y*perPixel+j
			}
		}
	}
	return k, sx, sy
}

const (
	// openCell pixels along each side share one value of openness: it varies
	// slowly, and a quarter of the work buys twice the directions.
	openCell = 2
	openDirs = 12
	// openFar is the reach of the darkening in mm, about half a cusp: fissures,
	// embrasures and the chamfer darken, the tooth as a whole does not.
	openFar = 2.4
	// openBias is the sine of the rise that does not count, so that a flat facet
	// between noisy normals does not shade itself.
	openBias = 0.08
)

// openSteps are the distances at which each direction is looked at, as fractions
// of openFar: near ones closer together, where creases are.
var openSteps = [...]float32{0.05, 0.12, 0.24, 0.44, 0.72, 1}

// findOpen estimates, for each cell, how much of the half-space above the
// surface is free: in each of openDirs directions the steepest neighbour over
// the tangent plane, faded with distance, then the mean.
func (l *light) findOpen(perMM float32) {
	cw, ch := (l.w+openCell-1)/openCell, (l.h+openCell-1)/openCell
	cell := make([]float32, cw*ch)
	steps := openOffsets(perMM)
	inBands(ch, bandRows/openCell, func(_, lo, hi int) {
		for cy := lo; cy < hi; cy++ {
			for cx := range cw {
				cell[cy*cw+cx] = l.openAt(min(cx*openCell+openCell/2, l.w-1), min(cy*openCell+openCell/2, l.h-1), &steps, perMM)
			}
		}
	})
	l.open = make([]float32, l.w*l.h)
	inBands(l.h, bandRows, func(_, lo, hi int) {
		for y := lo; y < hi; y++ {
			for x := range l.w {
				l.open[y*l.w+x] = l.blendOpen(cell, cw, ch, x, y, &steps, perMM)
			}
		}
	})
}

// offset is a look at a neighbour: the way in pixels and the way in mm.
type offset struct {
	dx, dy int
	mx, my float32
	fade   float32
}

// openLook lists all the looks around a point.
type openLook [openDirs][len(openSteps)]offset

func openOffsets(perMM float32) openLook {
	var o openLook
	for d := range o {
		s, c := math.Sincos(2 * math.Pi * (float64(d) + 0.5) / openDirs)
		for k, f := range openSteps {
			r := max(float64(f*openFar*perMM), float64(k+1)) // at least one more pixel each step
			dx, dy := int(math.Round(c*r)), int(math.Round(s*r))
			o[d][k] = offset{dx, dy, float32(dx) / perMM, float32(dy) / perMM, 1 - 0.8*f}
		}
	}
	return o
}

func (l *light) openAt(x, y int, dirs *openLook, perMM float32) float32 {
	k := y*l.w + x
	n := l.n[k]
	if n == (vec3{}) {
		return 1
	}
	var shut float32
	for d := range dirs {
		var worst float32
		for _, o := range dirs[d] {
			qx, qy := x+o.dx, y+o.dy
			if uint(qx) >= uint(l.w) || uint(qy) >= uint(l.h) {
				break
			}
			dz := l.z[qy*l.w+qx] - l.z[k]
			if !(dz > -openFar) { // nothing there, or far below: cannot hide the sky
				continue
			}
			dz = min(dz, openFar)
			v := vec3{o.mx, o.my, dz}
			rise := n.dot(v)
			if rise <= 0 {
				continue
			}
			s := rise/float32(math.Sqrt(float64(v.dot(v)))) - openBias
			worst = max(worst, s*o.fade)
		}
		shut += worst
	}
	return 1 - shut/openDirs
}

// blendOpen interpolates the four cells around a pixel, leaving out those that
// lie on another surface (more than openFar/4 off in depth).
func (l *light) blendOpen(cell []float32, cw, ch, x, y int, steps *openLook, perMM float32) float32 {
	z := l.z[y*l.w+x]
	if math.IsInf(float64(z), -1) {
		return 1
	}
	fx := (float32(x) + 0.5 - openCell/2 - 0.5) / openCell
	fy := (float32(y) + 0.5 - openCell/2 - 0.5) / openCell
	x0, y0 := int(math.Floor(float64(fx))), int(math.Floor(float64(fy)))
	tx, ty := fx-float32(x0), fy-float32(y0)
	var sum, weight float32
	for j := range 2 {
		for i := range 2 {
			cx, cy := min(max(x0+i, 0), cw-1), min(max(y0+j, 0), ch-1)
			qx, qy := min(cx*openCell+openCell/2, l.w-1), min(cy*openCell+openCell/2, l.h-1)
			if dz := l.z[qy*l.w+qx] - z; !(dz < openFar/4 && dz > -openFar/4) {
				continue
			}
			wx, wy := tx, ty
			if i == 0 {
				wx = 1 - tx
			}
			if j == 0 {
				wy = 1 - ty
			}
			w := float32(wx*wy) + 1e-3 // never nothing, where only one cell is on this surface
			sum += w * cell[cy*cw+cx]
			weight += w
		}
	}
	if weight == 0 { // a sliver between cells of other surfaces
		return l.openAt(x, y, steps, perMM)
	}
	return sum / weight
}

// crestReach are the two ways in mm over which the turn of the normal is taken: the
// radius of a finish line's edge, and the width of a chamfer or fissure.
var crestReach = [...]float32{0.14, 0.42}

// findCrests takes the turn of the surface over each reach: the normal curvature
// along the two picture axes and the two diagonals times the reach, averaged,
// positive where the surface is convex. Neighbours across a step in depth do not
// count.
func (l *light) findCrests(perMM float32) {
	l.crest = make([]float32, l.w*l.h)
	looks := crestLooks(perMM, l.w)
	inBands(l.h, bandRows, func(_, lo, hi int) {
		for y := lo; y < hi; y++ {
			for x := range l.w {
				if k := y*l.w + x; l.n[k] != (vec3{}) {
					l.crest[k] = l.turnAt(x, y, &looks)
				}
			}
		}
	})
}

// crestLook is a neighbour at which the turn is taken: the way in pixels, as a step
// in the buffer and in mm, and what it counts.
type crestLook struct {
	dx, dy, step int
	mx, my       float32
	flat2        float32 // squared way in the picture, mm²
	reach        float32
}

// aroundEach is the number of neighbours at each reach: axes and diagonals.
const aroundEach = 8

type crestSet [len(crestReach)][aroundEach]crestLook

func crestLooks(perMM float32, w int) (set crestSet) {
	for i, r := range crestReach {
		px := max(1, int(float32(r*perMM)+0.5))
		dg := max(1, int(float32(0.7071*r*perMM)+0.5))
		for k, d := range [aroundEach][2]int{{px, 0}, {-px, 0}, {0, px}, {0, -px}, {dg, dg}, {-dg, -dg}, {dg, -dg}, {-dg, dg}} {
			mx, my := float32(d[0])/perMM, float32(d[1])/perMM
			set[i][k] = crestLook{d[0], d[1], d[1]*w + d[0], mx, my, float32(mx*mx) + float32(my*my), r}
		}
	}
	return set
}

// turnAt is the mean over the reaches of the mean normal curvature times the reach,
// in radians: with e the way to a neighbour and d the change of the normal, the
// curvature along e is d·e/|e|².
func (l *light) turnAt(x, y int, set *crestSet) float32 {
	k := y*l.w + x
	a, z := l.n[k], l.z[k]
	var total float32
	for i := range set {
		var sum float32
		var n int
		for j := range set[i] {
			o := &set[i][j]
			if uint(x+o.dx) >= uint(l.w) || uint(y+o.dy) >= uint(l.h) {
				continue
			}
			b := l.n[k+o.step]
			if b == (vec3{}) {
				continue
			}
			dz := l.z[k+o.step] - z
			len2 := o.flat2 + float32(dz*dz)
			if len2 > 16*o.flat2 { // steeper than 75°: the other side of an outline
				continue
			}
			turn := float32((b.x-a.x)*o.mx) + float32((b.y-a.y)*o.my) + float32((b.z-a.z)*dz)
			sum += o.reach * turn / len2
			n++
		}
		if n > 0 {
			total += sum / float32(n)
		}
	}
	return total / float32(len(set))
}
