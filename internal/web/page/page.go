// Package page is what the rooms of the server share: who asks, in which words, and how a
// page is shown. Package web fills it in; a room adds its addresses with it and shows its
// own views.
package page

import (
	"errors"
	"net/http"
	"strconv"
	"strings"
	"time"

	"selvage/internal/people"
	"selvage/internal/work"
)

// Words is a catalogue of what the pages say.
type Words interface {
	T(key string, args ...any) string // with its %s filled in
	Language() string
}

// Shown is a page that is about to be shown.
type Shown struct {
	Name  string // of the template
	Title string
	Case  *work.Case // nil: it is about no case
	Tooth string     // of the case, in words
	View  any
}

// Site is the server as a room sees it.
type Site struct {
	Desk   *work.Desk
	Book   *people.Book
	Now    func() time.Time
	Page   func(func(http.ResponseWriter, *http.Request) error) http.HandlerFunc // shows what went wrong
	Show   func(w http.ResponseWriter, r *http.Request, s Shown) error
	Words  func(*http.Request) Words
	Person func(*http.Request) people.Person // without an id: nobody has shown who they are
	Actor  func(*http.Request) string        // as the ledger names who asks
	Names  func(*http.Request) (func(actor string) string, error)
	Tooth  func(Words, work.Case) string
}

// ErrNotThere says that an address names nothing.
var ErrNotThere = errors.New("there is nothing at this address")

// maxForm bounds a form without files.
const maxForm = 64 << 10

// Form reads a form without files.
func Form(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	return r.ParseForm()
}

// Back sends a browser on after a change, so that going back or reloading repeats nothing.
func Back(w http.ResponseWriter, r *http.Request, to string) error {
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// Join makes a path of parts.
func Join(parts ...string) string { return "/" + strings.Join(parts, "/") }

// Choice is one of several that can be tapped.
type Choice struct {
	Value, Name string
	Chosen      bool
}

// Minute writes when something was, on the practice's clock.
func Minute(t time.Time) string { return t.Local().Format("2006-01-02 15:04") }

// Or returns a text, or another where it is empty.
func Or(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

// Number reads a number of a form; 0: there is none.
func Number(r *http.Request, name string) int {
	n, err := strconv.Atoi(r.PostFormValue(name))
	if err != nil {
		return 0
	}
	return n
}
