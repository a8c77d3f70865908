package mouth

import (
	"selvage/phantom/solid"
	"selvage/r3"
	"selvage/tooth"
)

// Form is the shape of one tooth in its own frame: sides, occlusal surface, and
// the width over which they run into each other.
type Form struct {
	Number tooth.Number
	Height float64 // of the highest cusp or the edge above the origin
	Width  float64 // mesiodistal
	Depth  float64 // buccolingual
	Body   Body
	Relief Relief
	Edge   float64
	// Filling is what an old filling adds to the tooth, in the tooth's frame; nil for none.
	Filling solid.Field
}

// Field returns the field of the whole tooth.
func (f *Form) Field(p r3.Vec) solid.Sample { return f.Over(p, f.Body.Field(p)) }

// Over returns the field of the whole tooth given that of its sides at p.
func (f *Form) Over(p r3.Vec, side solid.Sample) solid.Sample {
	s := solid.Swell(side, f.Relief.Field(p), f.Edge)
	if f.Filling != nil {
		s = solid.Unite(s, f.Filling(p), fillingRound)
	}
	return s
}

// fillingRound is the radius of the corner where a filling leaves the tooth, mm.
const fillingRound = 0.2

// NewForm returns the usual shape of tooth n, scaled from the dimension table.
// Outlines follow textbook descriptions of each class: height of contour in the
// cervical third buccally, contacts in the middle third behind the canine and in
// the incisal third in front, cusps and ridges by class (trade.md §7.4).
func NewForm(n tooth.Number) Form { return scaledForm(n, 1, 1, 1) }

// frontNeck narrows the necks of the front teeth a little: in an arch of one curve for
// edges and necks they stand closer than in a jaw.
const frontNeck = 0.95

// scaledForm is the usual shape made wider, deeper and higher by the given factors.
func scaledForm(n tooth.Number, wider, deeper, higher float64) Form {
	d, _ := tooth.Dimensions(n) // n is valid
	d.MD, d.MDCervix = d.MD*wider, d.MDCervix*wider
	d.BL, d.BLCervix = d.BL*deeper, d.BLCervix*deeper
	d.Height *= higher
	f := Form{Number: n, Height: d.Height, Width: d.MD, Depth: d.BL}
	if n.Front() {
		d.MDCervix *= frontNeck
		f.Edge = 0.6
		f.Body = frontBody(n, d)
		f.Relief = frontRelief(n, d)
		return f
	}
	f.Edge = 1.3
	f.Body = backBody(n, d)
	f.Relief = backRelief(n, d)
	return f
}

// share is a row of a profile: height in crown heights, half width as a share of
// the way from the neck's (0) to the crown's greatest (1).
type share struct{ t, w float64 }

// profile returns the half width of the mesial or distal side of a front tooth over
// the height: the root below, tapering to three quarters of the neck, the neck as high
// as its line rises between the teeth, and the crown above.
func profile(height, neck, most float64, crown ...share) Spline {
	knots := []Knot{{-9, 0.76 * neck}, {-5, 0.91 * neck}, {-2, 0.995 * neck}, {-0.5, neck}, {1.8, 1.004 * neck}}
	for _, s := range crown {
		knots = append(knots, Knot{s.t * height, neck + s.w*(most-neck)})
	}
	return NewSpline(knots...)
}

// side is like profile with crown rows as shares of the greatest half width.
func side(height, neck, most float64, crown ...share) Spline {
	knots := []Knot{{-9, 0.76 * neck}, {-5, 0.91 * neck}, {-2, 0.995 * neck}, {-0.5, neck}, {0.5, 1.004 * neck}}
	for _, s := range crown {
		knots = append(knots, Knot{s.t * height, s.w * most})
	}
	return NewSpline(knots...)
}

