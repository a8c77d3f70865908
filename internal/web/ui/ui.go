// Package ui holds what the browser runs: the element <scan-view> that draws a case
// in three dimensions, bundled from TypeScript at build, and its words.
//
// It answers for drawing only. What is drawn is described by doc/formats/scene.md;
// every number comes from the server.
package ui

import (
	"embed"
	"io/fs"
)

//go:embed all:dist
var dist embed.FS

//go:embed words/*.json
var words embed.FS

// Dist returns the bundled scripts: scan-view.js, which a page loads as a module,
// scan-worker.js, which that starts, and notices.txt with the licences of what is in
// them. Before `make ui` it holds none of these; see Built.
func Dist() fs.FS {
	sub, err := fs.Sub(dist, "dist")
	if err != nil {
		panic("ui: dist is embedded") // the name is a constant
	}
	return sub
}

// Built reports whether the scripts are there. Without them a page shows the
// server's stills and says "run make".
func Built() bool {
	_, err := fs.Stat(Dist(), "scan-view.js")
	return err == nil
}

// Words returns the element's message table in a language, "en" or "de", as the JSON
// object that its attribute `words` takes. ok is false for any other language; the
// element then speaks English.
func Words(lang string) (table []byte, ok bool) {
	b, err := words.ReadFile("words/" + lang + ".json")
	return b, err == nil
}
