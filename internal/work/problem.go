package work

import "errors"

// ErrNoCase says that no case has an id.
var ErrNoCase = errors.New("there is no such case")

// Problem says why something cannot be done, in words for the person who asked.
type Problem struct{ What, Try string }

// Error returns one line.
func (p *Problem) Error() string {
	if p.Try == "" {
		return p.What
	}
	return p.What + "; " + p.Try
}
