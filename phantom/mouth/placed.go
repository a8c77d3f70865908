package mouth

import (
	"math"

	"selvage/phantom/solid"
	"selvage/r3"
	"selvage/tooth"
)

// Placed is a tooth in its place. Mouth is the motion from the tooth's frame to
// the canonical mouth; in an opposing jaw and on the other side of the midline it
// is a reflection (determinant -1), with which fields need no further care.
type Placed struct {
	Form  Form
	S     float64  // arc length from the midline along the arch's curve; negative on the other side
	Mouth r3.Rigid // canonical from tooth
	local r3.Rigid // tooth from canonical
}

// Local returns a point of the canonical mouth in the tooth's frame.
func (t *Placed) Local(p r3.Vec) r3.Vec { return t.local.Point(p) }

// Field returns the field of the whole tooth at a canonical point.
func (t *Placed) Field(p r3.Vec) solid.Sample { return t.Turn(t.Form.Field(t.local.Point(p))) }

// Turn returns a sample of the tooth's frame with its gradient in the canonical mouth.
func (t *Placed) Turn(s solid.Sample) solid.Sample {
	s.N = t.Mouth.Dir(s.N)
	return s
}

// Sides returns the field of crown sides and root alone.
func (t *Placed) Sides(p r3.Vec) solid.Sample { return t.Turn(t.Form.Body.Field(t.local.Point(p))) }

// Move shifts the tooth by d.
func (t *Placed) Move(d r3.Vec) { t.set(r3.Rigid{R: t.Mouth.R, T: t.Mouth.T.Add(d)}) }

// Tilt turns the tooth by a rotation about a canonical point.
func (t *Placed) Tilt(about r3.Vec, r r3.Mat) {
	turn := r3.Rigid{R: r, T: about.Sub(r.Apply(about))}
	t.set(turn.After(t.Mouth))
}

func (t *Placed) set(m r3.Rigid) { t.Mouth, t.local = m, m.Inverse() }

// Center returns the middle of the crown in the canonical mouth.
func (t *Placed) Center() r3.Vec { return t.Mouth.Point(r3.V(0, 0, t.Form.Height/2)) }

// Axes returns the mesial, buccal and occlusal directions in the canonical mouth.
func (t *Placed) Axes() (mesial, buccal, occlusal r3.Vec) {
	return t.Mouth.Dir(r3.V(1, 0, 0)), t.Mouth.Dir(r3.V(0, 1, 0)), t.Mouth.Dir(r3.V(0, 0, 1))
}

// Arch is one jaw of the canonical mouth: its teeth in order of S.
type Arch struct {
	Jaw    tooth.Jaw
	Curve  Curve
	Teeth  []*Placed
	Facing float64 // +1 where occlusal is +Z (the working jaw), -1 in the opposing one
	who    Person
}

// The size of the line of the teeth's axes at the occlusal plane, mm: the lower
// arch near the averages of trade.md §7.3; the upper larger by the overjet that
// puts its palatal cusps into the lower fossae, less in front.
const (
	lowerDepth, lowerWidth = 41.5, 54.0
	overjet                = 2.6
	frontOverjet           = 1.7
)

// torque is the lean of the crown towards buccal, degrees, by jaw and position; front
// teeth lean less than they do in heads, since here their necks would meet.
var torque = map[tooth.Jaw][9]float64{
	tooth.Upper: {0, 8, 8, 5, 3, 2, 2, 3, 4},
	tooth.Lower: {0, 6, 6, 2, -2, -4, -6, -8, -9},
}

// overlap is how far front teeth reach beyond the occlusal plane, mm, by position.
var overlap = map[tooth.Jaw][9]float64{
	tooth.Upper: {0, 1.6, 1.2, 1.4, 0.3, 0.2, 0, 0, 0},
	tooth.Lower: {0, 0.9, 0.9, 1.2, 0.3, 0.2, 0, 0, 0},
}

// NewArch sets the teeth of a person's jaw, positions 1 to last on both sides, along
// the curve so that neighbours come within gap of each other. The quadrant of side is
// the canonical left. facing is +1 for the working jaw, -1 for the opposing one.
func NewArch(who Person, jaw tooth.Jaw, side tooth.Side, last int, facing, gap float64) *Arch {
	depth, width := lowerDepth, lowerWidth
	if jaw == tooth.Upper {
		depth, width = depth+frontOverjet, width+2*overjet
	}
	// One arch for both jaws: the lower's deviation, so that they keep fitting.
	depth *= 1 + who.of(archDepth, tooth.Lower, 0)
	width *= 1 + who.of(archWidth, tooth.Lower, 0)
	a := &Arch{Jaw: jaw, Curve: NewCurve(depth, width), Facing: facing, who: who}
	left := make([]*Placed, 0, last)
	for pos := 1; pos <= last; pos++ {
		if pos == who.Drawn {
			continue
		}
		n := number(jaw, side, pos)
		t := &Placed{Form: who.form(n)}
		if pos == 1 {
			a.meet(t, gap)
		} else {
			a.touch(left[len(left)-1], t, gap)
		}
		left = append(left, t)
	}
	for i := len(left) - 1; i >= 0; i-- {
		t := &Placed{Form: who.form(left[i].Form.Number.OtherSide())}
		a.place(t, -left[i].S)
		a.Teeth = append(a.Teeth, t)
	}
	a.Teeth = append(a.Teeth, left...)
	return a
}

