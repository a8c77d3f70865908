package work

import (
	"log/slog"
	"time"
)

// Shop is what a front needs to serve people.
type Shop struct {
	Desk    *Desk
	Version string
	Log     *slog.Logger // nil: none

	Secret []byte           // mixed into what is kept of people's numbers and passwords
	Secure bool             // the pages are served encrypted
	Now    func() time.Time // nil: the system's clock
}
