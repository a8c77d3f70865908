package report

import (
	"bytes"
	"fmt"
	"html/template"
)

// Parts is a report in pieces, for a page that puts its own things between them. They
// need the style of [CSS]. Pictures are linked where [Figure.URL] is set.
type Parts struct {
	Title   string        // the verdict and the case, for the page's title
	Defs    template.HTML // patterns that the drawings use; once on a page
	Answer  template.HTML // the verdict, the worst spot, and what else is to be done
	Then    template.HTML // every other finding that acts
	Dentist template.HTML // one number and one picture per tooth
	Rest    template.HTML // notes, measures, what does not matter, files, limits, cautions
}

// CSS returns the style of the report.
func CSS() string { return pageCSS }

// Pieces makes the parts of a report.
func Pieces(in Input) (Parts, error) {
	t, err := templates()
	if err != nil {
		return Parts{}, err
	}
	page := in.page()
	out := Parts{Title: page.Title}
	for _, p := range []struct {
		name string
		to   *template.HTML
	}{{"defs", &out.Defs}, {"answer", &out.Answer}, {"then", &out.Then}, {"dentist", &out.Dentist}, {"rest", &out.Rest}} {
		var b bytes.Buffer
		if err := t.ExecuteTemplate(&b, p.name, page); err != nil {
			return Parts{}, fmt.Errorf("report part %s: %w", p.name, err)
		}
		*p.to = template.HTML(b.String()) // made by the template, which escapes
	}
	return out, nil
}
