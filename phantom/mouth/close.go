package mouth

import (
	"math"

	"selvage/phantom/solid"
	"selvage/r3"
)

// Closing the jaws, in mm and radians.
const (
	// wear is what is ground off at each contact: facets 1 to 2 mm across, as in a bite
	// that has been used.
	wear      = 0.25
	closeFrom = 5.0 // from where teeth are brought together
	closeStep = 0.25
	// How far beyond the occlusal plane a tooth comes before it stops without contact.
	backCloseTo, frontCloseTo = 3.0, 2.6
	// settleMost is how far a back tooth may lean to find its second and third contact,
	// and apart how far these lie from the others.
	settleMost = 5 * math.Pi / 180
	settleStep = settleMost / 12
	apart      = 1.8
)

// Close brings the teeth first to last of the opposing arch a into contact, as teeth
// erupt until they meet: along z until one would sink wear into the whole teeth of
// the working arch, and a back tooth then leans about its contacts until three hold
// it. The facets are ground flush in [Arch.Worn].
func (a *Arch) Close(working *Arch, first, last int) {
	for i := max(first, 0); i <= min(last, len(a.Teeth)-1); i++ {
		t := a.Teeth[i]
		c := closing{working: working, t: t, local: occlusalPoints(t)}
		if c.erupt() && !t.Form.Number.Front() {
			c.settle()
		}
	}
}

// closing moves one opposing tooth; local are points of its chewing surface, in its
// frame.
type closing struct {
	working *Arch
	t       *Placed
	local   []r3.Vec
}

// deepest returns the least value of the working teeth over the points that lie apart
// from all held ones, after the motion g, and where.
func (c *closing) deepest(g r3.Rigid, held []r3.Vec) (least float64, at r3.Vec) {
	least = math.Inf(1)
	m := g.After(c.t.Mouth)
	for _, q := range c.local {
		p := m.Point(q)
		if len(held) > 0 && nearest(held, p) < apart {
			continue
		}
		if d := c.working.Whole(p); d < least {
			least, at = d, p
		}
	}
	return least, at
}

func up(dz float64) r3.Rigid { return r3.Rigid{R: r3.Identity(), T: r3.V(0, 0, dz)} }

// erupt moves the tooth along z to its first contact and reports whether it met one.
func (c *closing) erupt() bool {
	limit := backCloseTo
	if c.t.Form.Number.Front() {
		limit = frontCloseTo
	}
	hi := closeFrom
	for {
		if d, _ := c.deepest(up(hi), nil); d <= -wear {
			break
		}
		if hi -= closeStep; hi <= -limit {
			return false
		}
	}
	lo := hi
	hi += closeStep
	for range 14 { // to 0.02 µm of z
		mid := (lo + hi) / 2
		if d, _ := c.deepest(up(mid), nil); d > -wear {
			hi = mid
		} else {
			lo = mid
		}
	}
	c.t.Move(r3.V(0, 0, hi))
	return true
}

// settle leans the tooth towards its middle about the first contact, then about the
// line through two, each time until another point touches.
func (c *closing) settle() {
	_, first := c.deepest(r3.Still(), nil)
	middle := c.t.Mouth.Point(r3.V(0, 0, c.t.Form.Height))
	arm := middle.Sub(first).Reject(r3.V(0, 0, 1))
	dir, ok := arm.Unit()
	if !ok {
		return
	}
	// The working teeth lie below: leaning moves the far side down, so the axis is
	// z × arm, about which a positive turn takes the arm towards -z.
	second, ok := c.lean(first, r3.V(0, 0, 1).Cross(dir), []r3.Vec{first})
	if !ok {
		return
	}
	along := second.Sub(first).Reject(r3.V(0, 0, 1)).UnitOr(dir)
	side := r3.V(0, 0, 1).Cross(along)
	if c.t.Mouth.Point(r3.V(0, 0, c.t.Form.Height)).Sub(first).Dot(side) < 0 {
		side = side.Neg()
	}
	c.lean(first, r3.V(0, 0, 1).Cross(side), []r3.Vec{first, second})
}

