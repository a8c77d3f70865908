// Package sheet knows how each thing that a prescription says is shown and entered as text,
// for a page, a sheet of paper or another program: one table of fields, in the order in
// which people read them.
package sheet

import (
	"slices"
	"strconv"
	"strings"

	"selvage/internal/casefile"
	"selvage/internal/prescription"
	"selvage/limit"
	"selvage/shade"
)

// Kind is how a field is entered.
type Kind string

// The kinds.
const (
	Text   Kind = "text"
	Long   Kind = "long" // text of several lines
	Date   Kind = "date"
	Pick   Kind = "pick" // one of the options, or nothing
	Many   Kind = "many" // any of the options, joined by spaces
	Number Kind = "number"
)

// Field is one thing that a prescription says. Its words are "field." and its name.
type Field struct {
	Name    string // as in case.json
	Group   string
	Kind    Kind
	Words   string   // what stands before an option in the catalogue; empty: an option is its own word
	Options []string // that are offered
	Get     func(*casefile.Case) string
	Set     func(*casefile.Case, string) bool // false: this is no such thing
}

// Groups are the parts of the sheet, in order.
func Groups() []string { return []string{"what", "shade", "bite", "dates", "people", "goods"} }

// Fields lists the fields, in order.
func Fields() []Field { return fields }

// Of returns the field of a name.
func Of(name string) (Field, bool) {
	i := slices.IndexFunc(fields, func(f Field) bool { return f.Name == name })
	if i < 0 {
		return Field{}, false
	}
	return fields[i], true
}

// Contacts are the words that are offered for how firmly a crown touches its neighbour.
func Contacts() []string { return []string{"light", "normal", "firm", "open"} }

// first returns the restoration that the page is about; the case has one.
func first(c *casefile.Case) *casefile.Restoration {
	if len(c.Restorations) == 0 {
		c.Restorations = []casefile.Restoration{{Kind: casefile.Crown}}
	}
	return &c.Restorations[0]
}

// text is a field that any text fits, on a pointer to it.
func text(key, group string, kind Kind, at func(*casefile.Case) *string) Field {
	return Field{
		Name: key, Group: group, Kind: kind,
		Get: func(c *casefile.Case) string { return *at(c) },
		Set: func(c *casefile.Case, v string) bool {
			const most = 400
			if len(v) > most {
				return false
			}
			*at(c) = v
			return true
		},
	}
}

// offered is a text for which words are offered; others that were entered stay.
func offered(key, group, words string, at func(*casefile.Case) *string, options ...string) Field {
	f := text(key, group, Pick, at)
	f.Words, f.Options = words, options
	return f
}

// pick is a field of a closed vocabulary.
func pick[T ~string](key, group, words string, all []T, at func(*casefile.Case) *T) Field {
	return Field{
		Name: key, Group: group, Kind: Pick, Words: words,
		Options: plain(all),
		Get:     func(c *casefile.Case) string { return string(*at(c)) },
		Set: func(c *casefile.Case, v string) bool {
			if v != "" && !slices.Contains(all, T(v)) {
				return false
			}
			*at(c) = T(v)
			return true
		},
	}
}

// yes is a question that may be left open.
func yes(key, group string, at func(*casefile.Case) **bool) Field {
	return Field{
		Name: key, Group: group, Kind: Pick, Words: "yes.",
		Options: []string{"yes", "no"},
		Get: func(c *casefile.Case) string {
			if b := *at(c); b != nil {
				return map[bool]string{true: "yes", false: "no"}[*b]
			}
			return ""
		},
		Set: func(c *casefile.Case, v string) bool {
			b := v == "yes"
			*at(c) = &b
			if v == "" {
				*at(c) = nil
			}
			return v == "" || v == "yes" || v == "no"
		},
	}
}

// number is a decimal number within bounds, with a point or a comma.
func number(key, group string, low, high float64, at func(*casefile.Case) **float64) Field {
	return Field{
		Name: key, Group: group, Kind: Number,
		Get: func(c *casefile.Case) string {
			if p := *at(c); p != nil {
				return strconv.FormatFloat(*p, 'g', -1, 64)
			}
			return ""
		},
		Set: func(c *casefile.Case, v string) bool {
			if v == "" {
				*at(c) = nil
				return true
			}
			x, err := strconv.ParseFloat(strings.ReplaceAll(v, ",", "."), 64)
			*at(c) = &x
			return err == nil && x >= low && x <= high
		},
	}
}

