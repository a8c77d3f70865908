package stump

import (
	"math"
	"slices"

	"selvage/r3"
)

// Sections is the exact preparation cut into profiles, from which the truth about its
// walls is taken.
type Sections struct {
	stump    *Stump
	Frame    r3.Rigid // die from tooth
	Margin   []r3.Vec // tooth frame, by azimuth about the tooth's axis
	profiles []profile
}

// numSections is the number of profiles, one every two degrees.
const numSections = 180

// NewSections cuts the stump: one profile every two degrees about its insertion axis.
// It is an error if the margin cannot be found all round.
func NewSections(w *Stump) (*Sections, error) {
	m, err := w.margin()
	if err != nil {
		return nil, err
	}
	d := &Sections{stump: w, Frame: w.frame(m), Margin: m, profiles: make([]profile, numSections)}
	for i := range d.profiles {
		phi := 2 * math.Pi * float64(i) / numSections
		start, err := d.MarginAt(phi)
		if err != nil {
			return nil, err
		}
		d.profiles[i] = w.trace(d.Frame, phi, start)
	}
	return d, nil
}

// MarginAt returns the margin's point at azimuth phi of the die's frame, in the
// tooth's frame: the azimuth about the tooth's axis is found by secants.
func (d *Sections) MarginAt(phi float64) (r3.Vec, error) {
	off := func(a float64) (float64, r3.Vec, error) {
		p, err := d.stump.MarginAt(a)
		q := d.Frame.Point(p)
		return math.Remainder(math.Atan2(q.Y, q.X)-phi, 2*math.Pi), p, err
	}
	a := phi
	fa, p, err := off(a)
	b := a - fa
	for range 20 {
		if err != nil || math.Abs(fa) < 1e-9 {
			break
		}
		var fb float64
		fb, p, err = off(b)
		if fb == fa {
			break
		}
		a, b, fa = b, b-fb*(b-a)/(fb-fa), fb
	}
	return p, err
}

// quarter returns the indices of the profiles within 45° of azimuth phi.
func (d *Sections) quarter(phi float64) []int {
	n := len(d.profiles)
	mid := int(math.Round(phi / (2 * math.Pi) * float64(n)))
	var out []int
	for k := -n / 8; k < n/8; k++ {
		out = append(out, (mid+k+n)%n)
	}
	return out
}

// taperAt returns the taper in the half-plane at azimuth phi by a quadratic over
// 20° each way, as methods.md §7 takes it. NaN where too little is wall.
func (d *Sections) taperAt(phi float64) float64 {
	n := len(d.profiles)
	mid := int(math.Round(phi / (2 * math.Pi) * float64(n)))
	reach := n / 18
	var s0, s2, s4, t0, t2 float64
	for k := -reach; k <= reach; k++ {
		t := d.profiles[(mid+k+2*n)%n].taper()
		if math.IsNaN(t) {
			continue
		}
		x2 := float64(k * k)
		s0, s2, s4, t0, t2 = s0+1, s2+x2, s4+x2*x2, t0+t, t2+x2*t
	}
	if s0 < 5 {
		return math.NaN()
	}
	return (t0*s4 - t2*s2) / (s0*s4 - s2*s2)
}

// Convergence returns the convergence in the plane at azimuth phi, in degrees: the sum
// of the tapers on its two sides. NaN where one of them has too little wall.
func (d *Sections) Convergence(phi float64) float64 {
	return deg(d.taperAt(phi) + d.taperAt(phi+math.Pi))
}

func deg(rad float64) float64 { return rad * 180 / math.Pi }

// Facet is a piece of the wall, in the die's frame.
type Facet struct {
	At, Normal r3.Vec
	Area       float64
}

// Wall returns the pieces of the bare wall, between shelf and line angle.
func (d *Sections) Wall() []Facet {
	var out []Facet
	for i := range d.profiles {
		out = append(out, d.facets(i)...)
	}
	return out
}

// facets cuts the wall of one profile into pieces; the area of a piece whose
// outward normal is n, of height dz and angle dφ, is r·dφ·dz/(n·e_r).
func (d *Sections) facets(i int) []Facet {
	p := &d.profiles[i]
	s, c := math.Sincos(p.phi)
	var out []Facet
	for k := 1; k < len(p.at); k++ {
		a, b := p.at[k-1], p.at[k]
		if !a.onWall || !b.onWall {
			continue
		}
		n := a.n.Add(b.n).UnitOr(a.n)
		r := (a.r + b.r) / 2
		out = append(out, Facet{
			At: r3.V(r*c, r*s, (a.z+b.z)/2), Normal: n,
			Area: r * 2 * math.Pi / numSections * (b.z - a.z) / (n.X*c + n.Y*s),
		})
	}
	return out
}

// MeanConvergence is twice the mean of the angle between wall and axis, by area.
func (d *Sections) MeanConvergence() float64 {
	var sum, area float64
	for _, f := range d.Wall() {
		sum += f.Area * math.Asin(f.Normal.Z)
		area += f.Area
	}
	return deg(2 * sum / area)
}

