package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"slices"

	"github.com/alecthomas/kong"
	"github.com/pelletier/go-toml/v2"
)

// settings are flags that stand in a file: each under its name, such as data = "D:/x".
type settings map[string]any

// loadSettings reads a file of settings.
func loadSettings(r io.Reader) (kong.Resolver, error) {
	var s settings
	if err := toml.NewDecoder(r).Decode(&s); err != nil {
		var de *toml.DecodeError
		if errors.As(err, &de) {
			line, _ := de.Position()
			return nil, fmt.Errorf("line %d: %w", line, err)
		}
		return nil, err
	}
	for k, v := range s {
		switch v.(type) {
		case map[string]any, []map[string]any:
			return nil, fmt.Errorf("%s: there are no sections, only lines such as listen = \"127.0.0.1:7330\"", k)
		}
	}
	return s, nil
}

// Validate refuses a setting that no flag has: it would be taken for set.
func (s settings) Validate(app *kong.Application) error {
	known := map[string]bool{}
	for _, verb := range app.Children {
		for _, f := range verb.Flags {
			known[f.Name] = true
		}
	}
	for k := range s {
		if !known[k] || k == "config" {
			return fmt.Errorf("there is no setting %q", k)
		}
	}
	return nil
}

// Resolve returns the value of a flag from the file. WHY not where the environment has
// one: it is nearer to who starts the program than a file is.
func (s settings) Resolve(_ *kong.Context, _ *kong.Path, f *kong.Flag) (any, error) {
	v, ok := s[f.Name]
	if !ok || slices.ContainsFunc(f.Envs, func(name string) bool { _, set := os.LookupEnv(name); return set }) {
		return nil, nil
	}
	if _, list := v.([]any); list {
		return v, nil
	}
	return fmt.Sprint(v), nil
}
