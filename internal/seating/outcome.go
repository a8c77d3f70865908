package seating

import "time"

// Outcome is how a visit to seat ended.
type Outcome string

// The outcomes.
const (
	AsMade   Outcome = "as-made"  // seated, at most five minutes of adjusting
	Adjusted Outcome = "adjusted" // seated after more
	Remake   Outcome = "remake"   // not seated: made again
)

// Outcomes lists the outcomes.
func Outcomes() []Outcome { return []Outcome{AsMade, Adjusted, Remake} }

// Easy is how many minutes of adjusting leave a crown seated as it was made.
const Easy = 5

// Fault is what was seen where work is made again.
type Fault string

// The faults.
const (
	FaultContact   Fault = "contact"
	FaultMargin    Fault = "margin"
	FaultFit       Fault = "fit"
	FaultOcclusion Fault = "occlusion"
	FaultShade     Fault = "shade"
	FaultForm      Fault = "form"
	FaultBroken    Fault = "broken"
	FaultWrong     Fault = "wrong-work"
	FaultOther     Fault = "other"
)

// Faults lists the faults.
func Faults() []Fault {
	return []Fault{FaultContact, FaultMargin, FaultFit, FaultOcclusion, FaultShade, FaultForm, FaultBroken, FaultWrong, FaultOther}
}

// Seated is how a visit to seat ended, with what is needed to find the material again.
type Seated struct {
	Outcome Outcome `json:"outcome"`
	Minutes int     `json:"minutes"` // of adjusting
	Seen    Fault   `json:"seen,omitempty"`
	Cement  string  `json:"cement,omitempty"`
	Lot     string  `json:"lot,omitempty"`    // of the cement
	Device  string  `json:"device,omitempty"` // identifier or lot of the crown's material
	Text    string  `json:"text,omitempty"`

	Corrects bool     `json:"corrects,omitempty"` // it says anew how the last visit ended
	Was      []Seated `json:"was,omitempty"`      // what was said of the same visit before, in order

	By string    `json:"by,omitempty"`
	At time.Time `json:"at,omitzero"`
}

// Note adds how a visit ended to those before it. A correction takes the place of the last
// one and keeps it beside it, and the day of the visit with it.
func Note(visits []Seated, v Seated) []Seated {
	n := len(visits)
	if !v.Corrects || n == 0 {
		v.Corrects = false
		return append(visits, v)
	}
	was := visits[n-1]
	v.Was, was.Was = append(was.Was[:len(was.Was):len(was.Was)], was), nil
	v.Was[len(v.Was)-1].Was = nil
	return append(visits[:n-1:n-1], v)
}

// Day is when the visit was first noted: a correction moves no visit to another day.
func (s Seated) Day() time.Time {
	if len(s.Was) > 0 {
		return s.Was[0].At
	}
	return s.At
}
