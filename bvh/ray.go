package bvh

import (
	"cmp"
	"math"
	"slices"

	"selvage/mesh"
	"selvage/r3"
)

// Ray returns the first hit of the ray o + T·d with tmin ≤ T ≤ tmax, from either side
// of the surface; ok is false where there is none. tmin may be negative and either
// bound infinite. Equal T go to the lowest face id. d need not be a unit vector; a ray
// without direction hits nothing, and one within the plane of a face does not hit that
// face.
func (t *Tree) Ray(o, d r3.Vec, tmin, tmax float64) (hit Hit, ok bool) {
	best := noHit()
	c, ok := t.cast(o, d, tmin, tmax)
	if !ok {
		return best, false
	}
	c.walk(func(f *facet, s float64) bool {
		if s < best.T || s == best.T && f.face < best.Face {
			best.T, best.Face = s, f.face
			c.shorten(s)
		}
		return true
	})
	if best.Face == mesh.None {
		return best, false
	}
	best.Point = o.AddScaled(best.T, d)
	return best, true
}

// Occluded reports whether anything is hit with tmin ≤ T ≤ tmax. It is faster than
// [Tree.Ray], as any hit will do.
func (t *Tree) Occluded(o, d r3.Vec, tmin, tmax float64) bool {
	c, ok := t.cast(o, d, tmin, tmax)
	if !ok {
		return false
	}
	found := false
	c.walk(func(*facet, float64) bool {
		found = true
		return false
	})
	return found
}

// AllHits appends every hit with tmin ≤ T ≤ tmax to dst[:0], in order of T, then of
// face id. A ray through an edge or a vertex hits every face that meets there.
func (t *Tree) AllHits(dst []Hit, o, d r3.Vec, tmin, tmax float64) []Hit {
	dst = dst[:0]
	c, ok := t.cast(o, d, tmin, tmax)
	if !ok {
		return dst
	}
	c.walk(func(f *facet, s float64) bool {
		dst = append(dst, Hit{f.face, s, o.AddScaled(s, d)})
		return true
	})
	sortHits(dst)
	return dst
}

func sortHits(h []Hit) {
	slices.SortFunc(h, func(a, b Hit) int {
		if a.T != b.T {
			return cmp.Compare(a.T, b.T)
		}
		return cmp.Compare(a.Face, b.Face)
	})
}

// cast is a ray query under way. Boxes are tested against a float32 copy of the ray
// that starts where the ray enters the tree and whose direction's largest component
// is 1; triangles against the ray itself.
type cast struct {
	t          *Tree
	beam       beam
	tmin, tmax float64

	near, far  [3]int     // rows of node.box where the ray enters and leaves a slab
	oIn, oOut  [3]float32 // the start, moved by its rounding so that slabs only widen
	inv        [3]float32
	start, len float64 // T of the start; largest component of d
	limit      float32 // largest parameter of interest, from the start
}

// flat is the least component of a direction, its largest being 1, that is told from
// zero: over the extent of any tree it leads nowhere.
const flat = 1.0 / (1 << 60)

// cast prepares a query; ok is false where the ray can hit nothing.
func (t *Tree) cast(o, d r3.Vec, tmin, tmax float64) (c cast, ok bool) {
	b, ok := newBeam(o, d)
	if !ok || t.root == emptyRef {
		return c, false
	}
	enter, leave := slab(t.bounds, o, d, tmin, tmax)
	if !(enter <= leave) {
		return c, false
	}
	c = cast{t: t, beam: b, tmin: tmin, tmax: tmax, start: enter, len: largest(d)}
	from := o.AddScaled(enter, d).Sub(t.origin)
	// The start is as exact as the subtraction of o allows, plus float32's rounding.
	err := 2*t.pad + float64(queryShare*largest(from)) + float64(padShare*padShare*largest(o))
	for k, v := range d.Array() {
		v /= c.len
		if math.Abs(v) < flat {
			v = math.Copysign(flat, v)
		}
		c.inv[k] = float32(1 / v)
		x := from.Array()[k]
		in, out := x+err, x-err
		c.near[k], c.far[k] = 2*k, 2*k+1
		if v < 0 {
			in, out = out, in
			c.near[k], c.far[k] = 2*k+1, 2*k
		}
		c.oIn[k], c.oOut[k] = float32(in), float32(out)
	}
	c.shorten(leave)
	return c, true
}

