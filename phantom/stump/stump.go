package stump

import (
	"math"

	"selvage/phantom/mouth"
	"selvage/phantom/solid"
	"selvage/r3"
	"selvage/tooth"
)

// Stump is the prepared tooth as exact shapes, in the tooth's frame:
//
//	stump = outer ∩ (inner ∪ shelf),  inner = wall ∩ top
//
//	          ____
//	         /top \      wall: ruled, its taper set by azimuth
//	        /      \     shelf: below z = margin + slope·(distance inside outer)
//	   ___(          )___   fillet of radius cove in the corner
//	  |margin            |  edge of radius EdgeRadius: the margin
//	   \     outer      /   outer: the sides of the tooth as it was
//
// The wall is the envelope of planes x·ν + z·T(ν) = h(ν) in a frame turned by the
// tilt: at every point its normal is exactly (ν, T)/√(1+T²).
type Stump struct {
	tooth *mouth.Placed
	shape Shape

	wallFromTooth r3.Rigid
	wall0         mouth.Outline // at the height zero of the wall's frame
	base          mouth.Outline // of the tooth at the margin's mean height
	tanMD, tanBL  float64       // tangents of the tapers mesially and distally; buccally and lingually

	ripples float64 // waves of a rough margin round the tooth

	shelf shelfShape
	top   mouth.Relief
	blend lineBlend // of wall and top
	dents []Dent    // hollows in the wall
}

// shelfShape is the profile of a finish line across the margin.
type shelfShape struct {
	slope float64 // tangent of the shelf's fall towards the margin
	cove  float64 // radius of the corner between wall and shelf
}

// New cuts the tooth t as s says.
func New(t *mouth.Placed, s Shape) *Stump {
	w := &Stump{tooth: t, shape: s, shelf: shelfOf(s)}
	w.tanMD, w.tanBL = math.Tan(s.ConvergenceMD/2), math.Tan(s.ConvergenceBL/2)
	axis := r3.V(math.Tan(s.TiltMesial), math.Tan(s.TiltBuccal), 1).UnitOr(r3.V(0, 0, 1))
	base := r3.V(0, 0, s.MarginHeight+s.Scallop/2)
	turn := r3.RotationBetween(axis, r3.V(0, 0, 1))
	w.wallFromTooth = r3.Rigid{R: turn, T: turn.Apply(base).Neg()}
	w.wall0 = w.wallOutline(base.Z)
	w.base, _ = t.Form.Body.At(base.Z)
	w.ripples = math.Round(math.Pi * (w.base.A + w.base.B) / ripple)
	w.top = t.Form.Relief
	w.top.Drop += s.OcclusalReduction
	w.top.Fissure = 0.9 // a bur leaves a rounded groove
	w.top.Ridges = append([]mouth.Ridge(nil), w.top.Ridges...)
	n := t.Form.Number
	holding := 1.0 // towards buccal: the holding cusps of the lower teeth
	if n.Jaw() == tooth.Upper {
		holding = -1
	}
	for i := range w.top.Ridges {
		r := &w.top.Ridges[i]
		r.Round, r.Soft = 0.8, 0.5
		if !n.Front() && holding*r.From.Y > t.Form.Depth/8 {
			r.From.Z -= s.FunctionalBevel
			r.To.Z -= s.FunctionalBevel / 2
		}
	}
	w.blend = w.newBlend()
	return w
}

// knifeFall is how far, in degrees, the bevel of a knife edge falls below the horizontal:
// crowns flare by some 7° above their neck. knifeOff is the least angle, in degrees,
// between it and the wall above. On a front tooth, whose face and hollow are cut back too, so
// steep a bevel would stand out of them, and it falls by knifeFallFront.
const knifeFall, knifeOff, knifeFallFront = 78.0, 6.0, 68.0

// tangential reports whether s has a knife edge of more than 160°.
func (s *Shape) tangential() bool {
	return s.FinishLine == KnifeEdge && s.FaceReduction == 0 && s.LingualReduction == 0
}

