package picture

import (
	"math"

	"selvage/internal/picture/paint"
	"selvage/r3"
)

// Figure is a finished picture with its place in a report.
type Figure struct {
	Slot string // "overview", "bite", "clearance", "finding-1", "hold-1", "section-1"
	MIME string // image/png or image/svg+xml
	Data []byte
	W, H int    // CSS pixels at which it is meant to be shown
	Alt  string // what it shows, in a sentence; set by whoever knows the finding
}

// Sizes of the figures in CSS pixels. The image has twice as many dots.
const (
	spotW, spotH = 560, 440
	holdW, holdH = 320, 300
	biteW, biteH = 560, 300

	sectionW, sectionH = 420, 280
)

func figure(slot string, s Scene, w, h int) Figure {
	s.Dots = 2
	s.W, s.H = 2*w, 2*h
	return Figure{Slot: slot, MIME: "image/png", Data: paint.Encode(s.Draw()), W: w, H: h}
}

// Overview looks down the insertion axis: the margin with its states, unreadable
// stretches under hatched arcs, and the spots with their numbers. It is the one
// picture for the dentist.
func (s Stage) Overview(spots []Spot) Figure {
	return figure("overview", s.overview(spots), spotW, spotH)
}

func (s Stage) overview(spots []Spot) Scene {
	eye := s.Axis.UnitOr(s.occlusal())
	lines, arcs := s.marginLines()
	sc := Scene{
		View:     View{Eye: eye, Up: s.upFor(eye), Center: s.Center, Span: 2 * around * s.radius()},
		Ground:   s.Ground,
		Surfaces: s.surfaces(),
		Lines:    lines, Arcs: arcs,
		Rim: s.rimWords(),
	}
	for _, p := range spots {
		if !p.Opposing && p.Kind != PinNote { // a note is read, not looked for
			sc.Pins = append(sc.Pins, Pin{At: p.At, Kind: p.Kind, Number: p.Number, Text: p.Text})
		}
	}
	return sc
}

// ClearanceMap looks down the insertion axis on the room to the opposing teeth,
// with lines of equal room every half millimetre and the limit as a bold line.
// limit is NaN where there is none. ok is false if no clearance is known.
func (s Stage) ClearanceMap(limit float64) (f Figure, ok bool) {
	most := math.Inf(-1)
	for _, v := range s.Clearance {
		if !math.IsNaN(v) {
			most = max(most, v)
		}
	}
	if math.IsInf(most, -1) {
		return Figure{}, false
	}
	sc := s.overview(nil)
	sc.Arcs = nil
	sc.Map = &ValueMap{Ramp: paint.DepthRamp(), Min: 0, Max: clearanceTop, Step: 0.5, Limit: limit, Title: "mm"}
	return figure("clearance", sc, spotW, spotH), true
}

// clearanceTop in mm is the end of the clearance map: every material is content
// well before it, so the ramp is spent where decisions are made.
const clearanceTop = 3.0

// SpotView looks at one finding as a person would: from where the scanner should
// look if that is known, else from outside along the surface's normal, leaning to
// the biting side. The spot is in the middle.
func (s Stage) SpotView(p Spot) Figure {
	return figure("finding-"+p.Number, s.spotScene(p), spotW, spotH)
}

func (s Stage) spotScene(p Spot) Scene {
	if p.Opposing && s.Opposing != nil {
		p.Opposing = false
		return s.facing().spotScene(p)
	}
	eye := s.spotEye(p)
	lines, arcs := s.marginLines()
	span := 2.6 * s.radius()
	if need := 2.2 * p.Extent; need > span {
		span = need
	}
	sc := Scene{
		View:     View{Eye: eye, Up: s.upFor(eye), Center: p.At, Span: span},
		Ground:   s.Ground,
		Surfaces: s.surfaces(),
		Lines:    lines, Arcs: arcs,
		Pins: []Pin{{At: p.At, Across: min(p.Extent, 0.45*span), Kind: p.Kind, Number: p.Number, Text: p.Text}},
		Rim:  s.rimWords(),
	}
	return sc
}

