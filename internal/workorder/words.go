package workorder

import (
	"embed"
	"encoding/json"
	"fmt"
	"maps"
	"regexp"
	"strconv"

	"selvage/internal/prescription"
)

//go:embed words/*.json
var wordFiles embed.FS

// words are the texts of one language.
type words map[string]string

func loadWords(lang string) (words, error) {
	if lang == "" {
		lang = prescription.Languages()[0]
	}
	w, err := prescription.Words(lang)
	if err != nil {
		return nil, err
	}
	data, err := wordFiles.ReadFile("words/" + lang + ".json")
	if err != nil {
		return nil, err
	}
	var own map[string]string
	if err := json.Unmarshal(data, &own); err != nil {
		return nil, fmt.Errorf("work order: words in %s: %w", lang, err)
	}
	maps.Copy(w, own)
	return w, nil
}

// t returns a text; a key that is not there shows itself.
func (w words) t(key string, args ...any) string {
	s, ok := w[key]
	if !ok {
		return "[" + key + "]"
	}
	if len(args) > 0 {
		return fmt.Sprintf(s, args...)
	}
	return s
}

// number writes the numbers of a text with the language's decimal sign.
func (w words) number(text string) string {
	return decimals.ReplaceAllString(text, "${1}"+w["paper.decimal"]+"${2}")
}

// decimals are decimal points between digits.
var decimals = regexp.MustCompile(`([0-9])\.([0-9])`)

// or returns the words of a choice, or somebody's own word as it stands; nothing for
// nothing.
func (w words) or(prefix, value string) string {
	if value == "" {
		return ""
	}
	if s, ok := w[prefix+value]; ok {
		return s
	}
	return value
}

func itoa(n int) string { return strconv.Itoa(n) }
