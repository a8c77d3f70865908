package prescription_test

import (
	"slices"
	"testing"

	"selvage/internal/casefile"
	"selvage/internal/prescription"
	"selvage/limit"
	"selvage/measure"
	"selvage/tooth"
)

func yes() *bool { b := true; return &b }
func no() *bool  { b := false; return &b }

// whole is a prescription that says all that any rule asks.
func whole() casefile.Case {
	return casefile.Case{
		Name:         "C-1",
		Dates:        casefile.Dates{Written: "2026-05-04", Prepared: "2026-05-04", Due: "2026-05-13", Seat: "2026-05-18"},
		Prescriber:   casefile.Prescriber{Name: "Dr. A", Licence: "D-1", Address: "1 Mill Lane", Phone: "555"},
		Laboratory:   casefile.Laboratory{Name: "Lab", Address: "2 Mill Lane", Licence: "L-1"},
		Patient:      casefile.Patient{Reference: "P-1", Name: "N"},
		Disinfection: casefile.Disinfection{NothingSent: yes()}, Subcontract: casefile.SubcontractAsk,
		Restorations: []casefile.Restoration{{
			Tooth: casefile.CodeOf(tooth.Number(26)), Kind: casefile.Crown, Material: limit.Zirconia3Y, Grade: "opaque",
			Cement: limit.Conventional, FinishLine: limit.Chamfer, MadeBy: casefile.ByLaboratory,
			Shade:    casefile.Shade{Guide: "g", Body: "b", BeforeDrying: yes()},
			Contacts: casefile.Contacts{Mesial: "firm", Distal: "firm"}, Occlusion: casefile.Occlusion{Centric: "light", Excursions: "free"},
			IfSpaceShort: casefile.Call,
		}},
	}
}

// drop empties one field.
func drop(c casefile.Case, f prescription.Field) casefile.Case {
	c.Restorations = slices.Clone(c.Restorations)
	r := &c.Restorations[0]
	for to, field := range map[*string]prescription.Field{
		&c.Name: prescription.CaseNumber, &c.Dates.Written: prescription.Written, &c.Dates.Prepared: prescription.Prepared,
		&c.Dates.Due: prescription.Due, &c.Dates.Seat: prescription.Seat, &c.Prescriber.Name: prescription.PrescriberName,
		&c.Prescriber.Licence: prescription.PrescriberLicence, &c.Prescriber.Address: prescription.PrescriberAddress,
		&c.Prescriber.Phone: prescription.PrescriberPhone, &c.Laboratory.Name: prescription.LaboratoryName,
		&c.Laboratory.Address: prescription.LaboratoryAddress, &c.Laboratory.Licence: prescription.LaboratoryLicence,
		&c.Patient.Reference: prescription.PatientReference, &c.Patient.Name: prescription.PatientName,
		&r.Grade: prescription.Grade, &r.Shade.Guide: prescription.ShadeGuide, &r.Shade.Body: prescription.ShadeBody,
		&r.Shade.Stump: prescription.ShadeStump, &r.Contacts.Mesial: prescription.ContactMesial, &r.Contacts.Distal: prescription.ContactDistal,
		&r.Occlusion.Centric: prescription.Centric, &r.Occlusion.Excursions: prescription.Excursions,
	} {
		if field == f {
			*to = ""
		}
	}
	switch f {
	case prescription.Disinfected:
		c.Disinfection = casefile.Disinfection{}
	case prescription.Subcontracting:
		c.Subcontract = ""
	case prescription.Kind:
		r.Kind = ""
	case prescription.Material:
		r.Material = ""
	case prescription.Cement:
		r.Cement = ""
	case prescription.FinishLine:
		r.FinishLine = ""
	case prescription.MadeBy:
		r.MadeBy = ""
	case prescription.IfSpaceShort:
		r.IfSpaceShort = ""
	}
	return c
}

