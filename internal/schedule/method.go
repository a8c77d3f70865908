package schedule

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"time"

	"github.com/pelletier/go-toml/v2"
)

// Method is a way to open the sulcus, with the times that a practice holds it to.
type Method struct {
	Key    string // as in "cord-aluminium-chloride"
	Name   string // what people call it
	Cord   bool   // cords are packed and counted
	Cap    bool   // a cap is seated and counted
	Least  time.Duration
	Most   time.Duration // 0: none is given
	Warn   string        // said when it is chosen
	Source string
}

//go:embed methods.toml
var shipped []byte

// Default returns the shipped methods.
func Default() []Method {
	m, err := Parse(shipped)
	if err != nil {
		panic("schedule: " + err.Error()) // it is built in, and a test reads it
	}
	return m
}

// Shipped returns the text of the shipped table, for a practice to edit.
func Shipped() []byte { return bytes.Clone(shipped) }

// Parse reads a table of methods from TOML.
func Parse(data []byte) ([]Method, error) {
	var t struct {
		Method []struct {
			Key     string  `toml:"key"`
			Name    string  `toml:"name"`
			Cord    bool    `toml:"cord"`
			Cap     bool    `toml:"cap"`
			LeastS  float64 `toml:"least_s"`
			MostS   float64 `toml:"most_s"`
			Warning string  `toml:"warn"`
			Source  string  `toml:"source"`
		} `toml:"method"`
	}
	if err := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields().Decode(&t); err != nil {
		return nil, fmt.Errorf("table of retraction: %w", err)
	}
	if len(t.Method) == 0 {
		return nil, errors.New("table of retraction: it names no method")
	}
	seen := map[string]bool{}
	out := make([]Method, 0, len(t.Method))
	for _, m := range t.Method {
		switch {
		case m.Key == "" || m.Name == "":
			return nil, errors.New("table of retraction: a method has no key or no name")
		case seen[m.Key]:
			return nil, fmt.Errorf("table of retraction: %s stands twice", m.Key)
		case m.LeastS < 0 || m.MostS < 0 || m.MostS > 0 && m.MostS < m.LeastS || m.LeastS > 3600 || m.MostS > 3600:
			return nil, fmt.Errorf("table of retraction: %s: the times make no sense", m.Key)
		case m.Source == "":
			return nil, fmt.Errorf("table of retraction: %s names no source", m.Key)
		}
		seen[m.Key] = true
		out = append(out, Method{
			Key: m.Key, Name: m.Name, Cord: m.Cord, Cap: m.Cap, Warn: m.Warning, Source: m.Source,
			Least: time.Duration(m.LeastS * float64(time.Second)), Most: time.Duration(m.MostS * float64(time.Second)),
		})
	}
	return out, nil
}
