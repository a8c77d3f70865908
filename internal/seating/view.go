package seating

import (
	"slices"
	"time"
)

// Party is whose view something is.
type Party string

// The parties.
const (
	ByDentist    Party = "dentist"
	ByAssistant  Party = "assistant"
	ByLaboratory Party = "laboratory"
	ByPatient    Party = "patient"
)

// Parties lists the parties.
func Parties() []Party { return []Party{ByDentist, ByLaboratory, ByAssistant, ByPatient} }

// Where is where it was found.
type Where string

// The places.
const (
	OnReturn Where = "on-return" // looked at when it came back
	OnModel  Where = "on-model"
	AtTryIn  Where = "at-try-in"
	Cemented Where = "cemented" // at once after the cement
	Later    Where = "later"    // at a recall, or the patient came back
)

// Wheres lists the places.
func Wheres() []Where { return []Where{OnReturn, OnModel, AtTryIn, Cemented, Later} }

// Origin is where a fault likely came from.
type Origin string

// The origins.
const (
	OfScan         Origin = "scan" // not captured, or not readable
	OfBite         Origin = "bite" // the record
	OfPreparation  Origin = "preparation"
	OfPrescription Origin = "prescription"
	OfShadeTaking  Origin = "shade-taking"
	OfDesign       Origin = "design"
	OfMaking       Origin = "making"
	OfTemporary    Origin = "temporary" // a tooth moved meanwhile
	OfTransport    Origin = "transport"
	OfPatient      Origin = "patient" // changed their mind, or broke it
	CannotTell     Origin = "cannot-tell"
)

// Origins lists the origins.
func Origins() []Origin {
	return []Origin{OfScan, OfBite, OfPreparation, OfPrescription, OfShadeTaking, OfDesign, OfMaking, OfTemporary, OfTransport, OfPatient, CannotTell}
}

// InTheFiles reports whether an origin is one that a check of the scans could have seen.
func (o Origin) InTheFiles() bool { return o == OfScan || o == OfBite || o == OfPreparation }

// View is what one party says of work that is made again. The last word of a party counts;
// the earlier ones stay beside it.
type View struct {
	Visit   int      `json:"visit"` // from 0
	Party   Party    `json:"party"`
	Seen    []Fault  `json:"seen"`
	Found   Where    `json:"found,omitempty"`
	Origins []Origin `json:"origins,omitempty"` // several, or none; "cannot tell" is an answer
	Text    string   `json:"text,omitempty"`

	By string    `json:"by,omitempty"` // who noted it
	At time.Time `json:"at,omitzero"`
}

// Valid reports whether the view is made of what can be said, each thing once.
func (v View) Valid() bool {
	return slices.Contains(Parties(), v.Party) && (v.Found == "" || slices.Contains(Wheres(), v.Found)) &&
		among(v.Seen, Faults()) && among(v.Origins, Origins())
}

func among[T comparable](some, all []T) bool {
	for i, v := range some {
		if !slices.Contains(all, v) || slices.Contains(some[:i], v) {
			return false
		}
	}
	return true
}

// Payer is who bears what making it again costs.
type Payer string

// The payers.
const (
	PaysLaboratory Payer = "laboratory"
	PaysPractice   Payer = "practice"
	PaysShared     Payer = "shared"
	PaysPatient    Payer = "patient"
	PaysOpen       Payer = "open" // not settled
)

// Payers lists the payers.
func Payers() []Payer {
	return []Payer{PaysLaboratory, PaysPractice, PaysShared, PaysPatient, PaysOpen}
}

// Paid is who bears the cost of a remake. It is apart from what anybody thinks of the
// cause: who pays has not admitted anything.
type Paid struct {
	Visit int    `json:"visit"`
	Who   Payer  `json:"who"`
	Text  string `json:"text,omitempty"`

	By string    `json:"by,omitempty"`
	At time.Time `json:"at,omitzero"`
}