// lean turns the tooth about an axis through a point until a point apart from the
// held ones touches, and returns that point. Where none does within settleMost the
// tooth stays as it was.
func (c *closing) lean(about, axis r3.Vec, held []r3.Vec) (touch r3.Vec, ok bool) {
	turn := func(a float64) r3.Rigid {
		r := r3.Rotation(axis, a)
		return r3.Rigid{R: r, T: about.Sub(r.Apply(about))}
	}
	hi := 0.0
	for {
		if d, _ := c.deepest(turn(hi), held); d <= -wear {
			break
		}
		if hi += settleStep; hi > settleMost {
			return r3.Vec{}, false
		}
	}
	lo := max(hi-settleStep, 0)
	for range 12 {
		mid := (lo + hi) / 2
		if d, _ := c.deepest(turn(mid), held); d > -wear {
			lo = mid
		} else {
			hi = mid
		}
	}
	_, touch = c.deepest(turn(hi), held)
	c.t.Tilt(about, turn(hi).R)
	return touch, true
}

// Whole returns the least value of the whole teeth of the arch near p.
func (a *Arch) Whole(p r3.Vec) float64 {
	d := math.Inf(1)
	for _, t := range a.Teeth {
		if t.Center().Dist2(p) < 12*12 {
			d = min(d, t.Field(p).D)
		}
	}
	return d
}

// occlusalPoints samples the chewing surface of a tooth, in its frame.
func occlusalPoints(t *Placed) []r3.Vec {
	var out []r3.Vec
	f := &t.Form
	const n = 17
	for i := range n {
		for j := range n {
			x := f.Width / 2 * (2*float64(i)/(n-1) - 1)
			y := f.Depth / 2 * (2*float64(j)/(n-1) - 1)
			z, _, _ := f.Relief.Height(x, y)
			if q, ok := solid.Project(f.Field, r3.V(x, y, z), 3); ok && q.Z > f.Height*0.4 {
				out = append(out, q)
			}
		}
	}
	return out
}

// contactDepth is how far a point of the raster must have been ground to count as part
// of a facet, mm.
const contactDepth = 0.02

// Contacts returns the facets of an opposing tooth, apart from each other: points of
// its chewing surface that would lie inside a tooth of the working arch that counts.
func (a *Arch) Contacts(t *Placed, counts func(*Placed) bool) []r3.Vec {
	var held []r3.Vec
	for _, q := range occlusalPoints(t) {
		p := t.Mouth.Point(q)
		if nearest(held, p) < apart {
			continue
		}
		for _, o := range a.Teeth {
			if counts(o) && o.Center().Dist2(p) < 10*10 && o.Field(p).D < -contactDepth {
				held = append(held, p)
				break
			}
		}
	}
	return held
}

func nearest(pts []r3.Vec, p r3.Vec) float64 {
	d := math.Inf(1)
	for _, q := range pts {
		d = min(d, q.Dist2(p))
	}
	return math.Sqrt(d)
}

// Worn returns the crown of an opposing tooth t with its facets: what lies inside a
// tooth of the working arch a, whole, or of the web between two is worn away. p is canonical; q, side and the
// result are in the tooth's frame.
func (a *Arch) Worn(t *Placed) func(p, q r3.Vec, side solid.Sample) solid.Sample {
	var met []*Placed
	for _, o := range a.Teeth {
		d := o.Center().Sub(t.Center())
		d.Z = 0
		if d.Norm() < 14 {
			met = append(met, o)
		}
	}
	back := t.Mouth.R.T()
	return func(p, q r3.Vec, side solid.Sample) solid.Sample {
		s := t.Form.Over(q, side)
		if s.D > 0.5 || s.D < -wornMost || q.Z < t.Form.Height*0.35 {
			return s
		}
		v := nowhere()
		for _, o := range met {
			if o.Center().Dist2(p) < 8*8 {
				v = soften(v, o.Field(p), web) // crowded teeth are webbed, as in [Jaw.At]
			}
		}
		if math.IsInf(v.D, 1) {
			return s
		}
		v.N = back.Apply(v.N)
		return solid.Subtract(s, v, facetRound)
	}
}

// wornMost is the deepest facet, mm: that of a tooth which tipped into the bite and was
// ground in as it went.
const wornMost = 1.5

// facetRound is the radius of the edge of a facet, mm.
const facetRound = 0.05
