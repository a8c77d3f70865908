// Package problems puts what the program says about something that cannot be done into the
// words of a page. The program says it in English; the English sentence, with %s for what
// differs from time to time, is the key of the catalogue.
package problems

import (
	"embed"
	"encoding/json"
	"regexp"
	"slices"
	"strings"
	"sync"
)

//go:embed *.json
var files embed.FS

// Catalogue is what a language says.
type Catalogue struct {
	whole    map[string]string
	patterns []pattern // the longest first
}

type pattern struct {
	is  *regexp.Regexp
	say string
}

// In returns the catalogue of a language; one that there is none of says everything in
// English.
func In(lang string) Catalogue { return all()[lang] }

var all = sync.OnceValue(func() map[string]Catalogue {
	out := map[string]Catalogue{}
	for _, lang := range []string{"en", "de"} {
		data, err := files.ReadFile(lang + ".json")
		if err != nil {
			panic("problems: " + err.Error()) // it is built in, and a test reads it
		}
		c := Catalogue{whole: map[string]string{}}
		if err := json.Unmarshal(data, &c.whole); err != nil {
			panic("problems: " + lang + ": " + err.Error())
		}
		var keys []string
		for k := range c.whole { // sorted below
			if strings.Contains(k, "%s") {
				keys = append(keys, k)
			}
		}
		slices.SortFunc(keys, func(a, b string) int {
			if len(a) != len(b) {
				return len(b) - len(a)
			}
			return strings.Compare(a, b)
		})
		for _, k := range keys {
			is := "^" + strings.ReplaceAll(regexp.QuoteMeta(k), "%s", "(.+?)") + "$"
			c.patterns = append(c.patterns, pattern{regexp.MustCompile(is), c.whole[k]})
		}
		out[lang] = c
	}
	return out
})

// Has reports whether the catalogue knows a sentence, or its pattern.
func (c Catalogue) Has(english string) bool { _, ok := c.find(english); return ok }

// Say returns a sentence of the program in the language. Of what the catalogue does not
// know whole it says the parts between "; ", and after the name of a file; the rest stays
// as it is.
func (c Catalogue) Say(english string) string {
	if s, ok := c.find(english); ok {
		return s
	}
	if a, b, ok := cutLast(english, "; "); ok {
		return c.Say(a) + "; " + c.Say(b)
	}
	if a, b, ok := strings.Cut(english, ": "); ok {
		return a + ": " + c.Say(b)
	}
	return english
}

func (c Catalogue) find(english string) (string, bool) {
	if s, ok := c.whole[english]; ok {
		return s, true
	}
	for _, p := range c.patterns {
		m := p.is.FindStringSubmatch(english)
		if m == nil {
			continue
		}
		say := p.say
		for _, part := range m[1:] {
			if s, ok := c.whole[part]; ok {
				part = s
			}
			say = strings.Replace(say, "%s", part, 1)
		}
		return say, true
	}
	return "", false
}

func cutLast(s, sep string) (before, after string, ok bool) {
	i := strings.LastIndex(s, sep)
	if i < 0 {
		return s, "", false
	}
	return s[:i], s[i+len(sep):], true
}
