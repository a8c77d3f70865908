package casefile

import "fmt"

// ParseError holds every mistake that was found in a case.json. Its message is one
// line: the first mistake, and how many more there are.
type ParseError struct {
	Fields []*FieldError
}

// Error returns one line.
func (e *ParseError) Error() string {
	msg := "case.json: " + e.Fields[0].Error()
	if n := len(e.Fields) - 1; n > 0 {
		msg += fmt.Sprintf(" (and %d more)", n)
	}
	return msg
}

// Unwrap returns the mistakes, for errors.As.
func (e *ParseError) Unwrap() []error {
	out := make([]error, len(e.Fields))
	for i, f := range e.Fields {
		out[i] = f
	}
	return out
}

// Parse reads case.json. It is strict: a text where a list belongs, a word that is
// not in the vocabulary, a tooth that does not exist, an implant crown are errors
// that name the field. Fields it does not know are listed in Case.Unknown and
// otherwise ignored; what it reads into the file stands in Case.Assumed. An empty
// text counts as not given, and so does null.
func Parse(data []byte) (Case, error) {
	tree, err := parseTree(data)
	if err != nil {
		return Case{}, fmt.Errorf("case.json: %w", err)
	}
	r := &reader{}
	if tree.kind != "object" {
		return Case{}, fmt.Errorf("case.json: must be an object in braces, not %s", kindWords(tree))
	}
	c := r.readCase(tree)
	if len(r.errs) > 0 {
		return Case{}, &ParseError{Fields: r.errs}
	}
	c.Unknown, c.Assumed = r.unknown, r.assumed
	return c, nil
}

func (r *reader) readCase(tree node) Case {
	o := r.object("", tree)
	c := Case{Name: o.text("case")}
	c.Restorations = r.restorations(o)
	d := o.object("dates")
	c.Dates = Dates{Written: d.text("written"), Prepared: d.text("prepared"), Due: d.text("due"), Seat: d.text("seat")}
	p := o.object("prescriber")
	c.Prescriber = Prescriber{Name: p.text("name"), Licence: p.text("licence"), Address: p.text("address"), Phone: p.text("phone"), Contact: p.text("contact")}
	l := o.object("laboratory")
	c.Laboratory = Laboratory{Name: l.text("name"), Address: l.text("address"), Licence: l.text("licence"), Phone: l.text("phone")}
	q := o.object("patient")
	c.Patient = Patient{Reference: q.text("reference"), Name: q.text("name")}
	c.Rule, c.Alerts = o.text("rule"), r.alerts(o)
	if rush := o.truth("rush"); rush != nil {
		c.Rush = *rush
	}
	c.Disinfection = r.disinfection(o.object("disinfection"))
	c.Subcontract = word(o, "subcontracting", SubcontractChoices())
	c.Scans = r.scanFiles(o, c.Restorations)
	c.ShimStock = r.shimStock(o, c.Restorations)
	c.Units = word(o, "units", AllUnits())
	for _, part := range []*object{d, p, l, q, o} {
		part.done()
	}
	return c
}
