package phantom

import (
	"math"
	"reflect"

	"selvage/phantom/mouth"
	"selvage/phantom/solid"
	"selvage/phantom/stump"
	"selvage/r3"
	"selvage/tooth"
)

// world is the canonical mouth of a case: the working jaw below, its prepared
// tooth on the left, whatever the tooth's real quadrant.
type world struct {
	spec     Spec
	working  *mouth.Arch
	opposing *mouth.Arch
	prepared *mouth.Placed
	stump    *stump.Stump
	stirred  bool // a tooth was moved after the jaws had closed
	first    int  // range of the teeth of both arches that the scans show
	last     int

	besides []beside // other prepared teeth

	cover cover // nil where nothing lies over the margin

	gouged     *mouth.Placed // a neighbour that the bur has met; nil for none
	gouge      solid.Field   // what it took away, canonical
	gougeDepth float64
	tissueNow  *mouth.Jaw // the gum of the working scan

	gumNow, gumBefore, gumOpposing []mouth.Collar
}

// neighbourGap is the space left between neighbours at their contacts, mm: a
// contact through which floss passes.
const neighbourGap = 0.02

// lastTooth is the position of the last tooth of each quadrant, where third molars
// have not come.
const (
	lastTooth  = 7
	thirdMolar = 8
)

// bank holds a mouth whose teeth stand in place, and the scans of it that no
// preparation has a part in.
type bank struct {
	spec              Spec
	working, opposing *mouth.Arch
	first, last       int
	scans             []filed
}

// filed is a scan in a bank. It serves a case whose sampling and shown teeth are the
// same.
type filed struct {
	role        string
	lattice     solid.Lattice
	first, last int
	made        made
}

// newBank builds the mouth of a spec: both arches, closed upon each other.
func newBank(s Spec) *bank {
	n := s.Tooth
	last := max(lastTooth, n.Position())
	if s.Teeth.Thirds {
		last = thirdMolar
	}
	who := mouth.Person{Seed: s.mouth(), Scale: s.Variety, Crowd: s.Teeth.Crowd, Drawn: s.Teeth.Drawn}
	k := &bank{
		spec:     s,
		working:  mouth.NewArch(who, n.Jaw(), n.Side(), last, 1, neighbourGap),
		opposing: mouth.NewArch(who, n.Jaw().Other(), n.Side(), last, -1, neighbourGap),
	}
	k.first, k.last = shownTeeth(n, len(k.working.Teeth)/2, s.FullArch)
	k.opposing.Close(k.working, k.first-2, k.last+2)
	return k
}

// of reports whether the mouth is that of a spec.
func (k *bank) of(s Spec) bool {
	return k.spec.Tooth == s.Tooth && k.spec.mouth() == s.mouth() && k.spec.Variety == s.Variety &&
		k.spec.FullArch == s.FullArch && k.spec.Exact == s.Exact && reflect.DeepEqual(k.spec.Teeth, s.Teeth)
}

// scan returns a scan of the world w from the bank, if it is there and w's teeth stand
// where the bank's do.
func (k *bank) scan(role string, l solid.Lattice, w *world) (made, bool) {
	for _, s := range k.scans {
		if !w.stirred && s.role == role && s.lattice == l && s.first == w.first && s.last == w.last {
			return s.made, true
		}
	}
	return made{}, false
}

// keep puts a scan into the bank.
func (k *bank) keep(m *made, l solid.Lattice, w *world) {
	if !w.stirred {
		k.scans = append(k.scans, filed{m.role, l, w.first, w.last, *m})
	}
}

// newWorld cuts the tooth of a spec in the mouth of a bank, whose teeth are copied,
// since faults move them.
func newWorld(s Spec, k *bank) *world {
	n := s.Tooth
	w := &world{spec: s, working: k.working.Copy(), opposing: k.opposing.Copy(), first: k.first, last: k.last}
	for _, t := range w.working.Teeth {
		if t.Form.Number == n {
			w.prepared = t
		}
	}
	w.stump = stump.New(w.prepared, s.Stump)
	w.besides = besides(w.working, s)
	w.gumBefore, w.gumOpposing, w.gumNow = collars(w.working), collars(w.opposing), collars(w.working)
	w.openSulcus()
	w.tissueNow = w.workingScene(true).Tissue()
	return w
}

