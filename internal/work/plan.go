package work

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"time"

	"selvage/calendar"
	"selvage/internal/casefile"
	"selvage/internal/photo"
	"selvage/internal/prescription"
	"selvage/internal/store"
	"selvage/internal/turnaround"
	"selvage/limit"
)

// The events of a prescription.
const (
	kindMarked     = "lack-marked"         // Mark
	kindUnmarked   = "lack-unmarked"       // Mark, without a how
	kindKept       = "date-kept"           // Kept
	kindPrescribed = "prescription-signed" // prescribed
	kindPhoto      = "photo-added"         // Photo
	kindPhotoOut   = "photo-left-out"      // photoRef
)

// Mark is what is said about something that a prescription lacks.
type Mark struct {
	Lack   string `json:"lack"` // prescription.Lack.Key
	How    How    `json:"how,omitempty"`
	Reason string `json:"reason,omitempty"`

	By string    `json:"by,omitempty"`
	At time.Time `json:"at,omitzero"`
}

// How a case may be sent although something is missing.
type How string

// The ways.
const (
	ToFollow   How = "to-follow"   // it will be sent after
	SendAnyway How = "send-anyway" // the laboratory does without; needs a reason
)

// Kept is a day that is kept although the calendar says that it cannot be.
type Kept struct {
	Why    turnaround.Why `json:"why"`
	Day    string         `json:"day"`
	Reason string         `json:"reason"`

	By string    `json:"by,omitempty"`
	At time.Time `json:"at,omitzero"`
}

// Photo is a photograph that goes with the prescription, stored without its metadata.
type Photo struct {
	ID     string        `json:"photo"`
	Shows  Shows         `json:"shows"`
	Hash   store.Hash    `json:"sha256"`
	MIME   string        `json:"mime"`
	W      int           `json:"w"`
	H      int           `json:"h"`
	Doubts []photo.Doubt `json:"doubts,omitempty"`
}

type photoRef struct {
	Photo string `json:"photo"`
}

// Shows is what a photograph shows.
type Shows string

// What photographs show.
const (
	ShowsShade Shows = "shade" // the tooth to match, with the tab beside it
	ShowsStump Shows = "stump" // the prepared tooth, with the tab
	ShowsSmile Shows = "smile"
	ShowsOther Shows = "other"
)

// AllShows lists what photographs may show.
func AllShows() []Shows { return []Shows{ShowsShade, ShowsStump, ShowsSmile, ShowsOther} }

type prescribed struct {
	Hash  string        `json:"hash"`
	Order casefile.Case `json:"order"` // as it was signed, without scans
}

// Version is one signed state of a prescription, which nobody alters. What comes later is
// a draft until it is signed as the next.
type Version struct {
	N     int // from 1
	Hash  string
	Order casefile.Case
	By    string
	At    time.Time
}

// applyPlan adds an event of the prescription.
func (c *Case) applyPlan(e store.Event) (changed bool, err error) {
	switch e.Kind {
	case kindMarked, kindUnmarked:
		err = read(e, func(v Mark) {
			c.Marks = slices.DeleteFunc(c.Marks, func(m Mark) bool { return m.Lack == v.Lack })
			if e.Kind == kindMarked {
				v.By, v.At = e.Actor, e.At
				c.Marks = append(c.Marks, v)
			}
		})
	case kindKept:
		err = read(e, func(v Kept) { v.By, v.At = e.Actor, e.At; c.Kept = append(c.Kept, v) })
	case kindPhoto:
		err = read(e, func(v Photo) { c.Photos = append(c.Photos, v) })
	case kindPhotoOut:
		err = read(e, func(v photoRef) {
			c.Photos = slices.DeleteFunc(c.Photos, func(p Photo) bool { return p.ID == v.Photo })
		})
	case kindPrescribed:
		err = read(e, func(v prescribed) {
			c.Versions = append(c.Versions, Version{N: len(c.Versions) + 1, Hash: v.Hash, Order: v.Order, By: e.Actor, At: e.At})
		})
	default:
		return false, nil
	}
	return true, err
}

// Prescribed returns the last signed version, and whether the prescription still says what
// was signed.
func (c Case) Prescribed() (v Version, current, ok bool) {
	if len(c.Versions) == 0 {
		return Version{}, false, false
	}
	v = c.Versions[len(c.Versions)-1]
	h, err := prescription.Hash(c.order())
	return v, err == nil && h == v.Hash, true
}

