package casefile

import (
	"fmt"
	"slices"
	"strings"
)

// FieldError is a mistake in one field of case.json.
type FieldError struct {
	Field string // such as restorations[0].material
	What  string // what is wrong and what would be right
}

// Error returns one line that names the field.
func (e *FieldError) Error() string { return e.Field + ": " + e.What }

// reader collects what goes wrong and what is not known while a tree is read.
type reader struct {
	errs    []*FieldError
	unknown []string
	assumed []string
}

func (r *reader) fail(field, format string, args ...any) {
	r.errs = append(r.errs, &FieldError{Field: field, What: fmt.Sprintf(format, args...)})
}

// object reads the fields of one object and remembers which it has read.
type object struct {
	r    *reader
	path string // "" for the whole file
	n    node
	read []string
}

func (r *reader) object(path string, n node) *object {
	if n.kind != "object" {
		r.fail(path, "must be an object in braces, not %s", kindWords(n))
		return &object{r: r, path: path}
	}
	return &object{r: r, path: path, n: n}
}

func (o *object) at(name string) string {
	if o.path == "" {
		return name
	}
	return o.path + "." + name
}

// get returns the value of a field, absent if it is missing or null.
func (o *object) get(name string) (node, bool) {
	o.read = append(o.read, name)
	return o.n.field(name)
}

// text returns a text field without surrounding spaces; empty if absent.
func (o *object) text(name string) string {
	n, ok := o.get(name)
	if !ok {
		return ""
	}
	if n.kind != "text" {
		o.r.fail(o.at(name), "must be text in quotes, not %s", kindWords(n))
		return ""
	}
	return strings.TrimSpace(n.text)
}

// truth returns a true-or-false field; nil if absent.
func (o *object) truth(name string) *bool {
	n, ok := o.get(name)
	if !ok {
		return nil
	}
	if n.kind != "truth" {
		o.r.fail(o.at(name), "must be true or false, not %s", kindWords(n))
		return nil
	}
	return &n.truth
}

// object returns an object field; an empty one if absent.
func (o *object) object(name string) *object {
	n, ok := o.get(name)
	if !ok {
		return &object{r: o.r, path: o.at(name)}
	}
	return o.r.object(o.at(name), n)
}

// list returns the items of a list field and their paths.
func (o *object) list(name string) (items []node, paths []string) {
	n, ok := o.get(name)
	if !ok {
		return nil, nil
	}
	if n.kind != "list" {
		o.r.fail(o.at(name), "must be a list in square brackets, not %s", kindWords(n))
		return nil, nil
	}
	for i := range n.fields {
		paths = append(paths, fmt.Sprintf("%s[%d]", o.at(name), i))
	}
	return n.fields, paths
}

// done lists the fields that nobody read.
func (o *object) done() {
	for _, name := range o.n.names {
		if !slices.Contains(o.read, name) {
			o.r.unknown = append(o.r.unknown, o.at(name))
		}
	}
}

// word reads a text field that must be one of a list of words; empty if absent.
func word[T ~string](o *object, name string, allowed []T) T {
	w := T(o.text(name))
	if w == "" || slices.Contains(allowed, w) {
		return w
	}
	for _, a := range allowed {
		if strings.EqualFold(strings.NewReplacer(" ", "-", "_", "-").Replace(string(w)), string(a)) {
			o.r.fail(o.at(name), "%q is not known; write %q", string(w), string(a))
			return ""
		}
	}
	o.r.fail(o.at(name), "%q is not known; use one of %s", string(w), listed(allowed))
	return ""
}

func listed[T ~string](words []T) string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = string(w)
	}
	return strings.Join(out, ", ")
}

func kindWords(n node) string {
	switch n.kind {
	case "object":
		return "an object"
	case "list":
		return "a list"
	case "text":
		return fmt.Sprintf("the text %q", n.text)
	case "number":
		return "the number " + n.text
	case "truth":
		return fmt.Sprint(n.truth)
	default:
		return "nothing"
	}
}