// asked are the fields of the state texts and of the European rule, written down apart
// from the table: each citation's own list.
var asked = map[string][]prescription.Field{
	"us-fl": {"laboratory.name", "laboratory.address", "laboratory.licence", "prescriber.name", "prescriber.address", "prescriber.licence", "patient.reference", "dates.written", "kind", "material"},
	"us-md": {"laboratory.name", "laboratory.address", "patient.reference", "dates.written", "kind", "material", "prescriber.name", "prescriber.licence"},
	"us-mt": {"laboratory.name", "laboratory.address", "patient.reference", "dates.written", "kind", "material", "grade", "prescriber.licence"},
	"us-wv": {"laboratory.name", "case", "material", "kind", "dates.written", "prescriber.address"},
	"us-ok": {"case"},
	"us-oh": {"laboratory.name", "patient.reference", "kind", "material", "dates.written", "prescriber.licence", "prescriber.address"},
	"us-sc": {
		"laboratory.name", "laboratory.address", "prescriber.name", "prescriber.address", "prescriber.phone", "prescriber.licence", "patient.name", "kind", "material",
		"occlusion.centric", "occlusion.excursions", "shade.body", "disinfection",
	},
	"us-mn": {},
	"us-tx": {},
	"us-ct": {},
	"us-ny": {},
	"us":    {"laboratory.name", "laboratory.address"},
	"eu":    {"dates.written", "prescriber.name", "prescriber.address", "patient.reference", "case", "laboratory.name", "laboratory.address", "kind", "material"},
}

// TestEveryRuleAsksItsFields: what a text names is asked with that text as its source, what
// only the other texts have in common with theirs, and nothing else is asked by law.
func TestEveryRuleAsksItsFields(t *testing.T) {
	rules := prescription.Rules()
	if len(rules) != len(asked) {
		t.Fatalf("%d rules, %d written down", len(rules), len(asked))
	}
	common := []prescription.Field{"dates.written", "prescriber.name", "prescriber.licence", "patient.reference", "kind", "material"}
	for _, r := range rules {
		c := whole()
		c.Rule = r.Key
		if m := prescription.Missing(c, prescription.Laboratory{}); len(m) > 0 {
			t.Errorf("%s: a whole prescription lacks %v", r.Key, m)
		}
		for _, f := range prescription.Fields() {
			want := ""
			switch {
			case slices.Contains(asked[r.Key], f):
				want = r.Source
			case slices.Contains(common, f) && r.Key != "eu":
				want = prescription.CoreSource
			}
			got := ""
			for _, l := range prescription.Missing(drop(c, f), prescription.Laboratory{}) {
				if l.Field == f && l.By == prescription.Law {
					got = l.Source
				}
			}
			if got != want || slices.Contains(r.Asks(), f) != (want != "") {
				t.Errorf("%s, without %s: asked by %q, want %q", r.Key, f, got, want)
			}
		}
	}
}

// TestWhatComesBack holds what a laboratory returns against the texts.
func TestWhatComesBack(t *testing.T) {
	for key, want := range map[string][]prescription.Return{
		"us-oh": {"materials", "place", "registration", "others", "disinfection"},
		"us-sc": {"origin", "materials", "maker", "disinfection"},
		"us-mn": {"materials", "origin"},
		"us-tx": {"origin"},
		"eu":    {"statement"},
		"us-fl": nil,
	} {
		if r, _ := prescription.RuleOf(key); !slices.Equal(r.Returns, want) {
			t.Errorf("%s: %v comes back, want %v", key, r.Returns, want)
		}
	}
}

// The retention of the texts that name one: trade's own check values.
func TestRetention(t *testing.T) {
	for key, years := range map[string]int{"us-fl": 4, "us-ok": 3, "us-mt": 2, "us-ct": 1, "eu": 10} {
		if r, ok := prescription.RuleOf(key); !ok || r.Years != years {
			t.Errorf("%s: %d years, want %d", key, r.Years, years)
		}
	}
	if r, _ := prescription.RuleOf("us-fl"); r.Title != "Laboratory Procedure Prescription" {
		t.Errorf("Florida's title is %q", r.Title)
	}
}

func TestLaboratoryAsksMore(t *testing.T) {
	c := drop(drop(whole(), prescription.ShadeGuide), prescription.Due)
	m := prescription.Missing(c, prescription.Laboratory{Requires: []prescription.Field{prescription.ShadeGuide}})
	if len(m) != 2 || m[0].Field != prescription.ShadeGuide || m[0].By != prescription.Lab || m[1].Field != prescription.Due || m[1].By != prescription.Good {
		t.Errorf("got %+v", m)
	}
}

func TestInHouseNeedsNoLaboratoryAndNoDates(t *testing.T) {
	c := whole()
	c.Rule = "us-fl"
	c.Restorations[0].MadeBy = casefile.InHouse
	c.Laboratory, c.Dates.Due, c.Dates.Seat, c.Disinfection = casefile.Laboratory{}, "", "", casefile.Disinfection{}
	if m := prescription.Missing(c, prescription.Laboratory{}); len(m) > 0 {
		t.Errorf("asked for: %v", m)
	}
}

