package seating

import (
	"slices"
	"time"
)

// Step is one thing that is looked at or done when work is tried in.
type Step string

// The steps, in the order in which they make sense: a tight contact looks like an open
// margin, and a crown that does not go down like a high bite.
const (
	Outside   Step = "outside"       // the work in the hand
	Temporary Step = "temporary"     // off, and the tooth clean
	Shade     Step = "shade"         // while everything is wet
	Contacts  Step = "contacts"      // with shim stock and floss
	Inside    Step = "inside"        // does it go down, does it rock
	Margin    Step = "margin"        // by explorer; an image where it cannot be probed
	Bite      Step = "bite"          // for thin or weak ceramic after it is bonded
	Agrees    Step = "agrees"        // the patient
	Clean     Step = "decontaminate" // the inside
	Isolate   Step = "isolate"
	Cement    Step = "cement"
	Excess    Step = "excess"     // cement taken off
	Image     Step = "image"      // for what is left over
	BiteAgain Step = "bite-again" // after the cement
)

// Steps lists the steps in their order.
func Steps() []Step {
	return []Step{Outside, Temporary, Shade, Contacts, Inside, Margin, Bite, Agrees, Clean, Isolate, Cement, Excess, Image, BiteAgain}
}

// Before lists the steps without which a step misleads.
func (s Step) Before() []Step {
	switch s {
	case Margin:
		return []Step{Contacts, Inside}
	case Bite:
		return []Step{Contacts, Inside}
	case Inside:
		return []Step{Contacts}
	case Cement:
		return []Step{Contacts, Inside, Margin, Agrees}
	}
	return nil
}

// Wrong is what can be wrong at a step.
type Wrong string

// What can be wrong.
const (
	MesialTight Wrong = "mesial-tight"
	MesialOpen  Wrong = "mesial-open"
	DistalTight Wrong = "distal-tight"
	DistalOpen  Wrong = "distal-open"
	StaysUp     Wrong = "stays-up" // it does not go down
	Rocks       Wrong = "rocks"
	Loose       Wrong = "loose"
	MarginOpen  Wrong = "margin-open"
	MarginOver  Wrong = "margin-over"  // stands over
	MarginShort Wrong = "margin-short" // ends before the margin
	BiteHigh    Wrong = "bite-high"
	BiteLow     Wrong = "bite-low"
	TooLight    Wrong = "too-light"
	TooDark     Wrong = "too-dark"
	OtherShade  Wrong = "other-shade"
	Chipped     Wrong = "chipped"
	WrongWork   Wrong = "wrong-work"
	CementLeft  Wrong = "cement-left"
	NotAgreed   Wrong = "not-agreed"
	NotDry      Wrong = "not-dry"
)

// Wrongs lists what can be wrong at the step; nil: it is done or not.
func (s Step) Wrongs() []Wrong {
	switch s {
	case Outside:
		return []Wrong{Chipped, WrongWork}
	case Shade:
		return []Wrong{TooLight, TooDark, OtherShade}
	case Contacts:
		return []Wrong{MesialTight, MesialOpen, DistalTight, DistalOpen}
	case Inside:
		return []Wrong{StaysUp, Rocks, Loose}
	case Margin:
		return []Wrong{MarginOpen, MarginOver, MarginShort}
	case Bite, BiteAgain:
		return []Wrong{BiteHigh, BiteLow}
	case Agrees:
		return []Wrong{NotAgreed}
	case Isolate:
		return []Wrong{NotDry}
	case Excess, Image:
		return []Wrong{CementLeft}
	}
	return nil
}

// Adjustable reports whether what is wrong at the step can be ground or added to.
func (s Step) Adjustable() bool {
	return slices.Contains([]Step{Shade, Contacts, Inside, Margin, Bite, BiteAgain}, s)
}

// Result is what a step showed.
type Result string

// The results.
const (
	Good    Result = "good"
	NotGood Result = "not-good"
	LeftOut Result = "left-out" // not done, or not possible
)

// Tried is what one step showed. The last word on a step counts; the earlier ones stay in
// the record.
type Tried struct {
	Visit  int     `json:"visit"` // from 0
	Step   Step    `json:"step"`
	Result Result  `json:"result"`
	Wrong  []Wrong `json:"wrong,omitempty"`

	By string    `json:"by,omitempty"`
	At time.Time `json:"at,omitzero"`
}

// Valid reports whether the step, its result and what is wrong go together.
func (t Tried) Valid() bool {
	if !slices.Contains(Steps(), t.Step) || !slices.Contains([]Result{Good, NotGood, LeftOut}, t.Result) || t.Result != NotGood && len(t.Wrong) > 0 {
		return false
	}
	for i, w := range t.Wrong {
		if !slices.Contains(t.Step.Wrongs(), w) || slices.Contains(t.Wrong[:i], w) {
			return false
		}
	}
	return true
}

// Adjustment is time that was spent on what was wrong. Minutes below zero take back what
// was noted too much.
type Adjustment struct {
	Visit   int  `json:"visit"`
	Step    Step `json:"step"`
	Minutes int  `json:"minutes"`

	By string    `json:"by,omitempty"`
	At time.Time `json:"at,omitzero"`
}
