package web

import (
	"slices"
	"strconv"
	"strings"

	"selvage/internal/casefile"
	"selvage/internal/prescription"
	"selvage/internal/work"
	"selvage/limit"
	"selvage/shade"
)

// planField is one thing on the page of the prescription: how it is shown and set. Keys are
// those of case.json; words are "field." and the key.
type planField struct {
	name, group string
	kind        string // text, long, date, pick, yes, many, number
	words       string // before a choice, in the catalogue
	options     func(work.Profiles) []string
	get         func(*casefile.Case) string
	set         func(*casefile.Case, string) bool // false: this is no such thing
}

// planGroups are the parts of the page, in order.
var planGroups = []string{"what", "shade", "bite", "dates", "people", "goods"}

// first returns the restoration that the page is about; the case has one.
func first(c *casefile.Case) *casefile.Restoration {
	if len(c.Restorations) == 0 {
		c.Restorations = []casefile.Restoration{{Kind: casefile.Crown}}
	}
	return &c.Restorations[0]
}

// text is a field that any text fits, on a pointer to it.
func text(key, group, kind string, at func(*casefile.Case) *string) planField {
	return planField{
		name: key, group: group, kind: kind,
		get: func(c *casefile.Case) string { return *at(c) },
		set: func(c *casefile.Case, v string) bool {
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
func offered(key, group, words string, at func(*casefile.Case) *string, options ...string) planField {
	f := text(key, group, "pick", at)
	f.words, f.options = words, func(work.Profiles) []string { return options }
	return f
}

// pick is a field of a closed vocabulary.
func pick[T ~string](key, group, words string, all []T, at func(*casefile.Case) *T) planField {
	return planField{
		name: key, group: group, kind: "pick", words: words,
		options: func(work.Profiles) []string { return plain(all) },
		get:     func(c *casefile.Case) string { return string(*at(c)) },
		set: func(c *casefile.Case, v string) bool {
			if v != "" && !slices.Contains(all, T(v)) {
				return false
			}
			*at(c) = T(v)
			return true
		},
	}
}

// yes is a question that may be left open.
func yes(key, group string, at func(*casefile.Case) **bool) planField {
	return planField{
		name: key, group: group, kind: "pick", words: "yes.",
		options: func(work.Profiles) []string { return []string{"yes", "no"} },
		get: func(c *casefile.Case) string {
			if b := *at(c); b != nil {
				return map[bool]string{true: "yes", false: "no"}[*b]
			}
			return ""
		},
		set: func(c *casefile.Case, v string) bool {
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
func number(key, group string, low, high float64, at func(*casefile.Case) **float64) planField {
	return planField{
		name: key, group: group, kind: "number",
		get: func(c *casefile.Case) string {
			if p := *at(c); p != nil {
				return strconv.FormatFloat(*p, 'g', -1, 64)
			}
			return ""
		},
		set: func(c *casefile.Case, v string) bool {
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
func measured(key string, at func(*casefile.Case) **shade.Lab) planField {
	return planField{
		name: key, group: "shade", kind: "text",
		get: func(c *casefile.Case) string {
			if p := *at(c); p != nil {
				f := func(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
				return f(p.L) + " " + f(p.A) + " " + f(p.B)
			}
			return ""
		},
		set: func(c *casefile.Case, v string) bool {
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

// planFields are the fields of the page, in order.
var planFields = []planField{
	pick("kind", "what", "kind.", casefile.Kinds(), func(c *casefile.Case) *casefile.Kind { return &first(c).Kind }),
	pick("material", "what", "material.", limit.Materials(), func(c *casefile.Case) *limit.Material { return &first(c).Material }),
	text("grade", "what", "text", func(c *casefile.Case) *string { return &first(c).Grade }),
	pick("cement", "what", "cement.", limit.Cements(), func(c *casefile.Case) *limit.Cement { return &first(c).Cement }),
	pick("finish_line", "what", "finish.", limit.FinishLines(), func(c *casefile.Case) *limit.FinishLine { return &first(c).FinishLine }),
	pick("margin_depth", "what", "depth.", casefile.MarginDepths(), func(c *casefile.Case) *casefile.MarginDepth { return &first(c).MarginDepth }),
	pick("made_by", "what", "made.", casefile.Makers(), func(c *casefile.Case) *casefile.MadeBy { return &first(c).MadeBy }),
	text("notes", "what", "long", func(c *casefile.Case) *string { return &first(c).Notes }),

	yes("shade.before_drying", "shade", func(c *casefile.Case) **bool { return &first(c).Shade.BeforeDrying }),
	text("shade.guide", "shade", "text", func(c *casefile.Case) *string { return &first(c).Shade.Guide }),
	text("shade.body", "shade", "text", func(c *casefile.Case) *string { return &first(c).Shade.Body }),
	text("shade.incisal", "shade", "text", func(c *casefile.Case) *string { return &first(c).Shade.Incisal }),
	text("shade.cervical", "shade", "text", func(c *casefile.Case) *string { return &first(c).Shade.Cervical }),
	text("shade.stump", "shade", "text", func(c *casefile.Case) *string { return &first(c).Shade.Stump }),
	number("facial_thickness_mm", "shade", 0.1, 5, func(c *casefile.Case) **float64 { return &first(c).FacialMM }),
	measured("shade.measured", func(c *casefile.Case) **shade.Lab { return &first(c).Shade.Measured }),
	measured("shade.stump_measured", func(c *casefile.Case) **shade.Lab { return &first(c).Shade.StumpMeasured }),
	text("shade.characterisation", "shade", "long", func(c *casefile.Case) *string { return &first(c).Shade.Character }),

	offered("contacts.mesial", "bite", "contact.", func(c *casefile.Case) *string { return &first(c).Contacts.Mesial }, contactWords...),
	offered("contacts.distal", "bite", "contact.", func(c *casefile.Case) *string { return &first(c).Contacts.Distal }, contactWords...),
	offered("occlusion.centric", "bite", "centric.", func(c *casefile.Case) *string { return &first(c).Occlusion.Centric }, "full", "light", "none"),
	offered("occlusion.excursions", "bite", "excursions.", func(c *casefile.Case) *string { return &first(c).Occlusion.Excursions }, "guides", "free"),
	offered("occlusion.scheme", "bite", "scheme.", func(c *casefile.Case) *string { return &first(c).Occlusion.Scheme }, "canine", "group", "balanced"),
	offered("occlusion.opposing_material", "bite", "opposing.", func(c *casefile.Case) *string { return &first(c).Occlusion.OpposingMaterial }, "tooth", "ceramic", "metal", "composite", "denture"),
	yes("occlusion.bruxism", "bite", func(c *casefile.Case) **bool { return &first(c).Occlusion.Bruxism }),
	pick("if_space_short", "bite", "short.", casefile.SpaceChoices(), func(c *casefile.Case) *casefile.IfSpaceShort { return &first(c).IfSpaceShort }),

	text("dates.written", "dates", "date", func(c *casefile.Case) *string { return &c.Dates.Written }),
	text("dates.prepared", "dates", "date", func(c *casefile.Case) *string { return &c.Dates.Prepared }),
	text("dates.due", "dates", "date", func(c *casefile.Case) *string { return &c.Dates.Due }),
	text("dates.seat", "dates", "date", func(c *casefile.Case) *string { return &c.Dates.Seat }),
	rushField,

	lawField,
	text("patient.reference", "people", "text", func(c *casefile.Case) *string { return &c.Patient.Reference }),
	text("patient.name", "people", "text", func(c *casefile.Case) *string { return &c.Patient.Name }),
	text("prescriber.name", "people", "text", func(c *casefile.Case) *string { return &c.Prescriber.Name }),
	text("prescriber.licence", "people", "text", func(c *casefile.Case) *string { return &c.Prescriber.Licence }),
	text("prescriber.address", "people", "text", func(c *casefile.Case) *string { return &c.Prescriber.Address }),
	text("prescriber.phone", "people", "text", func(c *casefile.Case) *string { return &c.Prescriber.Phone }),
	text("prescriber.contact", "people", "text", func(c *casefile.Case) *string { return &c.Prescriber.Contact }),
	laboratoryField,
	text("laboratory.address", "people", "text", func(c *casefile.Case) *string { return &c.Laboratory.Address }),
	text("laboratory.licence", "people", "text", func(c *casefile.Case) *string { return &c.Laboratory.Licence }),

	alertField,
	yes("disinfection.nothing_sent", "goods", func(c *casefile.Case) **bool { return &c.Disinfection.NothingSent }),
	text("disinfection.agent", "goods", "text", func(c *casefile.Case) *string { return &c.Disinfection.Agent }),
	minutesField,
	text("disinfection.by", "goods", "text", func(c *casefile.Case) *string { return &c.Disinfection.By }),
	pick("subcontracting", "goods", "sub.", casefile.SubcontractChoices(), func(c *casefile.Case) *casefile.Subcontracting { return &c.Subcontract }),
}

var contactWords = []string{"light", "normal", "firm", "open"}

var rushField = planField{
	name: "rush", group: "dates", kind: "pick", words: "yes.",
	options: func(work.Profiles) []string { return []string{"yes"} },
	get:     func(c *casefile.Case) string { return map[bool]string{true: "yes"}[c.Rush] },
	set:     func(c *casefile.Case, v string) bool { c.Rush = v == "yes"; return v == "" || v == "yes" },
}

var lawField = planField{
	name: "rule", group: "people", kind: "pick",
	options: func(work.Profiles) []string {
		var out []string
		for _, r := range prescription.Rules() {
			out = append(out, r.Key)
		}
		return out
	},
	get: func(c *casefile.Case) string { return c.Rule },
	set: func(c *casefile.Case, v string) bool {
		_, ok := prescription.RuleOf(v)
		c.Rule = v
		return v == "" || ok
	},
}

// laboratoryField chooses a laboratory by its profile, or takes the name of another. What
// belongs to the one before goes with it.
var laboratoryField = planField{
	name: "laboratory.name", group: "people", kind: "text",
	options: func(p work.Profiles) []string {
		var out []string
		for _, l := range p.Offered() {
			out = append(out, l.Name)
		}
		return out
	},
	get: func(c *casefile.Case) string { return c.Laboratory.Name },
	set: func(c *casefile.Case, v string) bool {
		if v != c.Laboratory.Name {
			c.Laboratory = casefile.Laboratory{Name: v}
		}
		return len(v) <= 100
	},
}

var minutesField = planField{
	name: "disinfection.minutes", group: "goods", kind: "number",
	get: func(c *casefile.Case) string {
		if c.Disinfection.Minutes == 0 {
			return ""
		}
		return strconv.Itoa(c.Disinfection.Minutes)
	},
	set: func(c *casefile.Case, v string) bool {
		n, err := strconv.Atoi(v)
		c.Disinfection.Minutes = n
		return v == "" || err == nil && n >= 0 && n < 1000
	},
}

// alertField holds several words, joined by spaces.
var alertField = planField{
	name: "alerts", group: "goods", kind: "many", words: "alert.",
	options: func(work.Profiles) []string { return plain(casefile.Alerts()) },
	get:     func(c *casefile.Case) string { return strings.Join(plain(c.Alerts), " ") },
	set: func(c *casefile.Case, v string) bool {
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
