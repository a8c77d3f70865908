package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/packed"
	"selvage/internal/report"
	"selvage/internal/work"
)

// scene serves what the browser's view draws of a check, in the reader's language.
func (s *Server) scene(w http.ResponseWriter, r *http.Request) error {
	res, rep, err := s.resultOf(r)
	if err != nil {
		return err
	}
	n, err := strconv.Atoi(or(r.URL.Query().Get("restoration"), "0"))
	if err != nil || n < 0 || n >= len(res.Scenes) || len(res.Scenes[n].Surfaces) == 0 {
		return errNotThere
	}
	words := wordsFor(r)
	rep = res.In(words.Lang, rep)
	scene := res.Scenes[n]
	say(words, &scene)
	scene.Title = rep.Restorations[n].Tooth.FDI + ": " + rep.Line
	for _, f := range report.Order(rep) {
		for i := range scene.Spots {
			if scene.Spots[i].Number == strconv.Itoa(f.N) {
				scene.Spots[i].Sentence, scene.Spots[i].Text = f.Text, words.number(scene.Spots[i].Text)
			}
		}
	}
	return writeJSON(w, scene)
}

// say puts the names of a scene into the reader's language.
func say(w Words, s *packed.Scene) {
	for i := range s.Surfaces {
		s.Surfaces[i].Name = w.T("role." + s.Surfaces[i].Role)
	}
	for i := range s.Maps {
		s.Maps[i].Title = w.T("map." + s.Maps[i].Name)
	}
	for i := range s.Views {
		key := s.Views[i].Word // a side of the tooth
		if s.Views[i].Name == "path" {
			key = "path"
		}
		s.Views[i].Word = w.T("view." + key)
	}
	for i := range s.Rims {
		s.Rims[i].Word = w.T("view." + s.Rims[i].Word)
	}
}

// model serves a packed surface. It never changes, so a browser may keep it.
func (s *Server) model(w http.ResponseWriter, r *http.Request) error {
	res, _, err := s.resultOf(r)
	if err != nil {
		return err
	}
	n, err := strconv.Atoi(r.PathValue("restoration"))
	if err != nil {
		return errNotThere
	}
	data, err := s.desk.Model(r.Context(), res, n, finding.Role(r.PathValue("role")), r.PathValue("how") == "coarse")
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	w.Header().Set("Cache-Control", "private, max-age=86400, immutable")
	_, _ = w.Write(data) // a reader that went away needs no answer
	return nil
}

// point tells the value at a place that was tapped.
func (s *Server) point(w http.ResponseWriter, r *http.Request) error {
	res, rep, err := s.resultOf(r)
	if err != nil {
		return err
	}
	q := r.URL.Query()
	n, err := strconv.Atoi(or(q.Get("restoration"), "0"))
	if err != nil || n < 0 || n >= len(rep.Restorations) {
		return errNotThere
	}
	var at [3]float64
	for i, name := range []string{"x", "y", "z"} {
		if at[i], err = strconv.ParseFloat(q.Get(name), 64); err != nil {
			return &work.Problem{What: wordsFor(r).T("fail.choice")}
		}
	}
	mm, ok, err := s.desk.Room(r.Context(), res, n, finding.Role(q.Get("role")), at)
	if err != nil {
		return err
	}
	a := packed.Answer{Lines: []string{}}
	if ok {
		a.Lines = []string{wordsFor(r).number(roomLine(mm, rep.Restorations[n].Measures.ClearanceMin)), wordsFor(r).T("point.room")}
	}
	return writeJSON(w, a)
}

// roomLine writes a room with the uncertainty of the least one, which rests on the same
// bite.
func roomLine(mm float64, least casefile.Measure) string {
	if !least.Measured() {
		return fmt.Sprintf("%.1f mm", mm)
	}
	return fmt.Sprintf("%.2f ± %.2f mm", mm, least.U)
}

func writeJSON(w http.ResponseWriter, v any) error {
	data, err := json.Marshal(v)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(data) // a reader that went away needs no answer
	return nil
}

func or(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}
