package drill

import (
	"math"

	"selvage/internal/casefile"
	"selvage/limit"
	"selvage/phantom"
	"selvage/tooth"
)

// recipe is a case before it is made.
type recipe struct {
	key    string
	tooth  tooth.Number
	faults []string
}

// recipes are the cases in the order in which they are drawn from. WHY sound ones among
// them: who is never shown a sound tooth learns to cry wolf. Every fault can be seen in the
// pictures; what only a measure tells is no exercise for the eye.
var recipes = []recipe{
	{"margin", 26, []string{"margin-not-captured"}},
	{"sound-lower", 36, nil},
	{"contact", 16, []string{"contact-area-missing"}},
	{"room", 46, []string{"clearance-low"}},
	{"hole", 25, []string{"surface-missing"}},
	{"tissue", 36, []string{"margin-unclear"}},
	{"sound-upper", 15, nil},
	{"undercut", 26, []string{"undercut"}},
	{"margin-and-room", 16, []string{"margin-not-captured", "clearance-low"}},
	{"contact-and-hole", 46, []string{"contact-area-missing", "surface-missing"}},
}

// The scans are fine enough to see with the eye, and quick. WHY more of the triangles at
// the margin than a phantom has there: 90,000 spread as usual lie about 0.15 mm apart at an
// upper molar's, which is the limit, and coarse sampling is nothing that an eye can judge.
const (
	triangles = 90_000
	closer    = 0.7 // spacing at the preparation over the rest, of the usual
)

// spec returns what is made of a recipe and a number.
func (r recipe) spec(seed uint64) phantom.Spec {
	s := phantom.Default(r.tooth)
	s.Seed = seed
	s.Scanner.Triangles = triangles
	s.Scanner.Fine *= closer
	for _, f := range r.faults {
		s.Faults = append(s.Faults, phantom.Fault{Name: f, Value: math.NaN()})
	}
	return s
}

// order is the prescription of a made case, complete, with people that do not exist.
func order(p phantom.Prescription) casefile.Case {
	return casefile.Case{
		Name: "training",
		Restorations: []casefile.Restoration{{
			Tooth: casefile.CodeOf(p.Tooth), Kind: casefile.Kind(p.Kind), Material: limit.Material(p.Material), Cement: limit.Cement(p.Cement),
			FinishLine: limit.FinishLine(p.FinishLine), MadeBy: casefile.ByLaboratory,
			Shade:        casefile.Shade{Guide: "training", Body: "medium", Incisal: "light", Cervical: "dark", Stump: "medium"},
			Contacts:     casefile.Contacts{Mesial: "firm", Distal: "firm"},
			Occlusion:    casefile.Occlusion{Scheme: "canine guidance", OpposingMaterial: "enamel", Bruxism: new(bool)},
			IfSpaceShort: casefile.Call,
		}},
		Dates:      casefile.Dates{Prepared: "2026-05-04", Due: "2026-05-15", Seat: "2026-05-19"},
		Prescriber: casefile.Prescriber{Name: "training", Licence: "none"},
		Laboratory: casefile.Laboratory{Name: "training", Address: "none"},
		Patient:    casefile.Patient{Reference: "training"},
		Units:      casefile.Units(p.Units),
	}
}
