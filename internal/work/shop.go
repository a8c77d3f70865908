package work

import "log/slog"

// Shop is what a front needs to serve people.
type Shop struct {
	Desk    *Desk
	Version string
	Log     *slog.Logger // nil: none
}