// order is the prescription with the name of the case.
func (c Case) order() casefile.Case {
	o := c.Order
	o.Name = c.Name
	return o
}

// Marked returns what is said about something missing.
func (c Case) Marked(l prescription.Lack) (Mark, bool) {
	i := slices.IndexFunc(c.Marks, func(m Mark) bool { return m.Lack == l.Key() })
	if i < 0 {
		return Mark{}, false
	}
	return c.Marks[i], true
}

// Plan is a prescription with what is to be said about it.
type Plan struct {
	Order    casefile.Case // as it stands, filled in
	Hash     string        // of it
	Lab      prescription.Laboratory
	Rule     prescription.Rule
	Ruled    bool // a rule is chosen
	Missing  []prescription.Lack
	Open     int // of the missing, those about which nothing is said
	Clashes  []prescription.Clash
	Forecast turnaround.Forecast
	Foreseen bool // the laboratory's times are known
	Late     int  // working days by which the laboratory is late as a rule, in the forecast
	Learned  bool // from what came back
	Dates    []turnaround.Clash
	Fits     []prescription.Fit // of the first restoration
	RoomMM   casefile.Measure   // that the fits rest on
}

// Plan returns the prescription of a case, what is empty in it filled in from the profiles,
// and what is to be said about it. writer is who writes it; now is on the practice's clock.
func (d *Desk) Plan(ctx context.Context, c Case, writer string, now time.Time) (Plan, error) {
	p := Plan{Order: c.order()}
	book, err := d.Profiles(ctx)
	if err != nil {
		return p, err
	}
	p.Lab = book.chosen(c.Order)
	if _, current, ok := c.Prescribed(); !ok || !current {
		p.Order = filled(p.Order, c, book, p.Lab, writer, now)
	}
	if p.Hash, err = prescription.Hash(p.Order); err != nil {
		return p, err
	}
	p.Rule, p.Ruled = prescription.RuleOf(p.Order.Rule)
	p.Missing = prescription.Missing(p.Order, p.Lab)
	for _, l := range p.Missing {
		if _, said := c.Marked(l); !said {
			p.Open++
		}
	}
	p.Clashes = prescription.Clashes(p.Order)
	if err := d.foresee(ctx, &p, c, book, now); err != nil {
		return p, err
	}
	if k, ok := c.Current(); ok && k.State == Done {
		if _, rep, err := d.Result(ctx, k); err == nil && len(rep.Restorations) > 0 && len(c.Order.Restorations) > 0 {
			class := string(c.Order.Restorations[0].Tooth.Number().Class())
			p.Fits, p.RoomMM = prescription.Fitting(d.Limits(), rep.Restorations[0], class), rep.Restorations[0].Measures.ClearancePatch
		}
	}
	return p, nil
}

// foresee fills in when the work can be back. Work that is made in the house has no such
// day, nor has that of a laboratory whose times nobody wrote down.
func (d *Desk) foresee(ctx context.Context, p *Plan, c Case, book Profiles, now time.Time) error {
	if prescription.InHouse(p.Order) || p.Lab.Days == 0 {
		return nil
	}
	y := now.Year()
	r, err := prescription.RouteFor(p.Order, book.Practice, p.Lab, int(d.Limits().Setting(limit.SeatBuffer)), y-1, y+2)
	if err != nil {
		return err
	}
	if p.Late, p.Learned, err = d.lateness(ctx, p.Lab.Name, r.Practice); err != nil {
		return err
	}
	r.Late = p.Late
	sent, accepted, pauses := c.onTheWay(now)
	if p.Forecast, err = r.Forecast(sent, accepted, pauses, turnaround.MomentOf(now)); err != nil {
		return err
	}
	p.Foreseen = true
	var w turnaround.Wanted
	w.Due, _ = calendar.Parse(p.Order.Dates.Due) // a day that is none is said by the check
	w.Seat, _ = calendar.Parse(p.Order.Dates.Seat)
	all, err := r.Clashes(p.Forecast, w)
	if err != nil {
		return err
	}
	for _, k := range all {
		if !slices.ContainsFunc(c.Kept, func(o Kept) bool { return o.Why == k.Why && o.Day == k.Wanted.String() }) {
			p.Dates = append(p.Dates, k)
		}
	}
	return nil
}

