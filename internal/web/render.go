package web

import (
	"bytes"
	"net/http"
	"strings"

	"selvage/internal/web/ui"
)

// frame is what every page needs.
type frame struct {
	W       Words
	Title   string
	Version string
	Script  bool // the scripts are built
}

func (s *Server) frame(r *http.Request) frame {
	return frame{W: wordsFor(r), Version: s.version, Script: ui.Built()}
}

// failView is the page of an error.
type failView struct {
	frame
	Status    int
	What, Try string
}

// render writes a page whole or not at all.
func (s *Server) render(w http.ResponseWriter, status int, name string, v any) error {
	var b bytes.Buffer
	if err := s.pages.ExecuteTemplate(&b, name, v); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(b.Bytes()) // a reader that went away needs no answer
	return nil
}

// join makes a path of parts, for templates.
func join(parts ...string) string { return "/" + strings.Join(parts, "/") }
