package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strconv"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/packed"
	"selvage/internal/picture"
	"selvage/internal/picture/paint"
	"selvage/internal/report"
	"selvage/internal/web/stills"
	"selvage/internal/work"
	"selvage/mesh"
	"selvage/meshio"
	"selvage/r3"
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
		s.Surfaces[i].Name = w.T("layer." + s.Surfaces[i].Role)
	}
	for i := range s.Maps {
		s.Maps[i].Title, s.Maps[i].Word = w.T("map."+s.Maps[i].Name), w.T("layer."+s.Maps[i].Name)
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
	values, err := s.desk.Values(r.Context(), res, n, finding.Role(q.Get("role")), at)
	if err != nil {
		return err
	}
	words, m := wordsFor(r), rep.Restorations[n].Measures
	a := packed.Answer{Lines: []string{}}
	for _, v := range []struct {
		name, say string
		as        casefile.Measure
	}{{packed.Clearance, "point.room", m.ClearanceMin}, {packed.Reduction, "point.reduction", m.ReductionOccl}, {packed.Undercut, "point.undercut", m.UndercutDepth}} {
		if mm, ok := values[v.name]; ok {
			a.Lines = append(a.Lines, words.number(valueLine(mm, v.as))+" "+words.T(v.say))
		}
	}
	return writeJSON(w, a)
}

// valueLine writes a value with the uncertainty of the report's measure of its kind, which
// rests on the same scans.
func valueLine(mm float64, as casefile.Measure) string {
	if !as.Measured() {
		return fmt.Sprintf("%.1f mm", mm)
	}
	return fmt.Sprintf("%.2f ± %.2f mm", mm, as.U)
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

// stillOf loads what the address asks for: ?restoration, ?view and ?role, each with the
// first of the scene where it is left out.
func (s *Server) stillOf(r *http.Request, res work.Result) (stills.Still, error) {
	q := r.URL.Query()
	n, err := strconv.Atoi(or(q.Get("restoration"), "0"))
	if err != nil || n < 0 || n >= len(res.Scenes) || len(res.Scenes[n].Surfaces) == 0 || len(res.Scenes[n].Views) == 0 {
		return stills.Still{}, errNotThere
	}
	st := stills.Still{Scene: res.Scenes[n]}
	role := or(q.Get("role"), st.Scene.Surfaces[0].Role)
	i := slices.IndexFunc(st.Scene.Surfaces, func(f packed.SceneSurface) bool { return f.Role == role && f.Kind != packed.Missing })
	if i < 0 {
		return stills.Still{}, errNotThere
	}
	st.Role, st.Kind = finding.Role(role), st.Scene.Surfaces[i].Kind
	st.View = st.Scene.Views[0]
	for _, v := range st.Scene.Views {
		if v.Name == q.Get("view") {
			st.View = v
		}
	}
	data, err := s.desk.Model(r.Context(), res, n, st.Role, false)
	if err != nil {
		return stills.Still{}, err
	}
	surface, err := packed.Decode(data)
	if err != nil {
		return stills.Still{}, err
	}
	st.Mesh = surface.Mesh
	return st, nil
}

// showStill serves the drawing, with the margin and the points of ?p on it.
func (s *Server) showStill(w http.ResponseWriter, r *http.Request) error {
	res, _, err := s.resultOf(r)
	if err != nil {
		return err
	}
	st, err := s.stillOf(r, res)
	if err != nil {
		return err
	}
	points, err := stills.Points(r.URL.Query()["p"])
	if err != nil {
		return err
	}
	sc := picture.Scene{W: stills.W, H: stills.H, View: st.Camera(r.URL.Query().Get("wide") != ""), Surfaces: []picture.Surface{{Mesh: st.Mesh}}}
	for _, m := range st.Scene.Margins {
		if st.Kind != packed.Opposing {
			sc.Lines = append(sc.Lines, stills.Lines(m)...)
		}
	}
	for i, p := range points {
		sc.Pins = append(sc.Pins, picture.Pin{At: p, Kind: picture.PinScan, Number: strconv.Itoa(i + 1)})
	}
	for _, t := range st.Scene.Teeth {
		if t.Role == string(st.Role) {
			sc.Pins = append(sc.Pins, picture.Pin{At: r3.V(t.At[0], t.At[1], t.At[2]), Kind: picture.PinNote, Number: t.Text})
		}
	}
	if r.URL.Query().Get("wide") == "" {
		sc.Pins = slices.DeleteFunc(sc.Pins, func(p picture.Pin) bool { return p.Kind == picture.PinNote })
	}
	w.Header().Set("Content-Type", "image/png")
	w.Header().Set("Cache-Control", "private, max-age=86400, immutable") // a check never changes
	_, _ = w.Write(paint.Encode(sc.Draw()))                              // a reader that went away needs no answer
	return nil
}

// firstLook serves a drawing of a scan as it arrived, before anything is known of it: seen
// from where it was scanned, which its area vectors add up to.
func (s *Server) firstLook(w http.ResponseWriter, r *http.Request) error {
	c, err := s.desk.Case(r.Context(), r.PathValue("case"))
	if err != nil {
		return err
	}
	i := slices.IndexFunc(c.Scans, func(o work.Scan) bool { return o.ID == r.PathValue("scan") })
	if i < 0 {
		return errNotThere
	}
	data, err := s.desk.Figure(r.Context(), c.Scans[i].Hash)
	if err != nil {
		return err
	}
	soup, _, err := meshio.Decode(data)
	if err != nil {
		return errNotThere // the check says why
	}
	m, _ := mesh.Build(soup)
	if len(m.Tri) == 0 {
		return errNotThere
	}
	w.Header().Set("Content-Type", "image/png")
	w.Header().Set("Cache-Control", "private, max-age=86400, immutable") // a scan never changes
	_, _ = w.Write(paint.Encode(stills.Look(m).Draw()))                  // a reader that went away needs no answer
	return nil
}
