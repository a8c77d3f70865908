package prescription

import (
	"strings"

	"selvage/calendar"
	"selvage/internal/casefile"
	"selvage/internal/holiday"
	"selvage/internal/turnaround"
	"selvage/limit"
)

// Practice is what a practice writes once and every prescription repeats.
type Practice struct {
	Name        string             `json:"name,omitempty"`
	Address     string             `json:"address,omitempty"`
	Phone       string             `json:"phone,omitempty"`
	Contact     string             `json:"contact,omitempty"` // the one person to call, and when
	Rule        string             `json:"rule,omitempty"`
	Region      holiday.Region     `json:"region,omitempty"`
	Free        []calendar.Weekday `json:"free,omitempty"`   // nil: Saturday and Sunday
	Closed      []string           `json:"closed,omitempty"` // days, as 2026-05-04
	Prescribers []Prescriber       `json:"prescribers,omitempty"`
}

// Prescriber is a dentist who signs.
type Prescriber struct {
	Name    string `json:"name"`
	Licence string `json:"licence"`
}

// Laboratory is what a laboratory wants, and how it works.
type Laboratory struct {
	Key         string                  `json:"key"` // by which it is chosen
	Name        string                  `json:"name"`
	Address     string                  `json:"address,omitempty"`
	Licence     string                  `json:"licence,omitempty"`
	Phone       string                  `json:"phone,omitempty"`
	Region      holiday.Region          `json:"region,omitempty"` // empty: the practice's
	Free        []calendar.Weekday      `json:"free,omitempty"`
	Closed      []string                `json:"closed,omitempty"`
	CutOff      string                  `json:"cut_off,omitempty"` // as 15:00, by the practice's clock
	Days        int                     `json:"days,omitempty"`    // working days from acceptance
	DaysBy      map[limit.Material]int  `json:"days_by,omitempty"` // where a material takes others
	RushDays    int                     `json:"rush_days,omitempty"`
	Back        int                     `json:"back,omitempty"` // days of the carrier
	Requires    []Field                 `json:"requires,omitempty"`
	Contacts    string                  `json:"contacts,omitempty"` // its usual tightness
	IfShort     casefile.IfSpaceShort   `json:"if_space_short,omitempty"`
	FilesOnly   bool                    `json:"files_only,omitempty"` // nothing is sent along
	Subcontract casefile.Subcontracting `json:"subcontracting,omitempty"`
	Recipient   string                  `json:"recipient,omitempty"` // age key to which files are encrypted
	Left        bool                    `json:"left,omitempty"`      // not offered any more
}

// Prefill fills in what is empty in c from the profiles, and says who signs where only one
// dentist works here or who writes is one of them. What was entered stays.
func Prefill(c casefile.Case, p Practice, lab Laboratory, writer, today string) casefile.Case {
	fill := func(to *string, from string) {
		if *to == "" {
			*to = from
		}
	}
	fill(&c.Rule, p.Rule)
	fill(&c.Dates.Written, today)
	fill(&c.Dates.Prepared, today)
	fill(&c.Prescriber.Address, strings.TrimSpace(strings.Trim(p.Name+", "+p.Address, ", ")))
	fill(&c.Prescriber.Phone, p.Phone)
	fill(&c.Prescriber.Contact, p.Contact)
	for _, d := range p.Prescribers {
		if len(p.Prescribers) == 1 || strings.EqualFold(d.Name, writer) {
			fill(&c.Prescriber.Name, d.Name)
		}
		if strings.EqualFold(d.Name, c.Prescriber.Name) {
			fill(&c.Prescriber.Licence, d.Licence)
		}
	}
	restorations := append([]casefile.Restoration(nil), c.Restorations...)
	for i := range restorations {
		r := &restorations[i]
		if r.Kind == "" {
			r.Kind = casefile.Crown
		}
		if r.MadeBy == "" && lab.Key != "" {
			r.MadeBy = casefile.ByLaboratory
		}
		fill(&r.Contacts.Mesial, lab.Contacts)
		fill(&r.Contacts.Distal, lab.Contacts)
		if r.IfSpaceShort == "" {
			r.IfSpaceShort = lab.IfShort
		}
	}
	c.Restorations = restorations
	if InHouse(c) {
		return c
	}
	if c.Laboratory.Name == "" {
		c.Laboratory = casefile.Laboratory{Name: lab.Name, Address: lab.Address, Licence: lab.Licence, Phone: lab.Phone}
	}
	if c.Subcontract == "" {
		c.Subcontract = lab.Subcontract
	}
	if c.Disinfection == (casefile.Disinfection{}) && lab.FilesOnly {
		yes := true
		c.Disinfection.NothingSent = &yes
	}
	return c
}

// RouteFor returns how the work of c goes to the laboratory and back, for days of the years
// from and to.
func RouteFor(c casefile.Case, p Practice, lab Laboratory, buffer, from, to int) (turnaround.Route, error) {
	var r turnaround.Route
	var err error
	if r.Practice, err = week(p.Region, p.Free, p.Closed, from, to); err != nil {
		return r, err
	}
	region := lab.Region
	if region == "" {
		region = p.Region
	}
	if r.Maker, err = week(region, lab.Free, lab.Closed, from, to); err != nil {
		return r, err
	}
	if r.Carrier, err = week(region, nil, nil, from, to); err != nil {
		return r, err
	}
	if lab.CutOff != "" {
		if r.CutOff, err = turnaround.ParseClock(lab.CutOff); err != nil {
			return r, err
		}
	}
	r.Back, r.Buffer, r.Days = lab.Back, buffer, lab.Days
	for _, t := range c.Restorations {
		if d := lab.DaysBy[t.Material]; d > 0 {
			r.Days = max(r.Days, d)
		}
	}
	if c.Rush && lab.RushDays > 0 {
		r.Days = lab.RushDays
	}
	if d := c.Disinfection.NothingSent; d != nil && !*d {
		r.Out = lab.Back // things travel there as long as back
	}
	return r, nil
}

// PracticeWeek returns the days on which a practice works, in the years from and to.
func PracticeWeek(p Practice, from, to int) (calendar.Week, error) {
	return week(p.Region, p.Free, p.Closed, from, to)
}

func week(region holiday.Region, free []calendar.Weekday, closed []string, from, to int) (calendar.Week, error) {
	var days []calendar.Date
	for _, s := range closed {
		d, err := calendar.Parse(s)
		if err != nil {
			return calendar.Week{}, err
		}
		days = append(days, d)
	}
	w := calendar.Week{Closed: days}
	if region != "" {
		var err error
		if w, err = holiday.Week(region, from, to, days...); err != nil {
			return w, err
		}
	}
	w.Free = free
	return w, nil
}