// spotEye chooses where to look from. Candidates, in order of preference, are
// tried against the surfaces; the first from which the spot is seen wins.
func (s Stage) spotEye(p Spot) r3.Vec {
	occ := s.occlusal()
	var try []r3.Vec
	if a, ok := p.Approach.Unit(); ok {
		try = append(try, a)
	}
	n := p.Normal.UnitOr(occ)
	for _, lean := range [...]float64{0.9, 1.6, 0.45, 3} {
		if d, ok := n.AddScaled(lean, occ).Unit(); ok {
			try = append(try, d)
		}
	}
	try = append(try, occ)
	for _, d := range try {
		if s.sees(p, d) {
			return d
		}
	}
	return try[0]
}

// sees reports whether the spot is in sight from direction d, by a small picture
// of the place (cost: one pass over the triangles).
func (s Stage) sees(p Spot, d r3.Vec) bool {
	const side = 9
	v := View{Eye: d, Up: s.upFor(d), Center: p.At, Span: side * 0.1}
	g := rasterise(s.surfaces(), v.projector(side, side), side, side)
	k, _, _ := g.nearest(side/2, side/2)
	return k < 0 || float64(g.z[k]) < seenSlack
}

// seenSlack in mm: a spot stands in for a small place, and lies on a noisy or
// missing surface; what covers it by less than this does not hide it.
const seenSlack = 0.6

// Hold shows how to hold the scanner for a spot: the tip over the arch, its
// tilt from straight down, seen from the side so that the angle is true. ok is false where no
// approach is known.
func (s Stage) Hold(p Spot) (f Figure, ok bool) {
	sc, ok := s.holdScene(p)
	if !ok {
		return Figure{}, false
	}
	return figure("hold-"+p.Number, sc, holdW, holdH), true
}

// Bite shows both arches as they were posed, from the cheek at the prepared
// tooth, the top of the head up. ok is false without an opposing arch or without
// knowing where the cheek is.
func (s Stage) Bite() (f Figure, ok bool) {
	eye, known := s.Buccal.Reject(s.occlusal()).Unit()
	if s.Opposing == nil || !known {
		return Figure{}, false
	}
	// a little towards the front, as one looks into a mouth
	eye = eye.AddScaled(0.35, s.front()).UnitOr(eye)
	sc := s.overview(nil)
	sc.Lines, sc.Arcs = nil, nil
	sc.View = View{Eye: eye, Up: s.headUp(), Center: s.Center.AddScaled(0.6*s.radius(), s.occlusal()), Span: biteSpan}
	for i := range sc.Surfaces {
		sc.Surfaces[i].Values = nil
	}
	sc.Surfaces = append(sc.Surfaces, s.opposing())
	return figure("bite", sc, biteW, biteH), true
}

// RoomSection cuts both arches at a spot of the preparation, by the plane that holds
// the nearest point of the opposing arch and the occlusal direction, and draws the
// distance with the spot's text. ok is false without an opposing arch. The nearest
// point is the nearest vertex: off by less than half a spacing, which cannot be
// seen; the number is the report's.
func (s Stage) RoomSection(p Spot) (f Figure, ok bool) {
	if s.Opposing == nil || len(s.Opposing.Pos) == 0 || p.Opposing {
		return Figure{}, false
	}
	near := s.Opposing.Pos[0]
	for _, q := range s.Opposing.Pos {
		if q.Dist2(p.At) < near.Dist2(p.At) {
			near = q
		}
	}
	occ := s.occlusal()
	side := s.Buccal.Reject(occ).UnitOr(s.front())
	way := near.Sub(p.At).Reject(occ)
	const upright = 0.15 // mm aside: below it the plane's turn would hang on noise
	if way.Norm() > upright {
		side = way.UnitOr(side)
	}
	if side == (r3.Vec{}) {
		side, _ = occ.Basis()
	}
	c := Cut{Origin: p.At.Lerp(near, 0.5), U: side, V: s.headUp()}
	curves := []SectionCurve{{Mesh: s.Prepared, Tint: Subject}, {Mesh: s.Opposing, Tint: Opposing}}
	if s.Around != nil {
		curves = append(curves, SectionCurve{Mesh: s.Around, Tint: Context})
	}
	svg := Section(c, 3.2*s.radius(), sectionW, sectionH, curves, []Distance{{From: p.At, To: near, Text: p.Text}})
	return Figure{Slot: "section-" + p.Number, MIME: "image/svg+xml", Data: svg, W: sectionW, H: sectionH}, true
}

// biteSpan in mm shows the prepared tooth with two or three neighbours each way.
const biteSpan = 44.0