// shownTeeth returns the indices, in the order of an arch with last teeth on each
// side, of the first and last tooth that scans show: from the canine, or for a
// front tooth from the other side's canine, to the last tooth of the quadrant.
func shownTeeth(n tooth.Number, last int, full bool) (from, to int) {
	index := func(s int) int { // s counts from the midline, negative on the other side
		if s > 0 {
			return last + s - 1
		}
		return last + s
	}
	switch {
	case full:
		return 0, 2*last - 1
	case n.Front():
		return index(-3), index(5)
	default:
		return index(3), index(last)
	}
}

// collars returns the healthy gum of an arch's teeth, in their order.
func collars(a *mouth.Arch) []mouth.Collar {
	out := make([]mouth.Collar, len(a.Teeth))
	for i, t := range a.Teeth {
		out[i] = a.Collar(t)
	}
	return out
}

// knobs returns the gum behind the last teeth of an arch.
func knobs(a *mouth.Arch) []mouth.Knob {
	var out []mouth.Knob
	for _, end := range [2]*mouth.Placed{a.Teeth[0], a.Teeth[len(a.Teeth)-1]} {
		mesial, buccal, occlusal := end.Axes()
		c := end.Mouth.T.AddScaled(-end.Form.Width/2-4.5, mesial).
			AddScaled(-0.5, buccal).AddScaled(-4.2, occlusal)
		out = append(out, mouth.Knob{Center: c, Half: r3.V(6, 7, 5.5)})
	}
	return out
}

// cover is tissue that lies over a stretch of the margin: by how much, 0 to 1, and
// its derivative, at azimuth phi about the prepared tooth.
type cover func(phi float64) (f, df float64)

// How far covering tissue reaches inwards over the shelf and rises, mm.
const (
	coverIn = 0.45
	coverUp = 0.7
)

func (w *world) covered(phi float64) (f, df float64) {
	if w.cover == nil {
		return 0, 0
	}
	return w.cover(phi)
}

// openSulcus draws the gum back from the prepared root, but where tissue covers the
// margin.
func (w *world) openSulcus() {
	u := w.spec.Sulcus
	for i := range w.gumNow {
		c := &w.gumNow[i]
		if o := w.besideOf(c.Tooth); o != nil {
			o.open(c, u)
			continue
		}
		if c.Tooth != w.prepared {
			w.flatten(c)
			continue
		}
		c.Away = func(phi float64) (a, da float64) {
			f, df := w.covered(phi)
			return u.Width - f*(u.Width+coverIn), -df * (u.Width + coverIn)
		}
		c.Crest = func(phi float64) (z, dz float64) {
			z, dz = w.stump.MarginHeight(phi)
			f, df := w.covered(phi)
			return z + u.MarginDepth + f*coverUp, dz + df*coverUp
		}
	}
}

// flatten lowers a neighbour's papilla beside the prepared tooth to the crest of the
// gum there: cord and bur have pressed it down.
func (w *world) flatten(c *mouth.Collar) {
	side := c.Tooth.Local(w.prepared.Center())
	if math.Hypot(side.X, side.Y) > (c.Tooth.Form.Width+w.prepared.Form.Width)*0.65 {
		return
	}
	margin, _ := w.stump.MarginHeight(0)
	at := w.prepared.Mouth.Point(r3.V(0, 0, margin+w.spec.Sulcus.MarginDepth+papilla))
	rise := c.Tooth.Local(at).Z - c.Height
	if side.X > 0 {
		c.Mesial = min(c.Mesial, rise)
	} else {
		c.Distal = min(c.Distal, rise)
	}
}

// papilla is how far the pressed papilla still stands above the gum's crest, mm.
const papilla = 0.3

// sulcus is the field of the space around the root: at depth v below the margin
// it reaches Width·(1 - (v/Depth)²) outside the tooth's sides; above, it widens.
// In the tooth's frame, from the field of its sides.
func (w *world) sulcus(q r3.Vec, side solid.Sample) solid.Sample {
	phi := math.Atan2(q.Y, q.X)
	f, df := w.covered(phi)
	return w.spec.Sulcus.field(w.stump, q, side, f, df)
}