func TestMetalNeedsNoColour(t *testing.T) {
	c := drop(drop(whole(), prescription.ShadeBody), prescription.ShadeGuide)
	if m := prescription.Missing(c, prescription.Laboratory{}); len(m) != 1 {
		t.Errorf("a ceramic without a colour: %v", m)
	}
	c.Restorations[0].Material = limit.NobleAlloy
	if m := prescription.Missing(c, prescription.Laboratory{}); len(m) != 0 {
		t.Errorf("a metal without a colour: %v", m)
	}
}

func TestStumpShade(t *testing.T) {
	thick, thin := 1.5, 1.2
	for _, tt := range []struct {
		m      limit.Material
		facial *float64
		want   bool
	}{
		{limit.LithiumDisilicate, nil, true},
		{limit.LithiumDisilicate, &thin, true},
		{limit.LithiumDisilicate, &thick, false},
		{limit.Zirconia5Y, &thin, true},
		{limit.Zirconia4Y, nil, true},
		{limit.Zirconia3Y, &thin, false},
		{limit.MetalCeramic, &thin, false},
		{limit.NobleAlloy, nil, false},
	} {
		c := whole()
		c.Restorations[0].Material, c.Restorations[0].FacialMM = tt.m, tt.facial
		got := slices.ContainsFunc(prescription.Missing(c, prescription.Laboratory{}), func(l prescription.Lack) bool { return l.Field == prescription.ShadeStump })
		if got != tt.want {
			t.Errorf("%s, facial %v: asked is %v", tt.m, tt.facial, got)
		}
	}
}

func TestPrefillKeepsWhatWasEntered(t *testing.T) {
	p := prescription.Practice{Name: "Mill Lane", Address: "1 Mill Lane", Phone: "555", Rule: "us-fl", Prescribers: []prescription.Prescriber{{Name: "Dr. A", Licence: "D-1"}, {Name: "Dr. B", Licence: "D-2"}}}
	lab := prescription.Laboratory{Key: "l", Name: "Lab", Address: "2 Mill Lane", Licence: "L-1", Contacts: "light", IfShort: casefile.Call, FilesOnly: true}
	c := casefile.Case{Restorations: []casefile.Restoration{{Tooth: casefile.CodeOf(26), Contacts: casefile.Contacts{Distal: "firm"}}}}
	got := prescription.Prefill(c, p, lab, "dr. b", "2026-05-04")
	r := got.Restorations[0]
	if got.Prescriber != (casefile.Prescriber{Name: "Dr. B", Licence: "D-2", Address: "Mill Lane, 1 Mill Lane", Phone: "555"}) {
		t.Errorf("prescriber %+v", got.Prescriber)
	}
	if got.Rule != "us-fl" || got.Dates.Written != "2026-05-04" || got.Laboratory.Licence != "L-1" || !got.Disinfection.Stated() {
		t.Errorf("got %+v", got)
	}
	if r.Contacts != (casefile.Contacts{Mesial: "light", Distal: "firm"}) || r.MadeBy != casefile.ByLaboratory || r.IfSpaceShort != casefile.Call || r.Material != "" {
		t.Errorf("restoration %+v", r)
	}
	if c.Restorations[0].MadeBy != "" {
		t.Error("the order that was given was altered")
	}
	again := prescription.Prefill(got, prescription.Practice{Rule: "eu"}, prescription.Laboratory{Key: "m", Name: "Other"}, "", "2026-06-01")
	if again.Rule != "us-fl" || again.Laboratory.Name != "Lab" || again.Dates.Written != "2026-05-04" {
		t.Errorf("what was entered was written over: %+v", again)
	}
	if m := prescription.Prefill(c, p, lab, "somebody", "2026-05-04"); m.Prescriber.Name != "" {
		t.Errorf("%q signs by guess", m.Prescriber.Name)
	}
}