// measured is a colour as an instrument gives it: three numbers.
func measured(key string, at func(*casefile.Case) **shade.Lab) Field {
	return Field{
		Name: key, Group: "shade", Kind: Text,
		Get: func(c *casefile.Case) string {
			if p := *at(c); p != nil {
				f := func(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
				return f(p.L) + " " + f(p.A) + " " + f(p.B)
			}
			return ""
		},
		Set: func(c *casefile.Case, v string) bool {
			parts := strings.Fields(v)
			if len(parts) == 0 {
				*at(c) = nil
				return true
			}
			var x [3]float64
			for i := range min(3, len(parts)) {
				var err error
				if x[i], err = strconv.ParseFloat(strings.ReplaceAll(parts[i], ",", "."), 64); err != nil {
					return false
				}
			}
			l := shade.Lab{L: x[0], A: x[1], B: x[2]}
			*at(c) = &l
			return len(parts) == 3 && l.Valid()
		},
	}
}

func plain[T ~string](all []T) []string {
	out := make([]string, len(all))
	for i, v := range all {
		out[i] = string(v)
	}
	return out
}

// fields are the fields of the sheet, in order.
var fields = []Field{
	pick("kind", "what", "kind.", casefile.Kinds(), func(c *casefile.Case) *casefile.Kind { return &first(c).Kind }),
	pick("material", "what", "material.", limit.Materials(), func(c *casefile.Case) *limit.Material { return &first(c).Material }),
	text("grade", "what", Text, func(c *casefile.Case) *string { return &first(c).Grade }),
	pick("cement", "what", "cement.", limit.Cements(), func(c *casefile.Case) *limit.Cement { return &first(c).Cement }),
	pick("finish_line", "what", "finish.", limit.FinishLines(), func(c *casefile.Case) *limit.FinishLine { return &first(c).FinishLine }),
	pick("margin_depth", "what", "depth.", casefile.MarginDepths(), func(c *casefile.Case) *casefile.MarginDepth { return &first(c).MarginDepth }),
	pick("made_by", "what", "made.", casefile.Makers(), func(c *casefile.Case) *casefile.MadeBy { return &first(c).MadeBy }),
	text("notes", "what", Long, func(c *casefile.Case) *string { return &first(c).Notes }),

	yes("shade.before_drying", "shade", func(c *casefile.Case) **bool { return &first(c).Shade.BeforeDrying }),
	text("shade.guide", "shade", Text, func(c *casefile.Case) *string { return &first(c).Shade.Guide }),
	text("shade.body", "shade", Text, func(c *casefile.Case) *string { return &first(c).Shade.Body }),
	text("shade.incisal", "shade", Text, func(c *casefile.Case) *string { return &first(c).Shade.Incisal }),
	text("shade.cervical", "shade", Text, func(c *casefile.Case) *string { return &first(c).Shade.Cervical }),
	text("shade.stump", "shade", Text, func(c *casefile.Case) *string { return &first(c).Shade.Stump }),
	number("facial_thickness_mm", "shade", 0.1, 5, func(c *casefile.Case) **float64 { return &first(c).FacialMM }),
	measured("shade.measured", func(c *casefile.Case) **shade.Lab { return &first(c).Shade.Measured }),
	measured("shade.stump_measured", func(c *casefile.Case) **shade.Lab { return &first(c).Shade.StumpMeasured }),
	text("shade.characterisation", "shade", Long, func(c *casefile.Case) *string { return &first(c).Shade.Character }),

	offered("contacts.mesial", "bite", "contact.", func(c *casefile.Case) *string { return &first(c).Contacts.Mesial }, Contacts()...),
	offered("contacts.distal", "bite", "contact.", func(c *casefile.Case) *string { return &first(c).Contacts.Distal }, Contacts()...),
	offered("occlusion.centric", "bite", "centric.", func(c *casefile.Case) *string { return &first(c).Occlusion.Centric }, "full", "light", "none"),
	offered("occlusion.excursions", "bite", "excursions.", func(c *casefile.Case) *string { return &first(c).Occlusion.Excursions }, "guides", "free"),
	offered("occlusion.scheme", "bite", "scheme.", func(c *casefile.Case) *string { return &first(c).Occlusion.Scheme }, "canine", "group", "balanced"),
	offered("occlusion.opposing_material", "bite", "opposing.", func(c *casefile.Case) *string { return &first(c).Occlusion.OpposingMaterial }, "tooth", "ceramic", "metal", "composite", "denture"),
	yes("occlusion.bruxism", "bite", func(c *casefile.Case) **bool { return &first(c).Occlusion.Bruxism }),
	pick("if_space_short", "bite", "short.", casefile.SpaceChoices(), func(c *casefile.Case) *casefile.IfSpaceShort { return &first(c).IfSpaceShort }),

	text("dates.written", "dates", Date, func(c *casefile.Case) *string { return &c.Dates.Written }),
	text("dates.prepared", "dates", Date, func(c *casefile.Case) *string { return &c.Dates.Prepared }),
	text("dates.due", "dates", Date, func(c *casefile.Case) *string { return &c.Dates.Due }),
	text("dates.seat", "dates", Date, func(c *casefile.Case) *string { return &c.Dates.Seat }),
	rushField,

	lawField,
	text("patient.reference", "people", Text, func(c *casefile.Case) *string { return &c.Patient.Reference }),
	text("patient.name", "people", Text, func(c *casefile.Case) *string { return &c.Patient.Name }),
	text("prescriber.name", "people", Text, func(c *casefile.Case) *string { return &c.Prescriber.Name }),
	text("prescriber.licence", "people", Text, func(c *casefile.Case) *string { return &c.Prescriber.Licence }),
	text("prescriber.address", "people", Text, func(c *casefile.Case) *string { return &c.Prescriber.Address }),
	text("prescriber.phone", "people", Text, func(c *casefile.Case) *string { return &c.Prescriber.Phone }),
	text("prescriber.contact", "people", Text, func(c *casefile.Case) *string { return &c.Prescriber.Contact }),
	laboratoryField,
	text("laboratory.address", "people", Text, func(c *casefile.Case) *string { return &c.Laboratory.Address }),
	text("laboratory.licence", "people", Text, func(c *casefile.Case) *string { return &c.Laboratory.Licence }),

	alertField,
	yes("disinfection.nothing_sent", "goods", func(c *casefile.Case) **bool { return &c.Disinfection.NothingSent }),
	text("disinfection.agent", "goods", Text, func(c *casefile.Case) *string { return &c.Disinfection.Agent }),
	minutesField,
	text("disinfection.by", "goods", Text, func(c *casefile.Case) *string { return &c.Disinfection.By }),
	pick("subcontracting", "goods", "sub.", casefile.SubcontractChoices(), func(c *casefile.Case) *casefile.Subcontracting { return &c.Subcontract }),
}

var rushField = Field{
	Name: "rush", Group: "dates", Kind: Pick, Words: "yes.",
	Options: []string{"yes"},
	Get:     func(c *casefile.Case) string { return map[bool]string{true: "yes"}[c.Rush] },
	Set:     func(c *casefile.Case, v string) bool { c.Rush = v == "yes"; return v == "" || v == "yes" },
}

var lawField = Field{
	Name: "rule", Group: "people", Kind: Pick,
	Options: ruleKeys(),
	Get:     func(c *casefile.Case) string { return c.Rule },
	Set: func(c *casefile.Case, v string) bool {
		_, ok := prescription.RuleOf(v)
		c.Rule = v
		return v == "" || ok
	},
}

func ruleKeys() []string {
	var out []string
	for _, r := range prescription.Rules() {
		out = append(out, r.Key)
	}
	return out
}

// laboratoryField chooses a laboratory by its profile, or takes the name of another. What
// belongs to the one before goes with it.
var laboratoryField = Field{
	Name: "laboratory.name", Group: "people", Kind: Text,
	Get: func(c *casefile.Case) string { return c.Laboratory.Name },
	Set: func(c *casefile.Case, v string) bool {
		if v != c.Laboratory.Name {
			c.Laboratory = casefile.Laboratory{Name: v}
		}
		return len(v) <= 100
	},
}

var minutesField = Field{
	Name: "disinfection.minutes", Group: "goods", Kind: Number,
	Get: func(c *casefile.Case) string {
		if c.Disinfection.Minutes == 0 {
			return ""
		}
		return strconv.Itoa(c.Disinfection.Minutes)
	},
	Set: func(c *casefile.Case, v string) bool {
		n, err := strconv.Atoi(v)
		c.Disinfection.Minutes = n
		return v == "" || err == nil && n >= 0 && n < 1000
	},
}

// alertField holds several words, joined by spaces.
var alertField = Field{
	Name: "alerts", Group: "goods", Kind: Many, Words: "alert.",
	Options: plain(casefile.Alerts()),
	Get:     func(c *casefile.Case) string { return strings.Join(plain(c.Alerts), " ") },
	Set: func(c *casefile.Case, v string) bool {
		c.Alerts = nil
		for _, w := range strings.Fields(v) {
			if !slices.Contains(casefile.Alerts(), casefile.Alert(w)) {
				return false
			}
			c.Alerts = append(c.Alerts, casefile.Alert(w))
		}
		return true
	},
}
