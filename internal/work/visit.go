package work

import (
	"context"
	"slices"
	"strings"
	"time"

	"selvage/internal/seating"
	"selvage/internal/store"
)

// The events of a visit to seat.
const (
	kindReturned = "work-returned" // Returned
	kindSeated   = "seated"        // seating.Seated
	kindTried    = "step-tried"    // seating.Tried
	kindAdjusted = "adjusted"      // seating.Adjustment
	kindSaid     = "remake-viewed" // seating.View
	kindPaid     = "remake-paid"   // seating.Paid
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
	Disinfected   Point = "disinfected"
)

// Points lists the points in the order in which they are looked at.
func Points() []Point {
	return []Point{RightTooth, RightMaterial, RightShade, OnTheModel, NoChips, PapersThere, Disinfected}
}

// Returned is work that came back: when, and what was looked at and found sound.
type Returned struct {
	Laboratory string  `json:"laboratory,omitempty"`
	Promised   string  `json:"promised,omitempty"` // as 2026-05-04
	Day        string  `json:"day"`
	Sound      []Point `json:"sound,omitempty"`
	Text       string  `json:"text,omitempty"`   // what is not
	Device     string  `json:"device,omitempty"` // identifier or lot of the work, from its papers

	By string    `json:"by,omitempty"`
	At time.Time `json:"at,omitzero"`
}

// Inspected reports whether everything was looked at and found sound.
func (r Returned) Inspected() bool { return len(r.Sound) == len(Points()) }

// Return records that work came back, and what was looked at. It may be recorded again
// when more was.
func (d *Desk) Return(ctx context.Context, actor, id string, sound []Point, text, device string, now time.Time) error {
	if len(text) > 1000 || len(device) > 120 {
		return &Problem{What: "this is too long"}
	}
	for i, p := range sound {
		if !slices.Contains(Points(), p) || slices.Contains(sound[:i], p) {
			return &Problem{What: "this is not one of the points"}
		}
	}
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		if len(c.Sent) == 0 {
			return &Problem{What: "this case was not sent yet"}
		}
		v := Returned{Laboratory: c.Order.Laboratory.Name, Promised: c.Order.Dates.Due, Day: now.Format(time.DateOnly), Sound: sound, Text: strings.TrimSpace(text), Device: strings.TrimSpace(device)}
		if b, ok := c.cameBack(); ok {
			v.Day = b.Day // it came then; more of it was looked at now
		}
		_, err := tx.Add(id, actor, kindReturned, v)
		return err
	})
}

// Arrived reports whether the work came back since it was last sent.
func (c Case) Arrived() bool {
	_, here := c.cameBack()
	return here
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

// Seat records how a visit to seat ended, or, as a correction, says anew how the last one
// did. Seated with more than five minutes of adjusting is not seated as made, whatever was
// tapped.
func (d *Desk) Seat(ctx context.Context, actor, id string, v seating.Seated) error {
	v.Was, v.By, v.At = nil, "", time.Time{}
	switch {
	case !slices.Contains(seating.Outcomes(), v.Outcome):
		return &Problem{What: "this is not one of the outcomes"}
	case v.Minutes < 0 || v.Minutes > 600:
		return &Problem{What: "so many minutes cannot be"}
	case v.Outcome == seating.Remake && !slices.Contains(seating.Faults(), v.Seen):
		return &Problem{What: "nobody said what was seen", Try: "say what is wrong with it"}
	case len(v.Cement)+len(v.Lot)+len(v.Device) > 300 || len(v.Text) > 1000:
		return &Problem{What: "this is too long"}
	}
	switch {
	case v.Outcome == seating.AsMade && v.Minutes > seating.Easy:
		v.Outcome = seating.Adjusted
	case v.Outcome != seating.Remake:
		v.Seen = ""
	}
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		if v.Corrects && len(c.Visits) == 0 {
			return &Problem{What: "no visit was noted yet"}
		}
		_, err := tx.Add(id, actor, kindSeated, v)
		return err
	})
}