// AddPhoto takes a photograph in: without its metadata, and with what makes it doubtful.
func (d *Desk) AddPhoto(ctx context.Context, actor, id string, shows Shows, data []byte) error {
	if !slices.Contains(AllShows(), shows) {
		return &Problem{What: "this is not one of the choices"}
	}
	clean, err := photo.Strip(data)
	if err != nil {
		return &Problem{What: "%s", About: err.Error()}
	}
	look, err := photo.Check(clean)
	if err != nil {
		return &Problem{What: "%s", About: err.Error()}
	}
	v := Photo{ID: newID(), Shows: shows, MIME: "image/png", W: look.W, H: look.H, Doubts: look.Doubts}
	if clean[0] == 0xff {
		v.MIME = "image/jpeg"
	}
	if v.Hash, _, err = d.blobs.Put(ctx, bytes.NewReader(clean)); err != nil {
		return err
	}
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		const most = 20
		switch {
		case slices.ContainsFunc(c.Photos, func(p Photo) bool { return p.Hash == v.Hash }):
			return nil
		case len(c.Photos) >= most:
			return &Problem{What: "there are many photographs already", Try: "take one out first"}
		}
		_, err := tx.Add(id, actor, kindPhoto, v)
		return err
	})
}

// DropPhoto takes a photograph out of the case; it stays stored.
func (d *Desk) DropPhoto(ctx context.Context, actor, id, which string) error {
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		if !slices.ContainsFunc(c.Photos, func(p Photo) bool { return p.ID == which }) {
			return &Problem{What: "this case has no such photograph"}
		}
		_, err := tx.Add(id, actor, kindPhotoOut, photoRef{which})
		return err
	})
}

// Mark says about something missing that it follows, or that the case is sent without it.
// An empty how takes back what was said.
func (d *Desk) Mark(ctx context.Context, actor, id string, m Mark) error {
	m.Reason = strings.TrimSpace(m.Reason)
	switch {
	case m.How == "":
	case m.How != ToFollow && m.How != SendAnyway:
		return &Problem{What: "this is not one of the choices"}
	case m.How == SendAnyway && m.Reason == "":
		return &Problem{What: "nobody said why it is sent without this", Try: "give a reason"}
	}
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		kind := kindMarked
		if m.How == "" {
			kind = kindUnmarked
		}
		_, err := tx.Add(id, actor, kind, m)
		return err
	})
}

// KeepDate records that a day is kept although it is too early, with a reason.
func (d *Desk) KeepDate(ctx context.Context, actor, id string, k Kept) error {
	k.Reason = strings.TrimSpace(k.Reason)
	if k.Reason == "" {
		return &Problem{What: "nobody said why this day is kept", Try: "give a reason"}
	}
	return d.change(ctx, id, actor, func(tx *store.Tx, _ Case) error {
		_, err := tx.Add(id, actor, kindKept, k)
		return err
	})
}

// filled fills in what is empty in an order. The day of the preparation is that on which
// the case was opened.
func filled(o casefile.Case, c Case, book Profiles, lab prescription.Laboratory, writer string, now time.Time) casefile.Case {
	if o.Dates.Prepared == "" && !c.Opened.IsZero() {
		o.Dates.Prepared = c.Opened.In(now.Location()).Format(time.DateOnly)
	}
	return prescription.Prefill(o, book.Practice, lab, writer, now.Format(time.DateOnly))
}

// Prescribe signs the prescription as it stands, filled in; hash is that of what was shown
// to who signs. The signed state is a version that stays as it is.
func (d *Desk) Prescribe(ctx context.Context, actor, writer, id, hash string, now time.Time) error {
	book, err := d.Profiles(ctx)
	if err != nil {
		return err
	}
	return d.change(ctx, id, actor, func(tx *store.Tx, c Case) error {
		if _, current, ok := c.Prescribed(); ok && current {
			return nil
		}
		order := filled(c.order(), c, book, book.chosen(c.Order), writer, now)
		h, err := prescription.Hash(order)
		switch {
		case err != nil:
			return err
		case h != hash:
			return &Problem{What: "the prescription was changed meanwhile", Try: "read it again before you sign"}
		case len(order.Restorations) == 0:
			return &Problem{What: "nothing is prescribed yet", Try: "say which tooth was prepared"}
		}
		kept := order
		kept.Name = c.Order.Name // the case has its name elsewhere
		if _, err := tx.Add(id, actor, kindOrdered, ordered{Order: kept}); err != nil {
			return err
		}
		_, err = tx.Add(id, actor, kindPrescribed, prescribed{Hash: h, Order: order})
		return err
	})
}
