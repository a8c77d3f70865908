package prescription

import (
	"slices"

	"selvage/internal/casefile"
	"selvage/limit"
	"selvage/tooth"
)

// Asker is who asks for a field.
type Asker string

// The askers, in the order of their weight.
const (
	Law  Asker = "law"
	Lab  Asker = "laboratory"
	Good Asker = "trade" // without it the laboratory has to telephone
)

// Lack is one thing that the prescription does not say.
type Lack struct {
	Field  Field
	Tooth  tooth.Number // 0: of the whole order
	By     Asker
	Source string // of the law; empty else
}

// Key names a lack, for what is said about it.
func (l Lack) Key() string {
	if l.Tooth == 0 {
		return string(l.Field)
	}
	return l.Tooth.String() + " " + string(l.Field)
}

// good are the fields without which work is done by guess: trade's own, of a prescription
// to a laboratory and of one tooth.
var good = []Field{
	Prepared, Due, Seat, LaboratoryName, Disinfected,
	Cement, FinishLine, MadeBy, ShadeBody, ContactMesial, ContactDistal, IfSpaceShort,
}

// Missing lists what c lacks under its rule, by the wishes of the laboratory and by the
// trade, each field once, by who asks with most weight. A crown that is made in the house
// needs no laboratory and no dates; a metal needs no colour.
func Missing(c casefile.Case, lab Laboratory) []Lack {
	var out []Lack
	have := map[string]bool{}
	ask := func(by Asker, source string, fields []Field) {
		for _, f := range fields {
			for _, l := range lacks(c, f) {
				if !have[l.Key()] {
					have[l.Key()] = true
					l.By, l.Source = by, source
					out = append(out, l)
				}
			}
		}
	}
	if r, ok := RuleOf(c.Rule); ok {
		ask(Law, r.Source, r.Need)
		if r.Core {
			ask(Law, CoreSource, core)
		}
	} else {
		ask(Law, "", core)
	}
	ask(Lab, "", lab.Requires)
	ask(Good, "", good)
	for _, r := range c.Restorations {
		if StumpAsked(r) && r.Shade.Stump == "" && !have[Lack{Field: ShadeStump, Tooth: r.Tooth.Number()}.Key()] {
			out = append(out, Lack{Field: ShadeStump, Tooth: r.Tooth.Number(), By: Good})
		}
	}
	slices.SortStableFunc(out, func(a, b Lack) int { return rank(a.By) - rank(b.By) })
	return out
}

func rank(a Asker) int { return slices.Index([]Asker{Law, Lab, Good}, a) }

// lacks returns where f is not given though it applies.
func lacks(c casefile.Case, f Field) []Lack {
	if slices.Contains(ofOrder, f) {
		if order(c, f) != "" || InHouse(c) && slices.Contains(toLaboratory, f) {
			return nil
		}
		return []Lack{{Field: f}}
	}
	var out []Lack
	for _, r := range c.Restorations {
		shadeOfMetal := (f == ShadeBody || f == ShadeGuide) && !coloured(r.Material)
		if ofRestoration(r, f) == "" && !shadeOfMetal {
			out = append(out, Lack{Field: f, Tooth: r.Tooth.Number()})
		}
	}
	return out
}

// toLaboratory are the fields that only an order to a laboratory needs.
var toLaboratory = []Field{LaboratoryName, LaboratoryAddress, LaboratoryLicence, Due, Seat, Disinfected, Subcontracting}

// InHouse reports whether everything is made in the house.
func InHouse(c casefile.Case) bool {
	return len(c.Restorations) > 0 && !slices.ContainsFunc(c.Restorations, func(r casefile.Restoration) bool { return r.MadeBy != casefile.InHouse })
}

// showsThrough are the ceramics through which the colour of the tooth below may show.
var showsThrough = []limit.Material{limit.Zirconia4Y, limit.Zirconia5Y, limit.LithiumDisilicate, limit.Leucite, limit.LayeredCeramic}

// opaqueFrom is the facial thickness from which they hide it, mm.
const opaqueFrom = 1.5

// StumpAsked reports whether the colour of the prepared tooth matters: a ceramic that lets
// it show, planned thinner than 1.5 mm on the facial side, or of a thickness not known.
func StumpAsked(r casefile.Restoration) bool {
	return slices.Contains(showsThrough, r.Material) && (r.FacialMM == nil || *r.FacialMM < opaqueFrom)
}
