package picture

import (
	"math"
	"slices"
	"strings"

	"selvage/mesh"
	"selvage/r3"
	"selvage/tooth"
)

// Stage is the set on which all pictures of one restoration are taken: the
// scans in one shared frame, and where things are. Directions that are not known
// are zero; the views then choose plain ones and leave words out.
type Stage struct {
	Tooth    tooth.Number
	Prepared *mesh.Mesh // the scan in which the preparation is looked at
	Around   *mesh.Mesh // the working arch, where Prepared is a scan of the tooth alone; else nil
	Opposing *mesh.Mesh // nil: none

	Center   r3.Vec  // middle of the preparation
	Radius   float64 // mm, about half the preparation's width
	Axis     r3.Vec  // insertion axis, root to crown
	Occlusal r3.Vec  // from tissue to opening
	Mesial   r3.Vec
	Buccal   r3.Vec

	Margin    []Stretch
	Clearance []float64 // mm, one per vertex of Prepared, NaN where there is none; nil: none
	Tip       Tip
	Ground    Ground

	ready *ready // what several views share; nil: each view works it out
}

// ready holds what is worth working out once for all views of a stage.
type ready struct {
	surfaces []Surface
	opposing Surface
}

// prepared returns the stage with normals and dimmed faces worked out, so that each
// view costs only its drawing.
func (s Stage) prepared() Stage {
	r := &ready{surfaces: s.surfaces()}
	for i := range r.surfaces {
		r.surfaces[i].Normals = smoothNormals(r.surfaces[i].Mesh)
	}
	if s.Opposing != nil {
		r.opposing = Surface{Mesh: s.Opposing, Tint: Opposing, Normals: smoothNormals(s.Opposing)}
	}
	s.ready = r
	return s
}

// facing is the stage of the opposing arch: the same place, looked at from the
// other side, with the opposing tooth's words. There is no preparation on it.
func (s Stage) facing() Stage {
	t := Stage{
		Tooth: s.Tooth.Opposite(), Prepared: s.Opposing, Center: s.Center, Radius: s.Radius,
		Occlusal: s.occlusal().Neg(), Mesial: s.Mesial, Buccal: s.Buccal, Tip: s.Tip, Ground: s.Ground,
	}
	o := s.opposing()
	t.ready = &ready{surfaces: []Surface{o}}
	return t
}

// opposing is the other arch as a surface; its mesh is nil where there is none.
func (s Stage) opposing() Surface {
	if s.ready != nil {
		return s.ready.opposing
	}
	return Surface{Mesh: s.Opposing, Tint: Opposing}
}

// Stretch is a piece of the margin in one state.
type Stretch struct {
	Points []r3.Vec
	State  State
}

// State says how sure a piece of the margin is.
type State uint8

// The states.
const (
	Captured    State = iota // seen: a full line
	Doubtful                 // bridged or unclear: dashed, with a hatched arc where it is unclear
	NotCaptured              // not in the scan: beads and a hatched arc
	Bridged                  // short and bridged: dashed, no arc
)

// Spot is what one finding shows.
type Spot struct {
	Number   string
	Kind     PinKind
	At       r3.Vec
	Normal   r3.Vec  // outward; zero: not known
	Approach r3.Vec  // from the surface to the scanner; zero: not known
	Text     string  // a value to write beside the badge, may be empty
	Tilt     float64 // of Approach from straight down, rad, as the report says it; under 7° it is drawn straight
	Extent   float64 // mm, how big the thing is; 0: a point
	Opposing bool    // the spot lies on the opposing arch
}

const (
	usualRadius = 5.0 // mm, half a molar: where the preparation's size is not known
	// around is how many preparation radii to each side a view of one tooth shows:
	// the whole tooth and the facing halves of its neighbours.
	around = 2.35
)

func (s Stage) radius() float64 {
	if s.Radius > 0 {
		return s.Radius
	}
	return usualRadius
}

// occlusal is the best direction known that points out of the tissue.
func (s Stage) occlusal() r3.Vec {
	for _, d := range [...]r3.Vec{s.Occlusal, s.Axis} {
		if u, ok := d.Unit(); ok {
			return u
		}
	}
	return s.Prepared.VectorArea().UnitOr(r3.V(0, 0, 1))
}

// front is the way out of the mouth at this tooth: mesial for back teeth, buccal
// for incisors, between the two for canines and premolars. Zero if not known.
func (s Stage) front() r3.Vec {
	t := frontShare[min(max(s.Tooth.Position(), 0), len(frontShare)-1)]
	return s.Mesial.Scale(1 - t).Add(s.Buccal.Scale(t)).Reject(s.occlusal()).UnitOr(r3.Vec{})
}

// frontShare is how much of "front" is buccal, by position in the quadrant; from
// the course of a dental arch.
var frontShare = [...]float64{0: 0.2, 1: 0.95, 2: 0.75, 3: 0.5, 4: 0.25, 5: 0.1, 6: 0, 7: 0, 8: 0}