// shorten lets go of everything beyond T.
func (c *cast) shorten(t float64) {
	if t < c.tmax {
		c.tmax = t
	}
	c.limit = float32(((t-c.start)*c.len + 4*c.t.pad) * (1 + slack32))
}

// slab returns the stretch of the ray within the box and [t0, t1]; it is empty
// (enter > leave) where they do not meet.
func slab(b r3.Box, o, d r3.Vec, t0, t1 float64) (enter, leave float64) {
	lo, hi, p, v := b.Min.Array(), b.Max.Array(), o.Array(), d.Array()
	for k := range 3 {
		if v[k] == 0 {
			if p[k] < lo[k] || p[k] > hi[k] {
				return 1, 0
			}
			continue
		}
		x, y := (lo[k]-p[k])/v[k], (hi[k]-p[k])/v[k]
		t0, t1 = max(t0, min(x, y)), min(t1, max(x, y))
	}
	return t0, t1
}

// walk calls found for every hit within tmin..tmax, near subtrees first, until found
// returns false.
func (c *cast) walk(found func(f *facet, t float64) bool) {
	var buf [stackHint]task
	stack := append(buf[:0], newTask(0, c.t.root))
	for len(stack) > 0 {
		top := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if top.d2() > c.limit {
			continue
		}
		if to := top.to(); to >= 0 {
			stack = c.push(stack, &c.t.nodes[to])
			continue
		}
		block := &c.t.blocks[top.to().leaf()]
		for i := range block {
			f := &block[i]
			if f.face == mesh.None {
				break
			}
			x, y, z := c.t.corners(f)
			if s, ok := c.beam.hit(x, y, z); ok && s >= c.tmin && s <= c.tmax && !found(f, s) {
				return
			}
		}
	}
}

// slackWord is slack32 as a step of a float's word: at least 16 units of the last of 24
// digits.
const slackWord = 32

// word returns the bits of x as an integer.
//
// WHY: integers have a maximum without branches, floats have not. The words of floats
// that are not negative are in the order of the floats, and the word of a negative
// float is negative; so max(…, 0) of words is the word of max(…, 0), and a minimum of
// words is negative if one float is. NaN cannot occur: the factors are finite and inv is
// not zero.
func word(x float32) int32 { return int32(math.Float32bits(x)) }

// push appends the children of n that the ray meets, the first to be met last. The
// task's d2 is the parameter of entry.
func (c *cast) push(stack []task, n *node) []task {
	nx, ny, nz := &n.box[c.near[0]], &n.box[c.near[1]], &n.box[c.near[2]]
	fx, fy, fz := &n.box[c.far[0]], &n.box[c.far[1]], &n.box[c.far[2]]
	limit := word(c.limit)
	base := len(stack)
	stack = room(stack)[:base+width]
	top := base
	for i := range width {
		in := max(word((nx[i]-c.oIn[0])*c.inv[0]), word((ny[i]-c.oIn[1])*c.inv[1]), word((nz[i]-c.oIn[2])*c.inv[2]), 0)
		out := min(word((fx[i]-c.oOut[0])*c.inv[0]), word((fy[i]-c.oOut[1])*c.inv[1]), word((fz[i]-c.oOut[2])*c.inv[2]), limit)
		if in <= out+slackWord {
			insert(stack, base, top, newTask(math.Float32frombits(uint32(in)), n.child[i]))
			top++
		}
	}
	return stack[:top]
}