// shelfOf returns the profile of each kind of finish line. The fillet's tangent
// point on the shelf lies at the given share of the width from the wall.
func shelfOf(s Shape) shelfShape {
	var fall, share float64 // radians below the horizontal; see above
	switch s.FinishLine {
	case KnifeEdge:
		fall, share = knifeFallFront, 0.5
		if s.tangential() {
			// With the root it makes more than 160° (trade.md §1.5), and it is less steep than
			// the wall, or it would never meet it.
			steepest := 90 - math.Max(s.ConvergenceMD, s.ConvergenceBL)*90/math.Pi - knifeOff
			fall = math.Min(knifeFall, steepest)
		}
	case Chamfer:
		fall, share = 38, 0.8
	case Shoulder:
		fall, share = 2, 0.3
	case SlopedShoulder:
		fall, share = 30, 0.22
	default: // heavy chamfer
		fall, share = 10, 0.7
	}
	taper := (s.ConvergenceMD + s.ConvergenceBL) / 4
	turn := math.Pi/2 - taper - fall*math.Pi/180
	return shelfShape{
		slope: math.Tan(fall * math.Pi / 180),
		cove:  share * s.FinishWidth / math.Tan(max(turn, 0.1)/2),
	}
}

// wallOutline returns the wall's outline at height z0 such that the shelf is as
// wide as asked at the margin on the mesial, buccal, distal and lingual side.
func (w *Stump) wallOutline(z0 float64) mouth.Outline {
	reach := func(nu, tan float64) float64 {
		z, _ := w.MarginHeight(nu)
		o, _ := w.tooth.Form.Body.At(z)
		h, _ := o.Support(nu)
		h -= o.Tri * math.Sin(3*nu) // the wall has the same term
		return h - w.shape.FinishWidth + (z-z0)*tan
	}
	m, d := reach(0, w.tanMD), reach(math.Pi, w.tanMD)
	b, l := reach(math.Pi/2, w.tanBL), reach(-math.Pi/2, w.tanBL)
	at, _ := w.tooth.Form.Body.At(z0)
	return mouth.Outline{
		X0: (m - d) / 2, Y0: (b - l) / 2,
		A: math.Max((m+d)/2, 0.3), B: math.Max((b+l)/2, 0.3),
		Q: at.Q, Skew: at.Skew * 0.8, Tri: at.Tri,
	}
}

// MarginHeight returns the height of the shelf's outer edge at azimuth phi in the
// tooth's frame, and its derivative: MarginHeight + Scallop·cos²φ.
func (w *Stump) MarginHeight(phi float64) (z, dz float64) {
	s, c := math.Sincos(phi)
	z, dz = w.shape.MarginHeight+w.shape.Scallop*c*c, -2*w.shape.Scallop*c*s
	if w.shape.Ripple != 0 {
		s, c = math.Sincos(w.ripples * phi)
		z, dz = z+w.shape.Ripple*s, dz+w.ripples*w.shape.Ripple*c
	}
	return z, dz
}

// ripple is the length, mm, of the waves of a rough margin: on a small tooth as on a
// large one, since it is the bur's.
const ripple = 1.25

// wallField returns the field of the wall's cone at a point of the tooth's frame.
func (w *Stump) wallField(p r3.Vec) solid.Sample {
	q := w.wallFromTooth.Point(p)
	o, dz := w.wallAt(q.Z)
	s := mouth.Sides(&o, &dz, q)
	for i := range w.dents {
		s = w.dents[i].press(s, q)
	}
	s.N = w.wallFromTooth.R.T().Apply(s.N)
	return s
}

// wallAt returns the wall's outline at height z of its own frame: the support
// function falls by z·T(ν), T = (tanMD+tanBL)/2 + (tanMD-tanBL)/2·cos 2ν.
func (w *Stump) wallAt(z float64) (o, dz mouth.Outline) {
	mean, even := (w.tanMD+w.tanBL)/2, (w.tanMD-w.tanBL)/2
	o = w.wall0
	o.Grow -= z * mean
	o.Even -= z * even
	return o, mouth.Outline{A: 0, B: 0, Grow: -mean, Even: -even}
}

// innerField is the tooth above the shelf. The line angle is a parabola whose
// radius at the crest is LineAngle; see [lineBlend].
//
// On a front tooth the face and the lingual hollow are cut back evenly too: the face's
// second plane, and the fossa above the wall of the cingulum.
func (w *Stump) innerField(p r3.Vec, outer solid.Sample) solid.Sample {
	s := w.sides(p, outer)
	return w.blend.swell(s, w.top.Field(p), p)
}