func number(jaw tooth.Jaw, side tooth.Side, pos int) tooth.Number {
	n, _ := tooth.New(10 + pos) // upper right
	if side == tooth.Left {
		n = n.OtherSide()
	}
	if jaw == tooth.Lower {
		n = n.Opposite()
	}
	return n
}

// Copy returns the arch with teeth of its own, which can be moved.
func (a *Arch) Copy() *Arch {
	out := *a
	out.Teeth = make([]*Placed, len(a.Teeth))
	for i, t := range a.Teeth {
		c := *t
		out.Teeth[i] = &c
	}
	return &out
}

// place sets t at arc length s.
func (a *Arch) place(t *Placed, s float64) {
	p, tan := a.Curve.At(s)
	out := r3.V(tan.Y, -tan.X, 0)
	mesial := tan.Neg()
	if s < 0 {
		mesial = tan
	}
	up := r3.V(0, 0, a.Facing)
	pos := t.Form.Number.Position()
	r := r3.Mat{mesial, out, up}.T() // columns are the tooth's axes
	tip := p.AddScaled(overlap[a.Jaw][pos]+a.who.of(rise, a.Jaw, pos), up)
	// In the tooth's frame a positive turn about +X takes +Z towards -Y.
	outward := torque[a.Jaw][pos]*math.Pi/180 + a.who.of(lean, a.Jaw, pos)
	about := a.who.of(turn, a.Jaw, pos)
	if pos <= 2 { // turned incisors would meet at the neck
		about *= 0.3
	}
	if t.Form.Number.Front() && a.who.Crowd > 0 {
		about += a.who.Crowd * a.who.of(twisted, a.Jaw, pos)
		tip = tip.AddScaled(a.who.Crowd*a.who.of(outOfLine, a.Jaw, pos), out)
	}
	r = r.Mul(r3.Rotation(r3.V(1, 0, 0), -outward)).Mul(r3.Rotation(r3.V(0, 0, 1), about))
	t.S = s
	t.set(r3.Rigid{R: r, T: tip.Sub(r.Apply(r3.V(0, 0, t.Form.Height)))})
}

// meet places the first tooth so that the gap to its mirror image is gap.
func (a *Arch) meet(t *Placed, gap float64) {
	twin := &Placed{Form: a.who.form(t.Form.Number.OtherSide())}
	lo, hi := 0.3*t.Form.Width, 0.8*t.Form.Width
	for range 40 {
		mid := (lo + hi) / 2
		a.place(t, mid)
		a.place(twin, -mid)
		if Gap(twin, t) < gap {
			lo = mid
		} else {
			hi = mid
		}
	}
	a.place(t, (lo+hi)/2)
}

// touch places t distal of prev so that the least gap between their sides is gap.
func (a *Arch) touch(prev, t *Placed, gap float64) {
	lo := prev.S + 0.3*(prev.Form.Width+t.Form.Width)
	hi := prev.S + 0.7*(prev.Form.Width+t.Form.Width)
	for range 40 {
		mid := (lo + hi) / 2
		a.place(t, mid)
		if Gap(prev, t) < gap {
			lo = mid
		} else {
			hi = mid
		}
	}
	a.place(t, (lo+hi)/2)
}

// Gap returns the least distance from the mesial side of t to the tooth before
// it, by samples of t's sides from the neck up; negative where
// they overlap. Between samples the true gap can be smaller by some 0.02 mm.
func Gap(prev, t *Placed) float64 {
	least := math.Inf(1)
	const rows, cols = 12, 21
	for i := range rows {
		z := t.Form.Height * 0.95 * float64(i) / (rows - 1)
		o, _ := t.Form.Body.At(z)
		for j := range cols {
			nu := (float64(j)/(cols-1) - 0.5) * 2.2
			s, c := math.Sincos(nu)
			h, h1, _ := o.support(c, s)
			p := t.Mouth.Point(r3.V(h*c-h1*s, h*s+h1*c, z))
			least = min(least, prev.Sides(p).D)
		}
	}
	return least
}
