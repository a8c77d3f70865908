package work

import (
	"io/fs"
	"log/slog"
)

// Shop is what a front needs to serve people: the desk, and what the pages are made of.
type Shop struct {
	Desk    *Desk
	Bundle  fs.FS // the built scripts; nil or empty: the pages do without
	Version string
	Log     *slog.Logger // nil: none
}
