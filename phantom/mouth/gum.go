package mouth

import (
	"math"

	"selvage/phantom/solid"
	"selvage/r3"
	"selvage/tooth"
)

// Collar is the gum about one tooth. At depth u below the crest its surface lies
//
//	t(u) = Bulge·(1 - exp(-u/Roll)) + Spread·u
//
// outside the tooth's sides; above the crest the line goes on inwards, inside the
// tooth, so that gum and tooth meet at the crest. The crest's height by azimuth φ
// about the tooth is Crest(φ).
type Collar struct {
	Tooth  *Placed
	Height float64                           // of the crest mid-buccally, over the tooth's origin
	Mesial float64                           // rise of the mesial papilla above that
	Distal float64                           // rise of the distal papilla
	Crest  func(phi float64) (z, dz float64) // overrides the three above where not nil
	Away   func(phi float64) (a, da float64) // distance of the crest from the sides, an open sulcus; nil for none
	Spread func(phi float64) (k, dk float64) // outward lean of the gum's flank
	Bulge  float64
	Roll   float64
}

// Collar returns the healthy gum of a tooth of the arch, without a sulcus.
func (a *Arch) Collar(t *Placed) Collar {
	jaw, pos := t.Form.Number.Jaw(), t.Form.Number.Position()
	c := Collar{Tooth: t, Height: 0.8, Mesial: 2.1, Distal: 2.1, Bulge: 0.75, Roll: 0.8}
	if t.Form.Number.Front() {
		c.Height, c.Mesial, c.Distal = 0.7, 3.0, 3.0
	}
	c.Height += a.who.of(gumHeight, jaw, pos)
	between := a.who.of(papilla, jaw, pos)
	c.Mesial, c.Distal = c.Mesial+between, c.Distal+between
	c.Bulge += a.who.of(gumBulge, jaw, pos)
	buccal, lingual := 0.22, 0.30
	if jaw == tooth.Upper {
		lingual = 0.75 // the palate
	}
	c.Spread = func(phi float64) (k, dk float64) {
		s, co := math.Sincos(phi)
		return (buccal+lingual)/2 + (buccal-lingual)/2*s, (buccal - lingual) / 2 * co
	}
	return c
}

// CrestAt returns the height of the crest at azimuth phi and its derivative:
// Height + rise·cos⁴φ, which is flat mid-buccally and steep at the papillae; rise is
// Mesial where cos φ > 0 and Distal where it is negative.
func (c *Collar) CrestAt(phi float64) (z, dz float64) {
	if c.Crest != nil {
		return c.Crest(phi)
	}
	s, co := math.Sincos(phi)
	rise := c.Mesial
	if co < 0 {
		rise = c.Distal
	}
	return c.Height + rise*co*co*co*co, -4 * rise * co * co * co * s
}

// Depth returns how far p lies below the crest, along the tooth's axis.
func (c *Collar) Depth(p r3.Vec) float64 {
	q := c.Tooth.Local(p)
	z, _ := c.CrestAt(math.Atan2(q.Y, q.X))
	return z - q.Z
}

// Field returns the field of the collar, unlimited downwards.
func (c *Collar) Field(p r3.Vec) solid.Sample {
	q := c.Tooth.Local(p)
	return c.Tooth.Turn(c.Over(q, c.Tooth.Form.Body.Field(q)))
}

// Over returns the field of the collar in the tooth's frame, given that of the
// tooth's sides at the same point.
func (c *Collar) Over(q r3.Vec, side solid.Sample) solid.Sample {
	rho2 := q.X*q.X + q.Y*q.Y + 0.01
	phi := math.Atan2(q.Y, q.X)
	around := r3.V(-q.Y/rho2, q.X/rho2, 0) // gradient of phi
	crest, dcrest := c.CrestAt(phi)
	spread, dspread := c.Spread(phi)
	u := crest - q.Z
	var t, dt, dspr float64
	if u > 0 {
		e := math.Exp(-u / c.Roll)
		t, dt = c.Bulge*(1-e)+spread*u, c.Bulge/c.Roll*e+spread
		dspr = u
	} else {
		dt = c.Bulge/c.Roll + spread
		t = dt * u
		dspr = u
	}
	var away, daway float64
	if c.Away != nil {
		away, daway = c.Away(phi)
	}
	n := side.N.
		Sub(around.Scale(dt*dcrest + dspr*dspread + daway)).
		Add(r3.V(0, 0, dt))
	k := 1 / math.Max(n.Norm(), 0.5)
	gum := solid.Sample{D: (side.D - t - away) * k, N: n.Scale(k)}
	if core := side.Shift(-skin).Neg(); core.D > gum.D {
		return core // deep inside the tooth there is none, however high the papilla
	}
	return gum
}

// skin is how deep under the tooth's sides the gum is still modelled, mm: more than
// tissue laid over a shelf reaches.
const skin = 0.9

// Knob is the gum behind a last tooth or over a gap: a rounded mound.
type Knob struct {
	Center r3.Vec
	Half   r3.Vec // half axes
}

// Field returns the approximate distance to the ellipsoid: (g-1)·g/|∇g|-like, exact
// on the surface.
func (k *Knob) Field(p r3.Vec) solid.Sample {
	d := p.Sub(k.Center)
	e := r3.V(d.X/k.Half.X, d.Y/k.Half.Y, d.Z/k.Half.Z)
	g := e.Norm()
	if g < 1e-6 {
		return solid.Sample{D: -min(k.Half.X, k.Half.Y, k.Half.Z), N: r3.V(0, 0, 1)}
	}
	grad := r3.V(e.X/k.Half.X, e.Y/k.Half.Y, e.Z/k.Half.Z).Scale(1 / g)
	n := grad.Norm()
	return solid.Sample{D: (g - 1) / n, N: grad.Scale(1 / n)}
}