// field is the sulcus about a stump; f of it is covered, which changes with azimuth
// by df.
func (u Sulcus) field(s *stump.Stump, q r3.Vec, side solid.Sample, f, df float64) solid.Sample {
	phi := math.Atan2(q.Y, q.X)
	z, dz := s.MarginHeight(phi)
	v := z - q.Z
	var reach, slope float64 // and its change with v
	switch {
	case v < 0:
		slope = -0.25
		reach = u.Width + slope*v
	case v < u.Depth:
		reach, slope = u.Width*(1-v*v/(u.Depth*u.Depth)), -2*u.Width*v/(u.Depth*u.Depth)
	default:
		slope = -2 * u.Width / u.Depth
		reach = slope * (v - u.Depth)
	}
	turn := slope*dz*(1-f) - df*(reach+coverIn)
	reach, slope = reach*(1-f)-coverIn*f, slope*(1-f)
	around := r3.V(-q.Y, q.X, 0).Scale(turn / (q.X*q.X + q.Y*q.Y + 0.01))
	n := side.N.Sub(around).Add(r3.V(0, 0, slope))
	k := 1 / n.Norm()
	return solid.Sample{D: (side.D - reach) * k, N: n.Scale(k)}
}

// workingScene is the working jaw; now says with the stump rather than the whole
// tooth.
func (w *world) workingScene(now bool) *mouth.Jaw {
	gum := w.gumBefore
	if now {
		gum = w.gumNow
	}
	return w.jaw(w.working, gum, func(t *mouth.Placed, s *mouth.Station) {
		if o := w.besideOf(t); o != nil && now {
			o.fit(s, w.spec.Sulcus)
			return
		}
		if t != w.prepared || !now {
			s.Crown = func(_, q r3.Vec, side solid.Sample) solid.Sample { return t.Form.Over(q, side) }
			if now && t == w.gouged {
				s.Crown = w.damaged(t)
			}
			return
		}
		s.Crown = func(_, q r3.Vec, side solid.Sample) solid.Sample { return w.stump.Over(q, side) }
		s.Sulcus = w.sulcus
	})
}

// damaged returns the crown of a neighbour with a gouge.
func (w *world) damaged(t *mouth.Placed) func(p, q r3.Vec, side solid.Sample) solid.Sample {
	back := t.Mouth.R.T()
	return func(p, q r3.Vec, side solid.Sample) solid.Sample {
		v := w.gouge(p)
		v.N = back.Apply(v.N)
		return solid.Subtract(t.Form.Over(q, side), v, gougeRound)
	}
}

// gougeRound is the radius of the edge of a gouge, mm.
const gougeRound = 0.1

func (w *world) opposingScene() *mouth.Jaw {
	return w.jaw(w.opposing, w.gumOpposing, func(t *mouth.Placed, s *mouth.Station) { s.Crown = w.working.Worn(t) })
}

// jaw gathers the teeth that a scan shows, and one more at each end, of which a part
// is seen, with the gum of one further still.
func (w *world) jaw(a *mouth.Arch, gum []mouth.Collar, fit func(t *mouth.Placed, s *mouth.Station)) *mouth.Jaw {
	out := &mouth.Jaw{Knobs: knobs(a)}
	for i := max(w.first-2, 0); i < min(w.last+3, len(a.Teeth)); i++ {
		if w.absent(a.Teeth[i]) {
			out.Knobs = append(out.Knobs, saddle(a.Teeth[i])...)
			continue
		}
		s := mouth.Station{Tooth: a.Teeth[i], Collar: &gum[i]}
		if i >= w.first-1 && i <= w.last+1 {
			fit(a.Teeth[i], &s)
		}
		out.Stations = append(out.Stations, s)
	}
	return out
}

// contactCount returns the number of facets between the jaws on the side of s towards
// the midline (-1), behind (+1), or both (0), of the prepared tooth, which has none.
func (w *world) contactCount(side int) int {
	n := 0
	for _, t := range w.opposing.Teeth[w.first : w.last+1] {
		n += len(w.working.Contacts(t, func(o *mouth.Placed) bool {
			return o != w.prepared && !w.absent(o) && (side == 0 || side < 0 && o.S < w.prepared.S || side > 0 && o.S > w.prepared.S)
		}))
	}
	return n
}
