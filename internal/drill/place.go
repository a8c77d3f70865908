package drill

import (
	"math"
	"slices"

	"selvage/finding"
	"selvage/phantom"
	"selvage/r3"
)

// Place is one of the six sides from which a preparation is judged.
type Place string

// The places.
const (
	Mesial   Place = "mesial"  // the tooth from there, and the neighbour that faces it
	Distal   Place = "distal"  // the same on the other side
	Buccal   Place = "buccal"  // from the cheek or the lip
	Lingual  Place = "lingual" // from the tongue or the palate
	Occlusal Place = "occlusal"
	Bite     Place = "bite" // the room to the opposing teeth
)

// Places lists the places in the order in which they are looked at.
func Places() []Place { return []Place{Occlusal, Mesial, Buccal, Distal, Lingual, Bite} }

// Answer is what is to be done about a place.
type Answer string

// The answers.
const (
	Nothing Answer = "nothing"
	Scan    Answer = "scan-again"
	Ask     Answer = "ask-dentist"
)

// Answers lists the answers.
func Answers() []Answer { return []Answer{Nothing, Scan, Ask} }

// Spot is something wrong at a place.
type Spot struct {
	Place Place        `json:"place"`
	Code  finding.Code `json:"code"`
	Do    Answer       `json:"do"`

	At r3.Vec `json:"-"` // in the frame of the working scan, mm
}

// answerOf is what a finding of an action asks for; Nothing where it only notes.
func answerOf(a finding.Action) Answer {
	switch a {
	case finding.ScanAgain, finding.OpenMargin:
		return Scan
	case finding.AskDentist:
		return Ask
	case finding.CheckFiles, finding.FillIn, finding.Note:
	}
	return Nothing
}

// Expected is the answer to a place that follows from what is wrong there: the bur before
// the scanner, since what is cut is scanned again anyway.
func Expected(spots []Spot, p Place) Answer {
	out := Nothing
	for _, s := range spots {
		switch {
		case s.Place != p:
		case s.Do == Ask:
			return Ask
		case s.Do == Scan:
			out = Scan
		}
	}
	return out
}

// frame tells the sides of the prepared tooth apart.
type frame struct {
	centre, axis, mesial, buccal r3.Vec
	radius                       float64 // mean of the margin's, mm
}

func frameOf(r phantom.Restoration) frame {
	f := frame{axis: r.InsertionAxis.Vec(), mesial: r.Mesial.Vec(), buccal: r.Buccal.Vec()}
	n := float64(len(r.Margin.Points))
	for _, p := range r.Margin.Points {
		f.centre = f.centre.AddScaled(1/n, p.Vec())
	}
	for _, p := range r.Margin.Points {
		f.radius += p.Vec().Sub(f.centre).Reject(f.axis).Norm() / n
	}
	return f
}

// ofRoom are the findings that are judged at the bite wherever on the tooth they lie.
var ofRoom = []finding.Code{finding.ClearanceLow, finding.ReductionLow, finding.BiteDiffers, finding.BitePenetrates, finding.BiteOpen, finding.BiteUnsupported, finding.ClearanceInMovement}

// place tells at which place something lies: on the top within half the margin's radius of
// the axis, else on the side to which it lies farthest. ok is false where it has no place.
func (f frame) place(c finding.Code, at *r3.Vec) (p Place, ok bool) {
	if slices.Contains(ofRoom, c) {
		return Bite, true
	}
	if at == nil {
		return "", false
	}
	d := at.Sub(f.centre)
	m, b := d.Dot(f.mesial), d.Dot(f.buccal)
	switch {
	case math.Hypot(m, b) < f.radius/2:
		return Occlusal, true
	case math.Abs(m) >= math.Abs(b) && m > 0:
		return Mesial, true
	case math.Abs(m) >= math.Abs(b):
		return Distal, true
	case b > 0:
		return Buccal, true
	}
	return Lingual, true
}
