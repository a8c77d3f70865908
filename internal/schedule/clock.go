package schedule

import "time"

// What can happen on the clock.
const (
	Began     = "began"      // retraction begins: a method was chosen
	CordIn    = "cord-in"    // a cord was packed
	CordOut   = "cord-out"   // a cord came out
	CapIn     = "cap-in"     // a cap was seated
	CapOut    = "cap-out"    // a cap came off
	Opened    = "opened"     // what held the sulcus open is out: it begins to close
	Explained = "explained"  // the dentist said why what is in stays in
	Pause     = "pack-again" // retraction begins again, the count goes on
)

// Tick is one thing that happened.
type Tick struct {
	What   string    `json:"what"`
	Method string    `json:"method,omitempty"`
	Reason string    `json:"reason,omitempty"`
	At     time.Time `json:"-"`
	By     string    `json:"-"`
}

// The sulcus after cord removal: at the line angles it stays wide enough for about 40 s,
// in the middle of the buccal side for about 60 s (job facts S50, S51).
const (
	LineAngles = 40 * time.Second
	MidBuccal  = 60 * time.Second
)

// Sulcus is how far the sulcus has closed.
type Sulcus string

// The states of the sulcus.
const (
	Unknown Sulcus = ""        // nothing was taken out yet
	Open    Sulcus = "open"    // scan now, the line angles first
	Closing Sulcus = "closing" // the line angles are closing
	Closed  Sulcus = "closed"  // pack again
)

// Clock is where retraction stands.
type Clock struct {
	Method    string    // key; empty before one was chosen
	Began     time.Time // of the present packing
	Opened    time.Time // since when the sulcus closes; zero while it is held open
	CordsIn   int       // packed in all
	CordsOut  int
	CapsIn    int
	CapsOut   int
	Explained string // why what is in stays in, as the dentist said
}

// Read computes the clock from what happened, in order.
func Read(ticks []Tick) Clock {
	var c Clock
	for _, t := range ticks {
		switch t.What {
		case Began:
			c.Method, c.Began, c.Opened = t.Method, t.At, time.Time{}
		case Pause:
			c.Began, c.Opened = t.At, time.Time{}
		case CordIn:
			c.CordsIn++
		case CordOut:
			c.CordsOut++
		case CapIn:
			c.CapsIn++
		case CapOut:
			c.CapsOut++
		case Opened:
			c.Opened = t.At
		case Explained:
			c.Explained = t.Reason
		}
		if t.What == CordIn || t.What == CapIn {
			c.Explained = "" // it was said of what was in then
		}
	}
	return c
}

// Left returns how many cords and caps are still in. More out than in is none.
func (c Clock) Left() (cords, caps int) {
	return max(0, c.CordsIn-c.CordsOut), max(0, c.CapsIn-c.CapsOut)
}

// Settled reports whether all that was put in is out again, or the dentist said why not:
// until then neither the temporary is cemented nor the patient let go.
func (c Clock) Settled() bool {
	cords, caps := c.Left()
	return cords+caps == 0 || c.Explained != ""
}

// SulcusAt returns how far the sulcus has closed at a time.
func (c Clock) SulcusAt(now time.Time) Sulcus {
	switch d := now.Sub(c.Opened); {
	case c.Opened.IsZero():
		return Unknown
	case d < LineAngles:
		return Open
	case d < MidBuccal:
		return Closing
	default:
		return Closed
	}
}
