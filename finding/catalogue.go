package finding

import (
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"selvage/limit"
	"selvage/measure"
	"selvage/tooth"
)

// Catalogue holds every word of findings and verdicts in one language. Texts are
// keyed by code and variant, "clearance-low.reduced.text", and hold names in
// braces, {value}, that are filled in. A second language is a second Catalogue
// with the same keys; [Catalogue.Lacks] says which are wanting.
type Catalogue struct {
	Language string            // such as en
	Decimal  string            // decimal sign
	Numbers  tooth.System      // how teeth are named; empty: in words
	Texts    map[string]string // looked up by key, never walked for a result
	Words    map[string]string // single words: surfaces, roles, materials, fields; a word without entry stands as it is
}

// Lacks returns the keys of English that c has no text for, sorted.
func (c Catalogue) Lacks() []string {
	var out []string
	for _, k := range sortedKeys(English().Texts) {
		if _, ok := c.Texts[k]; !ok {
			out = append(out, k)
		}
	}
	return out
}

// text returns the text of a key with names filled in. A name without a value
// disappears together with a doubled space.
func (c Catalogue) text(key string, words map[string]string) string {
	return fill(c.Texts[key], words)
}

func (c Catalogue) line(key, spot string) string {
	return c.text(key, map[string]string{"spot": spot})
}

func (c Catalogue) more(spots string, n int) string {
	return c.text("line.more", map[string]string{"spot": spots, "count": short(float64(n), c.Decimal)})
}

// fill replaces {name} by its value. Braces never nest.
func fill(s string, words map[string]string) string {
	var b strings.Builder
	for {
		i := strings.IndexByte(s, '{')
		k := strings.IndexByte(s, '}')
		if i < 0 || k < i {
			b.WriteString(s)
			break
		}
		b.WriteString(s[:i])
		b.WriteString(words[s[i+1:k]])
		s = s[k+1:]
	}
	return strings.TrimSpace(strings.ReplaceAll(b.String(), "  ", " "))
}

func (c Catalogue) word(w string) string {
	if t, ok := c.Words[w]; ok {
		return t
	}
	return w
}

func (c Catalogue) role(r Role) string                             { return c.word("role." + string(r)) }
func (c Catalogue) material(m limit.Material) string               { return c.word(string(m)) }
func (c Catalogue) finishLine(f limit.FinishLine) string           { return c.word(string(f)) }
func (c Catalogue) number(v float64) string                        { return short(v, c.Decimal) }
func (c Catalogue) show(v measure.Value) string                    { return show(v, c.Decimal) }
func (c Catalogue) surface(s tooth.Surface, n tooth.Number) string { return c.word(s.Word(n)) }

// measure names a measure of the report in plain words.
func (c Catalogue) measure(name string) string { return c.word("measure." + name) }

// field names a field of case.json in plain words.
func (c Catalogue) field(name string) string { return c.word("field." + name) }

// tooth names a tooth in the numbering that the catalogue uses, with the article
// that it takes inside a sentence.
func (c Catalogue) tooth(n tooth.Number) string {
	if !n.Valid() {
		return c.word("no tooth")
	}
	switch c.Numbers {
	case tooth.FDI:
		return c.word("tooth") + " " + n.String()
	case tooth.Universal:
		return c.word("tooth") + " " + short(float64(n.Universal()), c.Decimal)
	case tooth.Palmer:
		return n.Palmer()
	default:
		return c.word("the " + n.Name())
	}
}

