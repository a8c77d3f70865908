package casefile

import (
	"slices"
	"strconv"

	"selvage/shade"
)

// MarginDepth is where the margin lies against the crest of the gum.
type MarginDepth string

// The depths.
const (
	AboveGum MarginDepth = "above-gum"
	AtGum    MarginDepth = "at-gum"
	BelowGum MarginDepth = "below-gum"
)

// MarginDepths lists the depths.
func MarginDepths() []MarginDepth { return []MarginDepth{AboveGum, AtGum, BelowGum} }

// Alert is something about the patient that matters at a step of the work.
type Alert string

// The alerts.
const (
	Latex         Alert = "latex"         // allergy
	Adrenaline    Alert = "adrenaline"    // none in cords or injections: heart, blood pressure, medicines
	Anticoagulant Alert = "anticoagulant" // bleeds long
	Nickel        Alert = "nickel"        // allergy to metals of base alloys
	Resin         Alert = "resin"         // allergy to methacrylates
	Pacemaker     Alert = "pacemaker"     // no electrosurgery
)

// Alerts lists the alerts in the order in which they are offered.
func Alerts() []Alert { return []Alert{Latex, Adrenaline, Anticoagulant, Nickel, Resin, Pacemaker} }

// Subcontracting says whether another workshop may make a part.
type Subcontracting string

// The choices.
const (
	SubcontractAllowed Subcontracting = "allowed"
	SubcontractAsk     Subcontracting = "ask"
	SubcontractNo      Subcontracting = "no"
)

// SubcontractChoices lists the choices.
func SubcontractChoices() []Subcontracting {
	return []Subcontracting{SubcontractAllowed, SubcontractAsk, SubcontractNo}
}

// Disinfection says what was done to things that go to the laboratory with the files.
type Disinfection struct {
	NothingSent *bool  `json:"nothing_sent,omitempty" doc:"True: no physical item goes along."`
	Agent       string `json:"agent,omitempty" doc:"What the items were disinfected with."`
	Minutes     int    `json:"minutes,omitempty" doc:"For how long."`
	On          string `json:"on,omitempty" doc:"When, as 2026-05-04."`
	By          string `json:"by,omitempty" doc:"By whom."`
}

// Stated reports whether it is known that nothing goes along, or what was done to it.
func (d Disinfection) Stated() bool {
	return d.NothingSent != nil && *d.NothingSent || d.Agent != "" && d.Minutes > 0 && d.By != ""
}

func (r *reader) disinfection(o *object) Disinfection {
	d := Disinfection{NothingSent: o.truth("nothing_sent"), Agent: o.text("agent"), Minutes: o.whole("minutes"), On: o.text("on"), By: o.text("by")}
	o.done()
	return d
}

func (r *reader) alerts(o *object) []Alert {
	var out []Alert
	items, paths := o.list("alerts")
	for i, n := range items {
		if a := Alert(n.text); n.kind == "text" && slices.Contains(Alerts(), a) {
			out = append(out, a)
			continue
		}
		r.fail(paths[i], "must be one of %s, not %s", listed(Alerts()), kindWords(n))
	}
	return out
}

// colour reads a measured colour; nil if absent.
func (r *reader) colour(o *object, name string) *shade.Lab {
	n, ok := o.get(name)
	if !ok {
		return nil
	}
	co := r.object(o.at(name), n)
	l, a, b := co.number("l"), co.number("a"), co.number("b")
	co.done()
	if l == nil || a == nil || b == nil {
		r.fail(o.at(name), "needs the numbers l, a and b")
		return nil
	}
	c := shade.Lab{L: *l, A: *a, B: *b}
	if !c.Valid() {
		r.fail(o.at(name), "is no colour that can be measured: l is 0 to 100, a and b within 160")
		return nil
	}
	return &c
}

// number reads a number; nil if absent.
func (o *object) number(name string) *float64 {
	n, ok := o.get(name)
	if !ok {
		return nil
	}
	v, err := strconv.ParseFloat(n.text, 64)
	if n.kind != "number" || err != nil || v != v {
		o.r.fail(o.at(name), "must be a number, not %s", kindWords(n))
		return nil
	}
	return &v
}

// whole reads a whole number from 1; 0 if absent.
func (o *object) whole(name string) int {
	n, ok := o.get(name)
	if !ok {
		return 0
	}
	v, err := strconv.Atoi(n.text)
	if n.kind != "number" || err != nil || v < 1 {
		o.r.fail(o.at(name), "must be a whole number from 1")
		return 0
	}
	return v
}
