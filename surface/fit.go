package surface

import (
	"math"
	"sync"

	"selvage/internal/num"
	"selvage/mesh"
	"selvage/r3"
)

// fitMost bounds a neighbourhood of [FitField]: more points than this lower the
// noise no further than other errors stand.
const fitMost = 120

// fitLeast is the fewest points of a quadric fit: its six unknowns and half as
// many again to tell a spike from the surface.
const fitLeast = 9

// tukey is the cutoff of the biweight in standard deviations, for 95 % efficiency
// on normal noise.
const tukey = 4.685

// outlier is the residual, in standard deviations, that calls for weighing: in a
// neighbourhood of forty points normal noise passes it once in four hundred.
const outlier = 4.0

// fitRounds bounds how often the residuals are weighed. A stray point at the middle
// first bends the fit to itself and is let go of by and by; it takes up to eight
// rounds. Without one there is no second round.
const fitRounds = 8

// kink is the residual of a fit, in standard deviations of the field's noise, that says
// that the field is no quadric: normal noise passes it nowhere, its median over forty
// points being known to 12 %.
const kink = 2.0

// FitField returns the field f at the vertices at, each value replaced by that of
// a quadric fitted to f over the tangent plane, to the vertices that are connected
// to it within radius mm:
//
//	f(x, y) ≈ c0 + c1 x + c2 y + c3 x² + c4 xy + c5 y²,   result c0,
//
// every point with the same weight, or with Tukey's biweight where a residual stands
// out, so that a stray point does not count. (Weights that fall with distance were
// tried: the vertex itself then holds so much of the fit that a stray one hides.)
//
// noise is the standard deviation of f, or 0 where it is not known. Where the quadric
// leaves more than twice that, the field has a kink, as a distance has over a sharp
// edge, and the value itself stands: a fit would cut the corner.
//
// Where the field is smooth three rings of vertices leave a third of its noise, more
// at the rim of a surface. Vertices whose normal turns more than 60° away, and values that are not finite, are left out; with fewer than nine
// points left the result is their median, and f itself where the vertex has no finite
// value.
//
// normals are as from [VertexNormals]. Cost: O(len(at)·k), in parallel; the result
// does not depend on the number of cores.
func FitField(m *mesh.Mesh, topo *mesh.Topology, normals []r3.Vec, f []float64, at []mesh.VertexID, radius, noise float64) []float64 {
	out := make([]float64, len(at))
	spare := sync.Pool{New: func() any { return new(quadric) }}
	eachOf(topo, len(m.Pos), len(at), func(r *rings, i int) {
		q := spare.Get().(*quadric)
		out[i] = q.fit(m, normals, f, r.within(m.Pos, at[i], radius, fitMost), radius, noise)
		spare.Put(q)
	})
	return out
}

// FitLow returns the low part of a field f fitted by [FitField], as far as it may
// matter to the least value or to the lowest patch of want mm² ([LowPatch]) among the
// vertices that in accepts (nil: all), and +Inf elsewhere: everything up to margin
// above the level of the raw patch, a margin beyond which noise does not lift a value.
// Where there is no such patch all of in is fitted.
//
// The fits look at f beyond in as well; leave out what they must not see by making it
// NaN. area is as from [VertexAreas]. Cost: that of both for the part that is fitted.
func FitLow(m *mesh.Mesh, topo *mesh.Topology, normals []r3.Vec, area, f []float64, in []bool, want, margin, radius, noise float64) []float64 {
	masked := make([]float64, len(f))
	for v, x := range f {
		masked[v] = x
		if in != nil && !in[v] {
			masked[v] = math.Inf(1)
		}
	}
	level := math.Inf(1)
	if p, ok := LowPatch(topo, area, masked, want); ok {
		level = p.Level + margin
	}
	var at []mesh.VertexID
	for v, x := range masked {
		masked[v] = math.Inf(1)
		if x <= level && !math.IsInf(x, 0) {
			at = append(at, mesh.VertexID(v))
		}
	}
	for i, x := range FitField(m, topo, normals, f, at, radius, noise) {
		masked[at[i]] = x
	}
	return masked
}

// quadric holds the points of one fit, to be used again for the next.
type quadric struct {
	x, y, f []float64
	spare   []float64
}

// fit returns the value at pts[0].
func (q *quadric) fit(m *mesh.Mesh, normals []r3.Vec, f []float64, pts []mesh.VertexID, radius, noise float64) float64 {
	v := pts[0]
	if math.IsNaN(f[v]) || math.IsInf(f[v], 0) {
		return f[v]
	}
	q.gather(m, normals, f, pts, radius)
	c, ok := q.solve(nil)
	if len(q.f) < fitLeast || !ok {
		return num.Median(q.f)
	}
	for range fitRounds {
		w, sd, more := q.reweigh(c)
		if noise > 0 && sd > kink*noise {
			return f[v]
		}
		if !more {
			break
		}
		next, ok := q.solve(w)
		if !ok {
			break
		}
		c = next
	}
	return c[0]
}

// gather projects the points to the tangent plane of the first, in units of radius.
func (q *quadric) gather(m *mesh.Mesh, normals []r3.Vec, f []float64, pts []mesh.VertexID, radius float64) {
	q.x, q.y, q.f = q.x[:0], q.y[:0], q.f[:0]
	o, n := m.Pos[pts[0]], normals[pts[0]]
	e1, e2 := n.Basis()
	for _, v := range pts {
		if math.IsNaN(f[v]) || math.IsInf(f[v], 0) || normals[v].Dot(n) < 0.5 {
			continue
		}
		d := m.Pos[v].Sub(o).Scale(1 / radius)
		q.x, q.y, q.f = append(q.x, d.Dot(e1)), append(q.y, d.Dot(e2)), append(q.f, f[v])
	}
}

func (q *quadric) row(i int) [6]float64 {
	x, y := q.x[i], q.y[i]
	return [6]float64{1, x, y, x * x, x * y, y * y}
}

// solve returns the least-squares quadric with weights w, or nil for all alike.
func (q *quadric) solve(w []float64) (c [6]float64, ok bool) {
	var a [6][6]float64
	var b [6]float64
	for i, f := range q.f {
		r := q.row(i)
		weight := 1.0
		if w != nil {
			weight = w[i]
		}
		for j := range 6 {
			t := weight * r[j]
			for k := j; k < 6; k++ {
				a[j][k] += t * r[k]
			}
			b[j] += t * f
		}
	}
	return num.Solve6(a, b)
}

// reweigh returns the biweights of the residuals of c and their robust standard
// deviation. more is false where no residual stands out, and nothing needs to be
// weighed again.
func (q *quadric) reweigh(c [6]float64) (w []float64, sd float64, more bool) {
	n := len(q.f)
	q.spare = q.spare[:0]
	most := 0.0
	for i, f := range q.f {
		r := q.row(i)
		for k := range 6 {
			f -= c[k] * r[k]
		}
		f = math.Abs(f)
		most = max(most, f)
		q.spare = append(q.spare, f)
	}
	q.spare = append(q.spare, q.spare...)
	sd = num.MADSigma * num.Nth(q.spare[n:], n/2)
	if most <= outlier*sd {
		return nil, sd, false
	}
	w = q.spare[:n]
	lim := tukey * sd
	for i, d := range w {
		t := d / lim
		if !(t < 1) { // also where lim is zero
			w[i] = 0
			continue
		}
		t = 1 - t*t
		w[i] = t * t
	}
	return w, sd, true
}