// write fills the texts of a finding from its draft.
func (c Catalogue) write(f *Finding, d draft) {
	w := map[string]string{
		"value": c.show(d.value), "amount": showPlain(d.value, c.Decimal), "tooth": c.tooth(d.tooth),
		"scan": c.role(f.Scan), "surface": c.surface(d.surface, d.tooth), "side": c.side(d),
	}
	if f.HasLimit {
		w["limit"] = short(f.Limit, c.Decimal) + unitWord(d.value.Unit)
		asks := "asks"
		if d.call == Advised {
			asks = "advises"
		}
		w["asks"] = c.text("limit."+asks+"."+string(d.row.Bad), w)
	}
	for k, v := range d.words {
		w[k] = v
	}
	w["spot"] = c.spot(d, w)
	if d.surface != "" {
		w["face"] = c.word(d.surface.Spot(d.tooth))
		w["on"] = c.text("on", w)
	}
	key := string(d.code)
	if d.variant != "" {
		key += "." + d.variant
	}
	f.Text = capital(c.text(key+".text", w))
	f.Advice = capital(c.text(key+".advice", w))
	if d.appr != nil && (f.Action == ScanAgain || f.Action == OpenMargin) {
		f.Advice += " " + c.hold(*d.appr, d.prepared)
	}
	if d.call == TooClose {
		f.Text += " " + c.text("too-close", w)
	}
	f.Spot = w["spot"]
	for _, k := range []string{key, string(d.code)} {
		if t, ok := c.Texts[k+".spot"]; ok {
			f.Spot = fill(t, w)
			break
		}
	}
}

// capital makes the first letter of a sentence a capital.
func capital(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[size:]
}

// spot returns the words for the place of a draft: those of its key with the side
// filled in, else the side alone.
func (c Catalogue) spot(d draft, w map[string]string) string {
	if d.spot == "" {
		return c.word(d.surface.Spot(d.tooth))
	}
	key := "place." + d.spot
	if d.surface == "" {
		if _, ok := c.Texts[key+".whole"]; ok {
			key += ".whole"
		}
	}
	return c.text(key, w)
}

// side says on which side of the prepared tooth a neighbour stands.
func (c Catalogue) side(d draft) string {
	if !d.prepared.Valid() || d.tooth == d.prepared {
		return ""
	}
	if m, ok := d.prepared.Mesial(); ok && m == d.tooth {
		return c.word(string(tooth.Mesial))
	}
	if m, ok := d.prepared.Distal(); ok && m == d.tooth {
		return c.word(string(tooth.Distal))
	}
	return c.tooth(d.tooth)
}

// straight is the tilt in radians below which nobody sees that a tip is tilted:
// 10°.
const straight = 10 * math.Pi / 180

// shown returns the approach as a finding carries it: nil where there is none.
func (a *Approach) shown() *Approach {
	if a == nil || a.Bar != "" {
		return nil
	}
	return a
}

// hold says in one sentence how to hold the scanner tip: how far it is tilted, from
// which side it looks, and by which movement of the hand it gets there; or what to do
// first where no direction sees the spot, or not all of it.
func (c Catalogue) hold(a Approach, n tooth.Number) string {
	if a.Bar != "" {
		return c.text("hold.none."+string(a.Bar), nil)
	}
	s := c.text("hold.straight", nil)
	if !a.upright() {
		s = c.text("hold.tilted", map[string]string{
			"tilt": degrees(a.Tilt), "from": c.surface(a.From, n), "move": c.move(a.From, n),
		})
	}
	for _, t := range a.Then {
		key := "hold.then.tilted"
		if t.upright() {
			key = "hold.then.straight"
		}
		s = strings.TrimSuffix(s, ".") + c.text(key, map[string]string{"tilt": degrees(t.Tilt), "from": c.surface(t.From, n)})
	}
	if a.Seen > 0 {
		s += " " + c.text("hold.part", nil)
	}
	return s
}

// upright reports whether the tip stands straight over the tooth.
func (a Approach) upright() bool {
	return a.Tilt < straight || a.From == "" || a.From == tooth.Occlusal
}

// move says the movement of the hand that brings the tip from straight above to where
// it looks from a side. Across the row the handle rolls about its own length; along
// it the handle sinks or rises. A front tooth is approached across the handle: there
// the two change places.
func (c Catalogue) move(from tooth.Surface, n tooth.Number) string {
	var parts []string
	side := string(from)
	for _, s := range []struct{ within, key string }{
		{"buccal", "cheek"}, {"lingual", "tongue"}, {"mesi", "mesial"}, {"dist", "distal"},
	} {
		if !strings.Contains(side, s.within) {
			continue
		}
		key := "hold.move." + s.key
		switch {
		case n.Front():
			key += ".front"
		case s.key == "tongue" && n.Jaw() == tooth.Upper:
			key += ".upper"
		}
		parts = append(parts, c.text(key, nil))
	}
	return strings.Join(parts, " "+c.text("hold.and", nil)+" ")
}