func backBody(n tooth.Number, d tooth.Dimension) Body {
	h := d.Height
	md := []share{{0.30, 0.99 * lerp(d.MDCervix/d.MD, 1, 0.72)}, {0.62, 1}, {0.85, 0.93}, {1.05, 0.78}, {1.35, 0.55}}
	b := Body{
		mesial: side(h, d.MDCervix/2, d.MD/2, md...),
		distal: side(h, d.MDCervix/2, d.MD/2, md...),
	}
	if n.Jaw() == tooth.Upper {
		b.buccal = side(h, d.BLCervix/2, d.BL/2, share{0.22, 1}, share{0.6, 0.93}, share{0.9, 0.74}, share{1.25, 0.5})
		b.lingual = side(h, d.BLCervix/2, d.BL/2, share{0.42, 1}, share{0.72, 0.9}, share{0.98, 0.70}, share{1.3, 0.46})
	} else {
		b.buccal = side(h, d.BLCervix/2, d.BL/2, share{0.22, 1}, share{0.55, 0.91}, share{0.9, 0.70}, share{1.25, 0.46})
		b.lingual = side(h, d.BLCervix/2, d.BL/2, share{0.45, 1}, share{0.78, 0.91}, share{1, 0.74}, share{1.3, 0.5})
	}
	b.squareness = NewSpline(Knot{-4, 0.2}, Knot{0, 0.35}, Knot{h, 0.5})
	switch {
	case n.Class() == tooth.Premolar:
		b.squareness = NewSpline(Knot{-4, 0.1}, Knot{0, 0.2}, Knot{h, 0.3})
		b.tri = 0.04
	case n.Jaw() == tooth.Upper:
		b.skew = 0.07 // the rhomboid of the upper molars: long mesiobuccal to distolingual
	default:
		b.skew = -0.02
	}
	return b
}

func lerp(a, b, t float64) float64 { return a + t*(b-a) }

func frontBody(n tooth.Number, d tooth.Dimension) Body {
	h, neck, w := d.Height, d.MDCervix/2, d.MD/2
	b := Body{
		mesial:     profile(h, neck, w, share{0.4, 0.62}, share{0.8, 1}, share{0.97, 0.9}, share{1.15, 0.4}),
		distal:     profile(h, neck, w, share{0.36, 0.66}, share{0.7, 1}, share{0.95, 0.82}, share{1.15, 0.2}),
		buccal:     side(h, d.BLCervix/2, d.BL/2, share{0.2, 0.98}, share{0.55, 0.74}, share{1, 0.22}, share{1.15, 0.04}),
		lingual:    side(h, d.BLCervix/2, d.BL/2, share{0.17, 0.98}, share{0.29, 0.93}, share{0.42, 0.66}, share{0.56, 0.42}, share{0.72, 0.26}, share{1, 0.12}, share{1.15, 0.08}),
		squareness: NewSpline(Knot{-4, 0}, Knot{0, 0.05}, Knot{0.5 * h, 0.06}, Knot{h, 0}),
		tri:        0.11,
	}
	switch {
	case n.Class() == tooth.Canine:
		b.tri = 0.05
		b.mesial = profile(h, neck, w, share{0.4, 0.6}, share{0.72, 1}, share{0.95, 0.6}, share{1.15, 0})
		b.distal = profile(h, neck, w, share{0.36, 0.6}, share{0.6, 1}, share{0.9, 0.6}, share{1.15, -0.2})
		b.buccal = side(h, d.BLCervix/2, d.BL/2, share{0.25, 1}, share{0.6, 0.78}, share{1, 0.28}, share{1.15, 0.1})
		b.lingual = side(h, d.BLCervix/2, d.BL/2, share{0.2, 1}, share{0.32, 0.93}, share{0.5, 0.68}, share{0.8, 0.34}, share{1, 0.2}, share{1.15, 0.12})
	case n.Jaw() == tooth.Lower:
		b.squareness = NewSpline(Knot{-4, 0}, Knot{0, 0.05}, Knot{0.5 * h, 0.06}, Knot{h, 0})
		b.tri = 0.11
	}
	return b
}

// plan places crests by shares: x of half the width, y of half the depth, z in mm
// below the crown's height.
type plan struct{ w, v, h float64 }

func (p plan) at(x, y, below float64) r3.Vec { return r3.V(x*p.w, y*p.v, p.h-below) }

func (p plan) ridge(x0, y0, b0, x1, y1, b1, fall, round float64) Ridge {
	return Ridge{From: p.at(x0, y0, b0), To: p.at(x1, y1, b1), Fall: fall, Round: round}
}

