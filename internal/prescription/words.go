package prescription

import (
	"embed"
	"encoding/json"
	"fmt"
)

//go:embed words/*.json
var wordFiles embed.FS

// Languages lists the languages in which the words of a prescription are known, the first
// for who asks for none of them.
func Languages() []string { return []string{"en", "de"} }

// Words returns what the fields, choices, materials and teeth of a prescription are called
// in a language, by keys such as "field.shade.body" and "material.leucite".
func Words(lang string) (map[string]string, error) {
	data, err := wordFiles.ReadFile("words/" + lang + ".json")
	if err != nil {
		return nil, fmt.Errorf("prescription: no words in %q", lang)
	}
	var w map[string]string
	if err := json.Unmarshal(data, &w); err != nil {
		return nil, fmt.Errorf("prescription: words in %s: %w", lang, err)
	}
	return w, nil
}
