package work

import (
	"context"
	"slices"
	"strings"
	"time"

	"selvage/internal/store"
)

// Point is one thing that is looked at when work comes back.
type Point string

// The points.
const (
	RightTooth    Point = "tooth"
	RightMaterial Point = "material"
	RightShade    Point = "shade"
	OnTheModel    Point = "model" // margin, contacts and bite on the model, where there is one
	NoChips       Point = "chips"
	PapersThere   Point = "papers" // what it is made of, and lot
)

// Points lists the points in the order in which they are looked at.
func Points() []Point {
	return []Point{RightTooth, RightMaterial, RightShade, OnTheModel, NoChips, PapersThere}
}

// Returned is work that came back: when, and what was looked at and found sound.
type Returned struct {
	Laboratory string  `json:"laboratory,omitempty"`
	Promised   string  `json:"promised,omitempty"` // as 2026-05-04
	Day        string  `json:"day"`
	Sound      []Point `json:"sound,omitempty"`
	Text       string  `json:"text,omitempty"` // what is not

	By string    `json:"by,omitempty"`
	At time.Time `json:"at,omitzero"`
}

// Inspected reports whether everything was looked at and found sound.
func (r Returned) Inspected() bool { return len(r.Sound) == len(Points()) }

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

// easy is how many minutes of adjusting leave a crown seated as it was made.
const easy = 5

// Seated is how a visit to seat ended, with what is needed to find the material again.
type Seated struct {
	Outcome Outcome `json:"outcome"`
	Minutes int     `json:"minutes"` // of adjusting
	Seen    Fault   `json:"seen,omitempty"`
	Cement  string  `json:"cement,omitempty"`
	Lot     string  `json:"lot,omitempty"`    // of the cement
	Device  string  `json:"device,omitempty"` // identifier or lot of the crown's material
	Text    string  `json:"text,omitempty"`

	By string    `json:"by,omitempty"`
	At time.Time `json:"at,omitzero"`
}

// Return records that work came back, and what was looked at. It may be recorded again
// when more was.
func (d *Desk) Return(ctx context.Context, actor, id string, sound []Point, text string, now time.Time) error {
	for i, p := range sound {
		if !slices.Contains(Points(), p) || slices.Contains(sound[:i], p) {
			return &Problem{What: "this is not one of the points"}
		}
	}
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		if len(c.Sent) == 0 {
			return &Problem{What: "this case was not sent yet"}
		}
		v := Returned{Laboratory: c.Order.Laboratory.Name, Promised: c.Order.Dates.Due, Day: now.Format(time.DateOnly), Sound: sound, Text: strings.TrimSpace(text)}
		if b, ok := c.cameBack(); ok {
			v.Day = b.Day // it came then; more of it was looked at now
		}
		_, err := tx.Add(id, actor, kindReturned, v)
		return err
	})
}

// cameBack returns the last record of what came back since the case was last sent; work that
// is made again comes again.
func (c Case) cameBack() (Returned, bool) {
	if len(c.Sent) == 0 || len(c.Back) == 0 {
		return Returned{}, false
	}
	last := c.Back[len(c.Back)-1]
	return last, !last.At.Before(c.Sent[len(c.Sent)-1].At)
}

// Seat records how a visit to seat ended. Seated with more than five minutes of adjusting
// is not seated as made, whatever was tapped.
func (d *Desk) Seat(ctx context.Context, actor, id string, v Seated) error {
	switch {
	case !slices.Contains(Outcomes(), v.Outcome):
		return &Problem{What: "this is not one of the outcomes"}
	case v.Minutes < 0 || v.Minutes > 600:
		return &Problem{What: "so many minutes cannot be"}
	case v.Outcome == Remake && !slices.Contains(Faults(), v.Seen):
		return &Problem{What: "nobody said what was seen", Try: "say what is wrong with it"}
	case len(v.Cement)+len(v.Lot)+len(v.Device) > 300 || len(v.Text) > 1000:
		return &Problem{What: "this is too long"}
	}
	switch {
	case v.Outcome == AsMade && v.Minutes > easy:
		v.Outcome = Adjusted
	case v.Outcome != Remake:
		v.Seen = ""
	}
	return d.change(ctx, id, actor, func(tx *store.Tx, _ Case) error {
		_, err := tx.Add(id, actor, kindSeated, v)
		return err
	})
}
