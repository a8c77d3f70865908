package work

import (
	"slices"
	"time"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/store"
)

// The kinds of events of a case, with their bodies.
const (
	kindOpened    = "case-opened"      // opened
	kindOrdered   = "order-changed"    // ordered
	kindScan      = "scan-added"       // Scan
	kindRole      = "scan-role-set"    // roleSet
	kindLeftOut   = "scan-left-out"    // scanRef
	kindTakenBack = "scan-taken-back"  // scanRef
	kindAsked     = "check-asked"      // asked
	kindDone      = "check-done"       // done
	kindEnded     = "check-ended"      // ended
	kindShown     = "check-shown"      // shown
	kindDecided   = "decided"          // Decision
	kindAlarm     = "alarm-judged"     // Alarm
	kindSigned    = "signed"           // signed
	kindViewed    = "viewed"           // viewed
	kindClock     = "clock"            // schedule.Tick
	kindUnclock   = "clock-taken-back" // struct{}

	kindCorrected   = "corrected"             // Correction
	kindUncorrected = "correction-taken-back" // correctionRef
)

type opened struct {
	Name string `json:"name"`
}

type ordered struct {
	Order casefile.Case `json:"order"` // without scans
}

type roleSet struct {
	Scan string       `json:"scan"`
	Role finding.Role `json:"role"`
}

type scanRef struct {
	Scan string `json:"scan"`
}

type asked struct {
	Check string        `json:"check"`
	Job   int64         `json:"job"`
	Stage finding.Stage `json:"stage"`
	Of    string        `json:"of"` // what it checks: Case.basis
}

type done struct {
	Check   string          `json:"check"`
	Verdict finding.Verdict `json:"verdict"`
	Line    string          `json:"line"`

	Lines map[string]string `json:"lines,omitempty"` // in other languages than English

	Result store.Hash `json:"result"` // of the stored Result

	Drawing bool `json:"drawing,omitempty"` // pictures and surfaces follow: kindShown
}

type shown struct {
	Check string     `json:"check"`
	Shown store.Hash `json:"shown,omitempty"` // of the stored Shown
	What  string     `json:"what,omitempty"`  // why nothing is shown: UnshownNewer and the like
}

type ended struct {
	Check string `json:"check"`
	How   State  `json:"how"` // refused, failed or cancelled
	What  string `json:"what"`
}

// Decision is what the dentist decided on a check.
type Decision struct {
	Check  string `json:"check"`
	Choice Choice `json:"choice"`
	Reason string `json:"reason,omitempty"` // needed where the check asks for something and is accepted
}

// Choice is what the dentist can decide.
type Choice string

// The choices.
const (
	Accept    Choice = "accept"
	TouchUp   Choice = "touch-up"
	ScanAgain Choice = "scan-again"
)

// Alarm is what the dentist says of a finding: whether it was right.
type Alarm struct {
	Check   string       `json:"check"`
	Finding int          `json:"finding"` // its number in the report
	Code    finding.Code `json:"code"`
	Right   bool         `json:"right"`

	At time.Time `json:"-"` // when it was said
}

type signed struct {
	Check  string     `json:"check"`
	Result store.Hash `json:"result"`
}

type viewed struct {
	What string `json:"what"`
}

// EventKinds lists the kinds of events that a case may hold.
func EventKinds() []string {
	return []string{
		kindOpened, kindOrdered, kindScan, kindRole, kindLeftOut, kindTakenBack, kindAsked, kindDone, kindEnded, kindShown,
		kindDecided, kindAlarm, kindSigned, kindViewed, kindDelivered, kindClock, kindUnclock,
		kindCorrected, kindUncorrected,
		kindMarked, kindUnmarked, kindKept, kindPrescribed, kindPractice, kindLaboratory, kindHandedOff, kindReceipt, kindAnswered, kindNoted, kindTaken, kindTemporary, kindCut, kindReturned, kindSeated, kindTried, kindAdjusted, kindSaid, kindPaid, kindPhoto, kindPhotoOut,
		kindHeld, kindReleased, kindDeleteAsk, kindDeleteNot, kindDeleted, kindGone,
	}
}

// IsView reports whether an event says that somebody saw a case, and nothing more.
func IsView(e store.Event) bool { return e.Kind == kindViewed }

// Hands tells who did what in a case: who brought the scans that count for the crown, and
// who wrote, accepted or signed. Each is named once, in the order of what they did.
func Hands(events []store.Event) (brought, decided []string) {
	add := func(list []string, who string) []string {
		if who == System || slices.Contains(list, who) {
			return list
		}
		return append(list, who)
	}
	for _, e := range events {
		switch e.Kind {
		case kindScan:
			brought = add(brought, e.Actor)
		case kindPrescribed, kindSigned, kindDecided:
			decided = add(decided, e.Actor)
		}
	}
	return brought, decided
}

// Touches reports whether an event may change what is learned from a case.
func Touches(e store.Event) bool {
	return slices.Contains([]string{kindScan, kindRole, kindOrdered, kindPrescribed, kindDone, kindDecided, kindAlarm, kindSigned, kindHandedOff, kindReturned, kindSeated, kindSaid}, e.Kind)
}