func TestRouteOfAnOrder(t *testing.T) {
	p := prescription.Practice{Region: "US"}
	lab := prescription.Laboratory{CutOff: "15:00", Days: 5, DaysBy: map[limit.Material]int{limit.MetalCeramic: 8}, RushDays: 2, Back: 2}
	c := whole()
	for _, tt := range []struct {
		edit      func(*casefile.Case)
		days, out int
	}{
		{func(*casefile.Case) {}, 5, 0},
		{func(c *casefile.Case) { c.Restorations[0].Material = limit.MetalCeramic }, 8, 0},
		{func(c *casefile.Case) { c.Rush = true }, 2, 0},
		{func(c *casefile.Case) { c.Disinfection.NothingSent = no() }, 5, 2},
	} {
		c := c
		c.Restorations = slices.Clone(c.Restorations)
		tt.edit(&c)
		r, err := prescription.RouteFor(c, p, lab, 2, 2026, 2026)
		if err != nil || r.Days != tt.days || r.Out != tt.out || r.CutOff != 900 || r.Buffer != 2 {
			t.Errorf("%+v, %v; want %d days, %d out", r, err, tt.days, tt.out)
		}
	}
	if _, err := prescription.RouteFor(c, p, prescription.Laboratory{CutOff: "noon"}, 2, 2026, 2026); err == nil {
		t.Error("a cut-off that is no time of day is taken")
	}
}

func TestAlertsAtTheirSteps(t *testing.T) {
	all := casefile.Alerts()
	seen := map[casefile.Alert]bool{}
	for _, s := range prescription.Steps() {
		for _, a := range prescription.AlertsAt(s, all) {
			seen[a] = true
		}
	}
	for _, a := range all {
		if !seen[a] {
			t.Errorf("%s matters at no step", a)
		}
	}
	if got := prescription.AlertsAt(prescription.AtRetraction, []casefile.Alert{casefile.Latex, casefile.Adrenaline}); !slices.Equal(got, []casefile.Alert{casefile.Adrenaline}) {
		t.Errorf("at retraction: %v", got)
	}
}

func TestClashes(t *testing.T) {
	c := whole()
	if got := prescription.Clashes(c); len(got) > 0 {
		t.Errorf("a sound prescription: %v", got)
	}
	c.Alerts = []casefile.Alert{casefile.Nickel, casefile.Resin}
	c.Restorations[0].Material, c.Restorations[0].Cement = limit.MetalCeramic, limit.Adhesive
	c.Restorations[0].Shade = casefile.Shade{Body: "b", BeforeDrying: no()}
	want := []prescription.Why{prescription.NickelInMetal, prescription.ResinInCement, prescription.ShadeAfterDrying, prescription.ShadeNoGuide}
	got := prescription.Clashes(c)
	if len(got) != len(want) {
		t.Fatalf("got %v, want %v", got, want)
	}
	for i := range want {
		if got[i].Why != want[i] || got[i].Tooth != 26 {
			t.Errorf("got %v, want %v", got[i], want[i])
		}
	}
}

func TestWhatFitsTheRoom(t *testing.T) {
	table := limit.Default()
	rep := casefile.RestorationReport{}
	find := func(m limit.Material) prescription.Fit {
		for _, f := range prescription.Fitting(table, rep, "molar") {
			if f.Material == m {
				return f
			}
		}
		t.Fatalf("%s is not among them", m)
		return prescription.Fit{}
	}
	rep.Measures.ClearancePatch = casefile.NotMeasured("no bite")
	if f := find(limit.LithiumDisilicate); f.Fits != prescription.NotKnown {
		t.Errorf("nothing was measured: %+v", f)
	}
	row, _ := table.Clearance(limit.Selector{Material: limit.LithiumDisilicate, Zone: limit.NonFunctional, Class: "molar"})
	for _, tt := range []struct {
		more float64
		want prescription.Fits
	}{{0.2, prescription.There}, {0.05, prescription.Close}, {-0.05, prescription.Close}, {-0.2, prescription.Short}} {
		rep.Measures.ClearancePatch = casefile.Of(measure.Of(row.Flag.V+tt.more, 0.1, measure.MM))
		if f := find(limit.LithiumDisilicate); f.Fits != tt.want {
			t.Errorf("%+.2f mm beside the limit, ±0.1: %s, want %s", tt.more, f.Fits, tt.want)
		}
	}
}

func TestHashNamesWhatIsSaid(t *testing.T) {
	hash := func(c casefile.Case) string {
		h, err := prescription.Hash(c)
		if err != nil {
			t.Fatal(err)
		}
		return h
	}
	was := hash(whole())
	same := whole()
	same.Scans = []casefile.ScanFile{{File: "new.stl"}}
	if hash(same) != was {
		t.Error("a scan changes the prescription")
	}
	for _, f := range prescription.Fields() {
		if f != prescription.ShadeStump && hash(drop(whole(), f)) == was {
			t.Errorf("without %s it says the same", f)
		}
	}
}
