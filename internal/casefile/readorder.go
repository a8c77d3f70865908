package casefile

import (
	"fmt"
	"strings"

	"selvage/limit"
	"selvage/tooth"
)

// restorations reads the list, or the short form with tooth and restoration at the
// top level.
func (r *reader) restorations(o *object) []Restoration {
	items, paths := o.list("restorations")
	short, isShort := o.get("tooth")
	what, hasWhat := o.get("restoration")
	switch {
	case isShort && items != nil:
		r.fail("tooth", "give either restorations, or tooth and restoration, not both")
		return nil
	case isShort:
		return []Restoration{r.shortForm(short, what, hasWhat)}
	case len(items) == 0:
		r.fail(o.at("restorations"), "is missing; it names the prepared tooth")
		return nil
	}
	var out []Restoration
	for i, n := range items {
		ro := r.object(paths[i], n)
		res := r.restoration(ro)
		res.Tooth = r.mainTooth(ro, res)
		ro.done()
		for _, other := range out {
			if other.Tooth.Number() == res.Tooth.Number() && res.Tooth.Number().Valid() {
				r.fail(paths[i]+".tooth", "tooth %s is listed twice", res.Tooth.Code)
			}
		}
		out = append(out, res)
	}
	return out
}

// shortForm reads {"tooth": …, "restoration": …}; the restoration is a kind, or an
// object like those of the list, without its tooth.
func (r *reader) shortForm(t, what node, hasWhat bool) Restoration {
	var res Restoration
	switch {
	case hasWhat && what.kind == "text":
		res.Kind = r.kind(r.object("", node{kind: "object", names: []string{"restoration"}, fields: []node{what}}), "restoration")
	case hasWhat:
		o := r.object("restoration", what)
		res = r.restoration(o)
		o.done()
	}
	res.Tooth = r.toothCode("tooth", t)
	return res
}

func (r *reader) restoration(o *object) Restoration {
	res := Restoration{
		Kind:         r.kind(o, "kind"),
		Material:     word(o, "material", limit.Materials()),
		Cement:       word(o, "cement", limit.Cements()),
		FinishLine:   word(o, "finish_line", limit.FinishLines()),
		Grade:        o.text("grade"),
		MarginDepth:  word(o, "margin_depth", MarginDepths()),
		FacialMM:     o.number("facial_thickness_mm"),
		MadeBy:       word(o, "made_by", Makers()),
		IfSpaceShort: word(o, "if_space_short", SpaceChoices()),
		Notes:        o.text("notes"),
	}
	if n, ok := o.get("margin"); ok {
		res.Margin = r.byHand(r.object(o.at("margin"), n))
	}
	s := o.object("shade")
	res.Shade = Shade{
		Guide: s.text("guide"), Body: s.text("body"), Incisal: s.text("incisal"), Cervical: s.text("cervical"), Stump: s.text("stump"),
		Character: s.text("characterisation"), BeforeDrying: s.truth("before_drying"),
		Measured: r.colour(s, "measured"), StumpMeasured: r.colour(s, "stump_measured"),
	}
	c := o.object("contacts")
	res.Contacts = Contacts{c.text("mesial"), c.text("distal")}
	b := o.object("occlusion")
	res.Occlusion = Occlusion{
		Scheme: b.text("scheme"), Centric: b.text("centric"), Excursions: b.text("excursions"),
		OpposingMaterial: b.text("opposing_material"), Bruxism: b.truth("bruxism"),
	}
	for _, part := range []*object{s, c, b} {
		part.done()
	}
	items, paths := o.list("abutments")
	for i, n := range items {
		res.Abutments = append(res.Abutments, r.toothCode(paths[i], n))
	}
	if res.Kind == Bridge && len(res.Abutments) == 0 {
		r.fail(o.at("abutments"), "is missing; a bridge lists the teeth that carry it")
	}
	return res
}

// mainTooth reads the tooth of a restoration; that of a bridge may be left out and
// is then its first abutment.
func (r *reader) mainTooth(o *object, res Restoration) ToothCode {
	n, ok := o.get("tooth")
	switch {
	case ok:
		return r.toothCode(o.at("tooth"), n)
	case len(res.Abutments) > 0:
		return res.Abutments[0]
	default:
		r.fail(o.at("tooth"), `is missing; write {"system": "fdi", "code": "26"}`)
		return ToothCode{}
	}
}

// kind reads what is to be made. An implant crown, however it is spelt, is refused.
func (r *reader) kind(o *object, name string) Kind {
	n, ok := o.n.field(name)
	if ok && n.kind == "text" && strings.Contains(strings.ToLower(n.text), "implant") {
		o.read = append(o.read, name)
		r.fail(o.at(name), "an implant crown is not covered: this program measures prepared teeth")
		return ""
	}
	return word(o, name, Kinds())
}

// toothCode reads a tooth: an object with system and code, or a bare text, which is
// a Palmer designation if it looks like one and ISO 3950 otherwise.
func (r *reader) toothCode(path string, n node) ToothCode {
	var c ToothCode
	if n.kind == "text" {
		c = ToothCode{System: tooth.FDI, Code: strings.TrimSpace(n.text)}
		if _, err := tooth.FromPalmer(c.Code); err == nil {
			c.System = tooth.Palmer
		} else {
			r.assumed = append(r.assumed, fmt.Sprintf("tooth %s was read as an FDI (ISO 3950) number", c.Code))
		}
	} else {
		o := r.object(path, n)
		if o.n.kind != "object" {
			return c
		}
		c = ToothCode{System: word(o, "system", tooth.Systems()), Code: o.text("code")}
		o.done()
		if _, given := n.field("system"); !given {
			r.fail(path+".system", "is missing; say how the tooth is numbered: %s", listed(tooth.Systems()))
			return c
		}
		if c.System == "" {
			return c // already said
		}
		if v, _ := n.field("code"); v.kind != "text" && v.kind != "" {
			return c // already said
		}
		path += ".code"
	}
	if _, err := tooth.Parse(c.System, c.Code); err != nil {
		r.fail(path, "%v", err)
	}
	return c
}