// Resistance is the least share of the wall opposite a fulcrum on the margin, over
// all fulcrums, whose motion in a rotation about the fulcrum points into the tooth.
// The rotation's axis is level and square to the direction of the fulcrum; opposite
// are the walls within 45° of the other side.
func (d *Sections) Resistance() float64 {
	n := len(d.profiles)
	all := make([][]Facet, n)
	for i := range all {
		all[i] = d.facets(i)
	}
	least := 1.0
	for i := range n {
		p := &d.profiles[i]
		s, c := math.Sincos(p.phi)
		fulcrum := r3.V(p.at[0].r*c, p.at[0].r*s, p.at[0].z)
		axis := r3.V(-s, c, 0)
		var held, whole float64
		for k := -n / 8; k <= n/8; k++ {
			for _, f := range all[(i+n/2+k+n)%n] {
				whole += f.Area
				if axis.Cross(f.At.Sub(fulcrum)).Dot(f.Normal) < 0 {
					held += f.Area
				}
			}
		}
		if whole > 0 {
			least = min(least, held/whole)
		}
	}
	return least
}

// Heights returns the median height of each quarter; NaN where fewer than half of its
// profiles have an occlusal line angle.
func (d *Sections) Heights() Quarters {
	var q Quarters
	for i, to := range []*float64{&q.Mesial, &q.Buccal, &q.Distal, &q.Lingual} {
		var h []float64
		of := d.quarter(float64(i) * math.Pi / 2)
		for _, k := range of {
			if v := d.profiles[k].height; !math.IsNaN(v) {
				h = append(h, v)
			}
		}
		*to = math.NaN()
		if 2*len(h) >= len(of) {
			*to = median(h)
		}
	}
	return q
}

// widthReach is how many profiles each way the width is a median over before its least is
// taken: 4 degrees, so that the trough of a wave of the line, or a single place, is no width
// of the shelf (methods.md §5).
const widthReach = 2

// Widths returns the least and the median width of the shelf, in sections normal to the
// margin (methods.md §5): the width in the half-plane through the axis times the cosine
// of the angle between that and the margin's own normal across the axis, of which the
// tangent is r'/r. The least is taken after a short median round the tooth.
func (d *Sections) Widths() (least, mid float64) {
	n := len(d.profiles)
	w := make([]float64, n)
	var all []float64
	for i := range d.profiles {
		r := d.profiles[i].at[0].r
		slope := (d.profiles[(i+1)%n].at[0].r - d.profiles[(i+n-1)%n].at[0].r) / (2 * 2 * math.Pi / float64(n))
		w[i] = d.profiles[i].width / math.Hypot(1, slope/r)
		if !math.IsNaN(w[i]) {
			all = append(all, w[i])
		}
	}
	least = math.NaN()
	for i := range w {
		var near []float64
		for k := -widthReach; k <= widthReach; k++ {
			if v := w[(i+k+n)%n]; !math.IsNaN(v) {
				near = append(near, v)
			}
		}
		if m := median(near); len(near) > widthReach && !(m >= least) {
			least = m
		}
	}
	return least, median(all)
}

// Base returns the margin's buccolingual width across the axis.
func (d *Sections) Base() float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range d.Margin {
		y := d.Frame.Point(p).Y
		lo, hi = min(lo, y), max(hi, y)
	}
	return hi - lo
}

// LineAngle returns the points, in the die's frame, at which the profiles turn past
// 45° at the top of the wall.
func (d *Sections) LineAngle() []r3.Vec {
	var out []r3.Vec
	for i := range d.profiles {
		p := &d.profiles[i]
		if !math.IsNaN(p.height) {
			s, c := math.Sincos(p.phi)
			q := p.at[len(p.at)-1]
			out = append(out, r3.V(q.r*c, q.r*s, q.z))
		}
	}
	return out
}

// MarginOutline returns the distance of the margin from the insertion axis and its
// height at azimuth phi, in the die's frame, between the sections.
func (d *Sections) MarginOutline(phi float64) (rho, z float64) {
	x := phi / (2 * math.Pi) * numSections
	x -= math.Floor(x/numSections) * numSections
	i := int(x) % numSections
	a, b := d.profiles[i].at[0], d.profiles[(i+1)%numSections].at[0]
	t := x - math.Floor(x)
	return a.r + t*(b.r-a.r), a.z + t*(b.z-a.z)
}

// MarginZ returns the height of the margin at the azimuth of q, in the die's frame.
func (d *Sections) MarginZ(q r3.Vec) float64 {
	phi := math.Atan2(q.Y, q.X)
	i := int(math.Round(phi/(2*math.Pi)*numSections)) + numSections
	return d.profiles[i%numSections].at[0].z
}

// Quarters holds one value per wall.
type Quarters struct{ Mesial, Buccal, Distal, Lingual float64 }

func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	v = slices.Clone(v)
	slices.Sort(v)
	if n := len(v); n%2 == 0 {
		return (v[n/2-1] + v[n/2]) / 2
	}
	return v[len(v)/2]
}