// sides is the tooth above the shelf without its top.
func (w *Stump) sides(p r3.Vec, outer solid.Sample) solid.Sample {
	s := w.wallField(p)
	if w.shape.FaceReduction > 0 || w.shape.LingualReduction > 0 {
		c := w.cutBack(p, outer)
		if c.D > s.D-planeChange { // else the wall lies well inside of it
			c = w.drawn(p, c)
		}
		s = solid.Swell(s, c, planeChange)
	}
	return s
}

// cutBack is the tooth less what was taken evenly off its sides, at azimuth φ about
// the tooth's axis (F+L)/2 + (F-L)/2·sin φ: F off the face and L off the lingual side.
func (w *Stump) cutBack(p r3.Vec, outer solid.Sample) solid.Sample {
	mean := (w.shape.FaceReduction + w.shape.LingualReduction) / 2
	half := (w.shape.FaceReduction - w.shape.LingualReduction) / 2
	if half == 0 {
		return outer.Shift(-mean)
	}
	rho2 := p.X*p.X + p.Y*p.Y + onAxis*onAxis
	rho := math.Sqrt(rho2)
	// sin φ = y/ρ; its gradient is (-xy, x² + onAxis²)/ρ³.
	turn := r3.V(-p.X*p.Y, rho2-p.Y*p.Y, 0).Scale(half / (rho2 * rho))
	return solid.Sample{D: outer.D + mean + half*p.Y/rho, N: outer.N.Add(turn)}
}

// drawn is the tooth cut back as a bur held along the insertion axis cuts it: below the
// height of contour nothing is taken that stands under more, and the side goes down
// from there at the taper. c is [Stump.cutBack] at p. The solid is the union of the
// cut-back tooth with all that lies under it: its value is the least that is met on the
// way from p up along the axis, inwards by the taper.
func (w *Stump) drawn(p r3.Vec, c solid.Sample) solid.Sample {
	tan := math.Min(w.tanMD, w.tanBL)
	q := w.wallFromTooth.Point(p)
	k := 1 / math.Sqrt(q.X*q.X+q.Y*q.Y+onAxis*onAxis)
	in := w.wallFromTooth.R.T().Apply(r3.V(-q.X*k, -q.Y*k, 0))
	up := w.Axis()
	way := up.AddScaled(tan, in)
	if c.N.Dot(way) >= 0 {
		return c // at the height of contour or above it
	}
	at := func(t float64) solid.Sample {
		r := p.AddScaled(t, way)
		return w.cutBack(r, w.tooth.Form.Body.Field(r))
	}
	// The slope along the way is negative at lo; at hi, past the height of contour, not.
	lo, hi, out := 0.0, drawnStep, at(drawnStep)
	low, high := c.N.Dot(way), out.N.Dot(way)
	for high < 0 && hi < w.tooth.Form.Height {
		lo, low = hi, high
		hi += drawnStep
		out = at(hi)
		high = out.N.Dot(way)
	}
	t := hi
	for range drawnSteps { // by false position, the end that stays weighed half (Illinois)
		if high < 0 || hi-lo < 1e-6 {
			break
		}
		t = (lo*high - hi*low) / (high - low)
		out = at(t)
		if v := out.N.Dot(way); v < 0 {
			lo, low, high = t, v, high/2
		} else {
			hi, high, low = t, v, low/2
		}
	}
	// The way turns inwards with the azimuth of p: the gradient of its direction is
	// (1 - in·inᵀ)·k across the axis.
	across := out.N.Reject(up)
	out.N = out.N.AddScaled(-t*tan*k, across.AddScaled(-in.Dot(across), in))
	return out
}

// drawnStep is the step, mm, of the search for the height of contour, and drawnSteps
// bring it to some hundredths of a millimetre, where the least value, which is level
// there, is exact to a tenth of a micrometre.
const drawnStep, drawnSteps = 1.6, 4

// onAxis rounds the axis off, mm, where an azimuth turns without bound.
const onAxis = 0.3

// planeChange is the width over which the two planes of a front tooth's face, and the
// wall and hollow of its lingual side, run into each other, mm.
const planeChange = 0.25

