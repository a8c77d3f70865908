// Command bundle turns the TypeScript of a folder into what the browser runs: every
// entry of src named below becomes one script in dist, with nothing loaded from
// elsewhere, and dist/notices.txt holds the licences of what went into them.
//
//	cd tools && go run ./bundle ../internal/web/ui
package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// entries are the scripts that a page or a worker starts from.
var entries = []string{"chair.ts", "scan-view.ts", "scan-worker.ts"}

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: bundle FOLDER")
		os.Exit(2)
	}
	if err := bundle(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "bundle:", err)
		os.Exit(1)
	}
}

func bundle(dir string) error {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return err
	}
	var in []string
	for _, e := range entries {
		in = append(in, filepath.Join(dir, "src", e))
	}
	r := api.Build(api.BuildOptions{
		AbsWorkingDir: dir,
		EntryPoints:   in,
		Outdir:        filepath.Join(dir, "dist"),
		Bundle:        true,
		External:      []string{"/ui/*"}, // loaded when a page needs it
		Format:        api.FormatESModule,
		Target:        api.ES2022,
		Loader:        map[string]api.Loader{".css": api.LoaderText, ".glsl": api.LoaderText},
		LegalComments: api.LegalCommentsNone, // all of them stand in notices.txt
		Charset:       api.CharsetUTF8,

		MinifyWhitespace:  true,
		MinifySyntax:      true,
		MinifyIdentifiers: true,

		Metafile: true,
		Write:    true,
		LogLevel: api.LogLevelWarning,
	})
	if len(r.Errors) > 0 {
		return fmt.Errorf("%d errors", len(r.Errors))
	}
	notices, err := noticesOf(dir, r.Metafile)
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dir, "dist", "notices.txt"), []byte(notices), 0o644); err != nil {
		return err
	}
	for _, f := range r.OutputFiles {
		fmt.Printf("%s  %.0f kB\n", filepath.Base(f.Path), float64(len(f.Contents))/1000)
	}
	return nil
}

// noticesOf collects the licence of every package from which code went into a script.
func noticesOf(dir, meta string) (string, error) {
	var m struct {
		Inputs map[string]any `json:"inputs"`
	}
	if err := json.Unmarshal([]byte(meta), &m); err != nil {
		return "", err
	}
	var names []string
	for path := range m.Inputs {
		if name, ok := packageOf(path); ok && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	var b strings.Builder
	b.WriteString("The page contains code of these packages.\n")
	for _, name := range names {
		text, err := notice(filepath.Join(dir, "node_modules", filepath.FromSlash(name)))
		if err != nil {
			return "", fmt.Errorf("%s: %w", name, err)
		}
		b.WriteString("\n" + strings.Repeat("-", 72) + "\n" + text)
	}
	return b.String(), nil
}

// packageOf returns the package that a bundled file belongs to.
func packageOf(path string) (name string, ok bool) {
	const modules = "node_modules/"
	i := strings.LastIndex(path, modules)
	if i < 0 {
		return "", false
	}
	parts := strings.Split(path[i+len(modules):], "/")
	if strings.HasPrefix(parts[0], "@") && len(parts) > 1 {
		return parts[0] + "/" + parts[1], true
	}
	return parts[0], true
}

// notice is a package's name, version and the text of its licence; a package without
// one is an error, since its code may not be handed on.
func notice(dir string) (string, error) {
	data, err := os.ReadFile(filepath.Join(dir, "package.json"))
	if err != nil {
		return "", err
	}
	var p struct{ Name, Version, License string }
	if err := json.Unmarshal(data, &p); err != nil {
		return "", err
	}
	for _, name := range []string{"LICENSE", "LICENSE.md", "LICENSE.txt", "LICENCE", "license"} {
		text, err := os.ReadFile(filepath.Join(dir, name))
		if errors.Is(err, os.ErrNotExist) {
			continue
		}
		if err != nil {
			return "", err
		}
		return fmt.Sprintf("%s %s (%s)\n\n%s\n", p.Name, p.Version, p.License, strings.TrimSpace(string(text))), nil
	}
	return "", errors.New("no licence text")
}