// Try records what a step of the try-in showed. It may be said again; the last word counts.
func (d *Desk) Try(ctx context.Context, actor, id string, v seating.Tried) error {
	if !v.Valid() {
		return &Problem{What: "this is not one of the choices"}
	}
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		v.Visit = len(c.Visits)
		_, err := tx.Add(id, actor, kindTried, v)
		return err
	})
}

// Adjust records minutes that were spent on a step; minutes below zero take back.
func (d *Desk) Adjust(ctx context.Context, actor, id string, v seating.Adjustment) error {
	if !v.Step.Adjustable() || v.Minutes == 0 || v.Minutes > 120 {
		return &Problem{What: "this is not one of the choices"}
	}
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		v.Visit = len(c.Visits)
		if c.Seating.Minutes(v.Visit, v.Step)+v.Minutes < 0 {
			return &Problem{What: "so many minutes cannot be"}
		}
		_, err := tx.Add(id, actor, kindAdjusted, v)
		return err
	})
}

// Say records what a party says of a visit after which the work is made again. It may be
// said again; the last word counts, and the earlier ones stay.
func (d *Desk) Say(ctx context.Context, actor, id string, v seating.View) error {
	v.Text = strings.TrimSpace(v.Text)
	switch {
	case !v.Valid():
		return &Problem{What: "this is not one of the choices"}
	case len(v.Seen) == 0:
		return &Problem{What: "nobody said what was seen", Try: "say what is wrong with it"}
	case len(v.Text) > 1000:
		return &Problem{What: "this is too long"}
	}
	return d.ofVisit(ctx, actor, id, v.Visit, kindSaid, v)
}

// Pay records who bears what it costs to make the work of a visit again.
func (d *Desk) Pay(ctx context.Context, actor, id string, v seating.Paid) error {
	v.Text = strings.TrimSpace(v.Text)
	if !slices.Contains(seating.Payers(), v.Who) || len(v.Text) > 300 {
		return &Problem{What: "this is not one of the choices"}
	}
	return d.ofVisit(ctx, actor, id, v.Visit, kindPaid, v)
}

// ofVisit records something about a visit that was noted.
func (d *Desk) ofVisit(ctx context.Context, actor, id string, visit int, kind string, body any) error {
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		if visit < 0 || visit >= len(c.Visits) {
			return &Problem{What: "no visit was noted yet"}
		}
		_, err := tx.Add(id, actor, kind, body)
		return err
	})
}

// applySeating adds an event of a visit to seat.
func (c *Case) applySeating(e store.Event) (changed bool, err error) {
	r := &c.Seating
	switch e.Kind {
	case kindReturned:
		err = read(e, func(v Returned) { v.By, v.At = e.Actor, e.At; c.Back = append(c.Back, v) })
	case kindSeated:
		err = read(e, func(v seating.Seated) { v.By, v.At = e.Actor, e.At; c.Visits = seating.Note(c.Visits, v) })
	case kindTried:
		err = read(e, func(v seating.Tried) { v.By, v.At = e.Actor, e.At; r.Tried = append(r.Tried, v) })
	case kindAdjusted:
		err = read(e, func(v seating.Adjustment) { v.By, v.At = e.Actor, e.At; r.Adjusted = append(r.Adjusted, v) })
	case kindSaid:
		err = read(e, func(v seating.View) { v.By, v.At = e.Actor, e.At; r.Views = append(r.Views, v) })
	case kindPaid:
		err = read(e, func(v seating.Paid) { v.By, v.At = e.Actor, e.At; r.Paid = append(r.Paid, v) })
	default:
		return false, nil
	}
	return true, err
}

// HandedOver returns the hand-off that a visit followed, and the check that was current
// then; ok is false where nothing was handed off before it, and the check empty where none
// was current.
func (c Case) HandedOver(visit int) (s Sending, k Check, ok bool) {
	for _, s := range slices.Backward(c.Sent) {
		if visit < len(c.Visits) && s.At.After(c.Visits[visit].Day()) {
			continue
		}
		i := slices.IndexFunc(c.Checks, func(k Check) bool { return k.ID == s.Check })
		if i < 0 {
			return s, Check{}, true
		}
		return s, c.Checks[i], true
	}
	return Sending{}, Check{}, false
}