// shelfField is the solid below the shelf, whose outer edge runs at the margin's
// height.
func (w *Stump) shelfField(p r3.Vec, outer solid.Sample) solid.Sample {
	rho2 := p.X*p.X + p.Y*p.Y
	z, dz := w.MarginHeight(math.Atan2(p.Y, p.X))
	// The gradient of the azimuth, (-y, x)/ρ², faded out within 1 mm of the axis, where
	// it grows without bound; the shelf itself lies farther out.
	around := r3.V(-p.Y, p.X, 0).Scale(rho2 / (rho2*rho2 + 1))
	lean := 1.0 // of the shelf's own fall: 0 where it is level
	if w.shelf.slope > steepShelf {
		// A steep shelf measured from the flaring crown would flare with it and swallow the
		// wall: it is measured from the outline at the margin's height.
		outer = w.baseAlong(p)
		if inside := w.shelfEnd(); outer.D < -inside {
			outer.D, lean = -inside, 0
		}
	}
	n := r3.V(0, 0, 1).Sub(around.Scale(dz))
	steep := n.AddScaled(w.shelf.slope, outer.N)
	// One scale for both parts: with a scale of its own the level part would have values
	// far greater than the distance to the steep one.
	k := 1 / steep.Norm()
	n = n.AddScaled(lean*w.shelf.slope, outer.N)
	return solid.Sample{D: (p.Z - z + w.shelf.slope*outer.D) * k, N: n.Scale(k)}
}

// baseAlong is the cylinder over the tooth's outline at the margin's height. That of a
// knife edge leans with the insertion axis, along which the bur cuts it: its bevel is so
// little steeper than the wall that a tilt of 4° would else bring it over the wall's top.
func (w *Stump) baseAlong(p r3.Vec) solid.Sample {
	if !w.shape.tangential() {
		return mouth.Sides(&w.base, &mouth.Outline{}, p)
	}
	lx, ly := math.Tan(w.shape.TiltMesial), math.Tan(w.shape.TiltBuccal)
	h := p.Z - w.shape.MarginHeight - w.shape.Scallop/2
	s := mouth.Sides(&w.base, &mouth.Outline{}, r3.V(p.X-lx*h, p.Y-ly*h, p.Z))
	s.N.Z -= lx*s.N.X + ly*s.N.Y
	return s
}

// shelfEnd is how far inside the tooth a steep shelf goes on before it turns level: well
// within the wall, also where what was cut back stands in further than the wall. Going
// on to the axis at its own slope it would rise above the top of the preparation; so it
// stops short of that.
func (w *Stump) shelfEnd() float64 {
	height := w.tooth.Form.Height - w.shape.OcclusalReduction - w.shape.MarginHeight - w.shape.Scallop
	return max(w.shape.FinishWidth+0.3, min(w.shape.FinishWidth+1.4, 0.55*height/w.shelf.slope))
}

// steepShelf is the slope, a fall of 27°, above which a shelf is a bevel.
const steepShelf = 0.5

// Faces returns the two fields that meet in the margin: the tooth as it was, and
// everything that the bur left.
func (w *Stump) Faces(p r3.Vec) (outer, cut solid.Sample) {
	outer = w.tooth.Form.Body.Field(p)
	return outer, w.cut(p, outer)
}

func (w *Stump) cut(p r3.Vec, outer solid.Sample) solid.Sample {
	return solid.Unite(w.innerField(p, outer), w.shelfField(p, outer), w.shelf.cove)
}

// Local returns the field of the stump in the tooth's frame.
func (w *Stump) Local(p r3.Vec) solid.Sample { return w.Over(p, w.tooth.Form.Body.Field(p)) }

// Over returns the field of the stump in the tooth's frame given that of the tooth's
// sides at p.
func (w *Stump) Over(p r3.Vec, side solid.Sample) solid.Sample {
	return solid.Intersect(side, w.cut(p, side), w.shape.EdgeRadius)
}

// Field returns the field of the stump in the canonical mouth.
func (w *Stump) Field(p r3.Vec) solid.Sample {
	s := w.Local(w.tooth.Local(p))
	s.N = w.tooth.Mouth.Dir(s.N)
	return s
}

// Hollow grinds a dent into the wall.
func (w *Stump) Hollow(d Dent) { w.dents = append(w.dents, d) }

// Sound returns the stump without its dents: what its walls are measured on, since a
// hollow is no wall (methods.md §6).
func (w *Stump) Sound() *Stump {
	out := *w
	out.dents = nil
	return &out
}

// Axis returns the exact insertion axis in the tooth's frame.
func (w *Stump) Axis() r3.Vec { return w.wallFromTooth.R.T().Apply(r3.V(0, 0, 1)) }