func frontRelief(n tooth.Number, d tooth.Dimension) Relief {
	p := plan{d.MD / 2, d.BL / 2, d.Height}
	r := Relief{Fissure: 0.6}
	if n.Class() == tooth.Canine {
		r.Ridges = []Ridge{
			p.ridge(0.05, 0.05, 0, 0.9, 0.05, 2.0, 0.35, 0.4),
			p.ridge(0.05, 0.05, 0, -0.9, 0.05, 2.6, 0.35, 0.4),
		}
		return r
	}
	if n.Jaw() == tooth.Upper {
		r.Ridges = []Ridge{p.ridge(0.85, 0.06, 0, -0.75, 0.06, 0.5, 0.35, 0.4)}
	} else {
		r.Ridges = []Ridge{p.ridge(0.85, 0.06, 0, -0.85, 0.06, 0.1, 0.3, 0.3)}
	}
	return r
}

func backRelief(n tooth.Number, d tooth.Dimension) Relief {
	p := plan{d.MD / 2, d.BL / 2, d.Height}
	const fall, round = 0.62, 0.45
	marginal := func(x, below float64) Ridge { return p.ridge(x, -0.28, below, x, 0.32, below, 0.75, 0.5) }
	r := Relief{Fissure: 0.35}
	upper := n.Jaw() == tooth.Upper
	switch n.Position() {
	case 4, 5:
		if upper {
			r.Ridges = []Ridge{
				p.ridge(0, 0.52, 0, 0, 0.10, 1.9, fall, round),
				p.ridge(0.05, -0.50, 0.6, 0.03, -0.06, 1.9, fall, round),
				marginal(0.74, 1.1), marginal(-0.74, 1.2),
			}
			break
		}
		if n.Position() == 4 {
			r.Ridges = []Ridge{
				p.ridge(0, 0.22, 0, 0, -0.30, 2.0, fall, round),
				p.ridge(0.05, -0.58, 2.2, 0.03, -0.4, 2.6, fall, round),
				marginal(0.72, 1.9), marginal(-0.74, 1.8),
			}
			break
		}
		r.Ridges = []Ridge{
			p.ridge(0, 0.36, 0, 0, 0.0, 1.7, fall, round),
			p.ridge(0.28, -0.50, 0.8, 0.12, -0.16, 1.9, fall, round),
			p.ridge(-0.34, -0.50, 1.1, -0.14, -0.16, 2.0, fall, round),
			marginal(0.76, 1.1), marginal(-0.76, 1.2),
		}
	default:
		if upper {
			r.Ridges = []Ridge{
				p.ridge(0.42, 0.54, 0, 0.10, 0.12, 1.9, fall, round),
				p.ridge(-0.40, 0.52, 0.1, -0.16, 0.10, 1.3, fall, round),
				p.ridge(0.30, -0.50, 0.1, 0.10, -0.12, 1.9, fall, round),
				p.ridge(0.28, -0.46, 0.3, -0.16, 0.06, 1.4, fall, round), // the oblique ridge
				p.ridge(-0.52, -0.50, 0.9, -0.42, -0.14, 2.0, fall, round),
				marginal(0.78, 0.9), marginal(-0.78, 1.0),
			}
			break
		}
		r.Ridges = []Ridge{
			p.ridge(0.48, 0.46, 0.1, 0.16, 0.08, 1.9, fall, round),
			p.ridge(-0.12, 0.50, 0.1, -0.08, 0.08, 1.9, fall, round),
			p.ridge(-0.62, 0.34, 0.6, -0.30, 0.05, 1.8, fall, round),
			p.ridge(0.44, -0.52, 0, 0.14, -0.10, 1.9, fall, round),
			p.ridge(-0.36, -0.52, 0, -0.14, -0.10, 1.9, fall, round),
			marginal(0.80, 0.9), marginal(-0.82, 1.0),
		}
		if n.Position() != 6 { // four cusps
			r.Ridges[1] = p.ridge(-0.42, 0.46, 0.1, -0.14, 0.08, 1.9, fall, round)
			r.Ridges = append(r.Ridges[:2:2], r.Ridges[3:]...)
		}
	}
	r.Ridges = append(r.Ridges, p.floor(n))
	return r
}

// floor is the bottom of the fossa, along the central groove.
func (p plan) floor(n tooth.Number) Ridge {
	switch {
	case n.Class() == tooth.Molar:
		return p.ridge(0.35, 0, 2.5, -0.35, 0, 2.5, 0.12, 0.4)
	case n.Jaw() == tooth.Lower && n.Position() == 4:
		return p.ridge(0.3, -0.35, 2.9, -0.3, -0.35, 2.9, 0.12, 0.3)
	default:
		return p.ridge(0.3, -0.02, 2.3, -0.3, -0.02, 2.3, 0.12, 0.3)
	}
}
