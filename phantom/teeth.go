package phantom

import (
	"math"
	"slices"

	"selvage/phantom/mouth"
	"selvage/phantom/solid"
	"selvage/phantom/stump"
	"selvage/r3"
	"selvage/tooth"
)

// beside is a tooth of the working jaw that was cut as the prepared one was, without
// a truth of its own.
type beside struct {
	tooth *mouth.Placed
	stump *stump.Stump
}

// besides cuts the teeth that s asks for: each as [Default] cuts its kind, with the
// finish line of the prepared tooth.
func besides(a *mouth.Arch, s Spec) []beside {
	var out []beside
	for _, t := range a.Teeth {
		n := t.Form.Number
		if n == s.Tooth || !slices.Contains(s.Teeth.Beside, n) {
			continue
		}
		cut := Default(n).Stump
		cut.FinishLine, cut.FinishWidth = s.Stump.FinishLine, min(cut.FinishWidth, s.Stump.FinishWidth)
		out = append(out, beside{t, stump.New(t, cut)})
	}
	return out
}

// besideOf returns the other preparation of tooth t, or nil.
func (w *world) besideOf(t *mouth.Placed) *beside {
	for i := range w.besides {
		if w.besides[i].tooth == t {
			return &w.besides[i]
		}
	}
	return nil
}

// open draws the gum back from the root.
func (o *beside) open(c *mouth.Collar, u Sulcus) {
	c.Away = func(float64) (a, da float64) { return u.Width, 0 }
	c.Crest = func(phi float64) (z, dz float64) {
		z, dz = o.stump.MarginHeight(phi)
		return z + u.MarginDepth, dz
	}
}

// fit puts the stump into its station.
func (o *beside) fit(s *mouth.Station, u Sulcus) {
	s.Crown = func(_, q r3.Vec, side solid.Sample) solid.Sample { return o.stump.Over(q, side) }
	s.Sulcus = func(q r3.Vec, side solid.Sample) solid.Sample { return u.field(o.stump, q, side, 0, 0) }
}

// absent reports whether tooth t of the working jaw is lost.
func (w *world) absent(t *mouth.Placed) bool {
	return slices.Contains(w.spec.Teeth.Absent, t.Form.Number)
}

// saddle is the gum over the place of a lost tooth: a ridge a little lower than the
// crests about its neighbours.
func saddle(t *mouth.Placed) []mouth.Knob {
	const (
		under = 4.6 // mm from the neck down to the middle of the ridge
		half  = 4.4 // its height above that: the ridge lies just below the neck
	)
	mesial, _, occlusal := t.Axes()
	var out []mouth.Knob
	for _, d := range [...]float64{-0.3, 0, 0.3} {
		c := t.Mouth.T.AddScaled(d*t.Form.Width, mesial).AddScaled(-under, occlusal)
		out = append(out, mouth.Knob{Center: c, Half: r3.V(t.Form.Width*0.65, t.Form.Width*0.65, half)})
	}
	return out
}

// source is where the points of a scan come from.
type source struct {
	scene    *mouth.Jaw
	place    r3.Rigid // scan from canonical, before mirroring and scaling
	mirrored bool
	scale    float64
}

// ToothAt returns the tooth on whose surface point p of scan i lies, 0 for gum: the
// tooth or the gum whose exact surface is nearest to it. It is 0 for a record of the
// bite, which shows two jaws. Crown and root are one tooth.
func (c *Case) ToothAt(i int, p r3.Vec) tooth.Number {
	s := c.sources[i]
	if s.scene == nil {
		return 0
	}
	p = p.Scale(1 / s.scale)
	if s.mirrored {
		p.X = -p.X
	}
	t := s.scene.ToothAt(s.place.Inverse().Point(p))
	if t == nil || math.IsNaN(p.X) {
		return 0
	}
	return t.Form.Number
}
