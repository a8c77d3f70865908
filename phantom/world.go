package phantom

import (
	"math"

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
	first    int // range of the teeth of both arches that the scans show
	last     int

	cover cover // nil where nothing lies over the margin

	gumNow, gumBefore, gumOpposing *gum
}

// neighbourGap is the space left between neighbours at their contacts, mm: a
// contact through which floss passes.
const neighbourGap = 0.02

// lastTooth is the position of the last tooth of each quadrant.
const lastTooth = 7

func newWorld(s Spec) *world {
	n := s.Tooth
	last := max(lastTooth, n.Position())
	w := &world{
		spec:     s,
		working:  mouth.NewArch(n.Jaw(), n.Side(), last, 1, neighbourGap),
		opposing: mouth.NewArch(n.Jaw().Other(), n.Side(), last, -1, neighbourGap),
	}
	w.first, w.last = shownTeeth(n, last, s.FullArch)
	for _, t := range w.working.Teeth {
		if t.Form.Number == n {
			w.prepared = t
		}
	}
	w.close()
	w.stump = stump.New(w.prepared, s.Stump)
	w.gumBefore = w.newGum(w.working)
	w.gumOpposing = w.newGum(w.opposing)
	w.gumNow = w.newGum(w.working)
	w.openSulcus()
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

// close brings each opposing tooth into contact, as teeth erupt until they meet:
// along z until it would sink wear into the teeth of the working jaw as they were
// before the cut. The facets are ground flush in [world.opposingField].
func (w *world) close() {
	for _, t := range w.opposing.Teeth {
		points := occlusalPoints(t)
		least := func(dz float64) float64 {
			d := math.Inf(1)
			for _, p := range points {
				d = min(d, w.before(p.Add(r3.V(0, 0, dz))))
			}
			return d
		}
		hi := closeFrom
		for hi > -closeFrom && least(hi) > -wear {
			hi -= closeStep
		}
		lo := hi
		hi += closeStep
		for range 20 {
			if mid := (lo + hi) / 2; least(mid) > -wear {
				hi = mid
			} else {
				lo = mid
			}
		}
		t.Move(r3.V(0, 0, hi))
	}
}

const (
	wear      = 0.07 // mm ground off at each contact: a facet about 1 mm across
	closeFrom = 5.0  // mm from which teeth are brought together
	closeStep = 0.25
)

// before returns the least value of the whole teeth of the working jaw at p.
func (w *world) before(p r3.Vec) float64 {
	d := math.Inf(1)
	for _, t := range w.working.Teeth {
		if t.Center().Dist2(p) < 12*12 {
			d = min(d, t.Field(p).D)
		}
	}
	return d
}

// occlusalPoints samples the chewing surface of a tooth.
func occlusalPoints(t *mouth.Placed) []r3.Vec {
	var out []r3.Vec
	f := &t.Form
	const n = 19
	for i := range n {
		for j := range n {
			x := f.Width / 2 * (2*float64(i)/(n-1) - 1)
			y := f.Depth / 2 * (2*float64(j)/(n-1) - 1)
			z, _, _ := f.Relief.Height(x, y)
			if q, ok := solid.Project(f.Field, r3.V(x, y, z), 3); ok && q.Z > f.Height*0.4 {
				out = append(out, t.Mouth.Point(q))
			}
		}
	}
	return out
}

// opposingField returns the field of an opposing tooth with its facets: what lies
// inside a working tooth, as it was before the cut, is worn away.
func (w *world) opposingField(t *mouth.Placed) solid.Field {
	var met []*mouth.Placed
	for _, o := range w.working.Teeth {
		d := o.Center().Sub(t.Center())
		d.Z = 0
		if d.Norm() < 14 {
			met = append(met, o)
		}
	}
	return func(p r3.Vec) solid.Sample {
		s := t.Field(p)
		if s.D > 0.5 || s.D < -0.5 {
			return s
		}
		for _, o := range met {
			if o.Center().Dist2(p) < 10*10 {
				s = solid.Subtract(s, o.Field(p), 0.05)
			}
		}
		return s
	}
}

func (w *world) newGum(a *mouth.Arch) *gum {
	g := &gum{}
	for _, t := range a.Teeth {
		g.collars = append(g.collars, mouth.NewCollar(t))
	}
	for _, end := range [2]*mouth.Placed{a.Teeth[0], a.Teeth[len(a.Teeth)-1]} {
		mesial, buccal, occlusal := end.Axes()
		c := end.Mouth.T.AddScaled(-end.Form.Width/2-4.5, mesial).
			AddScaled(-0.5, buccal).AddScaled(-4.2, occlusal)
		g.knobs = append(g.knobs, mouth.Knob{Center: c, Half: r3.V(6, 7, 5.5)})
	}
	return g
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
	for i := range w.gumNow.collars {
		c := &w.gumNow.collars[i]
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
	w.gumNow.sulcus = w.sulcus
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
func (w *world) sulcus(p r3.Vec) solid.Sample {
	u := w.spec.Sulcus
	q := w.prepared.Local(p)
	side := w.prepared.Form.Body.Field(q)
	phi := math.Atan2(q.Y, q.X)
	z, dz := w.stump.MarginHeight(phi)
	f, df := w.covered(phi)
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
	return solid.Sample{D: (side.D - reach) * k, N: w.prepared.Mouth.Dir(n.Scale(k))}
}

// workingScene is the working jaw; now says with the stump rather than the whole
// tooth.
func (w *world) workingScene(now bool) *scene {
	s := &scene{gum: w.gumBefore}
	if now {
		s.gum = w.gumNow
	}
	for _, t := range w.shown(w.working) {
		if t == w.prepared && now {
			s.parts = append(s.parts, toothPart(t, w.stump.Field))
			continue
		}
		s.parts = append(s.parts, toothPart(t, t.Field))
	}
	return s
}

func (w *world) opposingScene() *scene {
	s := &scene{gum: w.gumOpposing}
	for _, t := range w.shown(w.opposing) {
		s.parts = append(s.parts, toothPart(t, w.opposingField(t)))
	}
	return s
}

// shown returns the teeth that a scan shows, and one more at each end, of which a
// part is seen.
func (w *world) shown(a *mouth.Arch) []*mouth.Placed {
	return a.Teeth[max(w.first-1, 0):min(w.last+2, len(a.Teeth))]
}
