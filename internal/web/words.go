package web

import (
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"
	"net/http"
	"regexp"
	"strings"

	"selvage/internal/prescription"
	"selvage/internal/report"
	"selvage/internal/web/problems"
	"selvage/internal/work"
)

//go:embed words/*.json
var wordFiles embed.FS

// Words is a catalogue of what the pages say.
type Words struct {
	Lang string
	text map[string]string
}

// languages are the catalogues, the first for who asks for none of them.
var languages = []string{"en", "de"}

// load reads a catalogue: every file of the language, en.json and settings.en.json.
func load(lang string) (Words, error) {
	known, err := prescription.Words(lang)
	w := Words{Lang: lang, text: known}
	if err != nil {
		return w, err
	}
	files, err := fs.Glob(wordFiles, "words/*"+lang+".json")
	if err != nil {
		return w, err
	}
	for _, f := range files {
		data, err := wordFiles.ReadFile(f)
		if err != nil {
			return w, err
		}
		if err := json.Unmarshal(data, &w.text); err != nil {
			return w, fmt.Errorf("%s: %w", f, err)
		}
	}
	return w, nil
}

// T returns a text, with its %s filled in; a key that is not there shows itself.
func (w Words) T(key string, args ...any) string {
	s, ok := w.text[key]
	if !ok {
		return "[" + key + "]"
	}
	if len(args) > 0 {
		return fmt.Sprintf(s, args...)
	}
	return s
}

// Language is the catalogue's language.
func (w Words) Language() string { return w.Lang }

// Said puts a sentence of the program into the reader's language.
func (w Words) Said(english string) string { return problems.In(w.Lang).Say(english) }

// Limits is the catalogue of where limits and times come from, and what they are about.
func (w Words) Limits() *report.Words { return reportWords(w) }

// problem returns a problem in one line.
func (w Words) problem(p *work.Problem) string {
	what, try := p.In(w.Said)
	if try == "" {
		return what
	}
	return what + "; " + try
}

// number writes the numbers of a text with the language's decimal sign.
func (w Words) number(text string) string {
	if w.Lang != "de" {
		return text
	}
	return decimals.ReplaceAllString(text, "$1,$2")
}

// decimals are decimal points between digits.
var decimals = regexp.MustCompile(`([0-9])\.([0-9])`)

// wordsFor returns the catalogue that a browser asks for: the cookie's, else the first
// that its settings name.
func wordsFor(r *http.Request) Words {
	asked := r.Header.Get("Accept-Language")
	if c, err := r.Cookie("language"); err == nil {
		asked = c.Value
	}
	for _, part := range strings.Split(asked, ",") {
		lang, _, _ := strings.Cut(strings.TrimSpace(strings.ToLower(part)), ";")
		lang, _, _ = strings.Cut(lang, "-")
		for _, l := range languages {
			if l == lang {
				if w, err := load(l); err == nil {
					return w
				}
			}
		}
	}
	w, err := load(languages[0])
	if err != nil {
		panic("web: " + err.Error()) // it is built in, and a test reads it
	}
	return w
}