// chartUp is what points up when a tooth is looked at from its biting side, as on
// a dental chart: the front teeth are at the top of an upper arch and at the
// bottom of a lower one, and the patient's right is on the left.
func (s Stage) chartUp() r3.Vec {
	f := s.front()
	if s.Tooth.Jaw() == tooth.Lower {
		return f.Neg()
	}
	return f
}

// headUp points to the top of the patient's head.
func (s Stage) headUp() r3.Vec {
	if s.Tooth.Jaw() == tooth.Upper {
		return s.occlusal().Neg()
	}
	return s.occlusal()
}

// upFor chooses what points up when looking from eye: the head's top when looking
// from the side, the chart's top when looking down on the tooth.
func (s Stage) upFor(eye r3.Vec) r3.Vec {
	if math.Abs(eye.Dot(s.occlusal())) > lookDown && s.chartUp() != (r3.Vec{}) {
		return s.chartUp()
	}
	return s.headUp()
}

// lookDown is the cosine from which a view counts as looking down on the tooth:
// 40° from the occlusal direction. Steeper, the head's top is hardly in the picture.
const lookDown = 0.77

// rimWords are the letters for the directions around the tooth, as they stand on a chart:
// M, D, B, and L or P.
//
// WHY no words: a picture is drawn once and shown in every language.
func (s Stage) rimWords() []RimWord {
	n := s.Tooth
	var out []RimWord
	add := func(d r3.Vec, w string) {
		if d != (r3.Vec{}) {
			out = append(out, RimWord{d, strings.ToUpper(w[:1])})
		}
	}
	add(s.Mesial, tooth.Mesial.Word(n))
	add(s.Mesial.Neg(), tooth.Distal.Word(n))
	add(s.Buccal, tooth.Buccal.Word(n))
	add(s.Buccal.Neg(), tooth.Lingual.Word(n))
	return out
}

// surfaces lists what a view of the preparation shows: the preparation in full
// contrast, all else paler.
func (s Stage) surfaces() []Surface {
	if s.ready != nil {
		return slices.Clone(s.ready.surfaces)
	}
	out := []Surface{{Mesh: s.Prepared, Tint: Subject, Dim: s.dim(s.Prepared), Values: s.Clearance}}
	if s.Around != nil {
		out = append(out, Surface{Mesh: s.Around, Tint: Context})
	}
	return out
}

// dim marks the faces outside the margin, by the outline's shadow along the axis
// and a reach above and below it. Without a margin nothing is dimmed.
func (s Stage) dim(m *mesh.Mesh) []bool {
	outline := s.outline()
	if len(outline) < 3 {
		return nil
	}
	axis := s.Axis.UnitOr(s.occlusal())
	e1, e2 := axis.Basis()
	poly := make([][2]float64, len(outline))
	lo := math.Inf(1)
	for i, p := range outline {
		d := p.Sub(s.Center)
		poly[i] = [2]float64{e1.Dot(d), e2.Dot(d)}
		lo = min(lo, axis.Dot(d))
	}
	const below, above = 0.6, 12.0 // mm from the lowest margin point: just the edge; the tallest stump
	dim := make([]bool, len(m.Tri))
	inBands(len(dim), 1<<13, func(_, a, b int) {
		for f := a; f < b; f++ {
			d := m.Centroid(mesh.FaceID(f)).Sub(s.Center)
			h := axis.Dot(d) - lo
			dim[f] = h < -below || h > above || !insidePolygon(poly, e1.Dot(d), e2.Dot(d))
		}
	})
	return dim
}

// outline is the whole margin as one closed curve, as far as it is known.
func (s Stage) outline() []r3.Vec {
	var out []r3.Vec
	for _, st := range s.Margin {
		out = append(out, st.Points...)
	}
	return out
}

func insidePolygon(poly [][2]float64, x, y float64) bool {
	in := false
	for i, j := 0, len(poly)-1; i < len(poly); j, i = i, i+1 {
		a, b := poly[i], poly[j]
		if (a[1] > y) != (b[1] > y) && x < a[0]+(b[0]-a[0])*(y-a[1])/(b[1]-a[1]) {
			in = !in
		}
	}
	return in
}

// marginLines draws the stretches, each in the style of its state.
func (s Stage) marginLines() (lines []Line, arcs []Arc) {
	outline := s.outline()
	if len(outline) == 0 {
		return nil, nil
	}
	center := r3.Vec{}
	for _, p := range outline {
		center = center.Add(p)
	}
	center = center.Scale(1 / float64(len(outline)))
	axis := s.Axis.UnitOr(s.occlusal())
	for _, st := range s.Margin {
		l := Line{Points: st.Points, Width: 2.4}
		switch st.State {
		case Doubtful, Bridged:
			l.Style = Dashed
		case NotCaptured:
			l.Style, l.Front, l.Warn = Beads, true, true
		}
		lines = append(lines, l)
		if st.State == Doubtful || st.State == NotCaptured {
			arcs = append(arcs, Arc{Points: st.Points, Center: center, Axis: axis, Offset: arcOffset})
		}
	}
	return lines, arcs
}

// arcOffset in mm keeps a hatched arc clear of the finish line and of the sulcus
// beside it, about 0.7 mm together, at the scale of a view of one tooth.
const arcOffset = 1.0
