package web

import (
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"selvage/bvh"
	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/packed"
	"selvage/internal/picture"
	"selvage/internal/picture/paint"
	"selvage/internal/report"
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

func or(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

// The size of a still, pixels. The page may show it smaller.
const (
	stillW = 960
	stillH = 720
)

// still is the model as the server draws it, seen as one of the scene's views sees it.
type still struct {
	scene packed.Scene
	view  packed.View
	role  finding.Role
	kind  packed.Kind
	mesh  *mesh.Mesh
}

// stillOf loads what the address asks for: ?restoration, ?view and ?role, each with the
// first of the scene where it is left out.
func (s *Server) stillOf(r *http.Request, res work.Result) (still, error) {
	q := r.URL.Query()
	n, err := strconv.Atoi(or(q.Get("restoration"), "0"))
	if err != nil || n < 0 || n >= len(res.Scenes) || len(res.Scenes[n].Surfaces) == 0 || len(res.Scenes[n].Views) == 0 {
		return still{}, errNotThere
	}
	st := still{scene: res.Scenes[n]}
	role := or(q.Get("role"), st.scene.Surfaces[0].Role)
	i := slices.IndexFunc(st.scene.Surfaces, func(f packed.SceneSurface) bool { return f.Role == role && f.Kind != packed.Missing })
	if i < 0 {
		return still{}, errNotThere
	}
	st.role, st.kind = finding.Role(role), st.scene.Surfaces[i].Kind
	st.view = st.scene.Views[0]
	for _, v := range st.scene.Views {
		if v.Name == q.Get("view") {
			st.view = v
		}
	}
	data, err := s.desk.Model(r.Context(), res, n, st.role, false)
	if err != nil {
		return still{}, err
	}
	surface, err := packed.Decode(data)
	if err != nil {
		return still{}, err
	}
	st.mesh = surface.Mesh
	return st, nil
}

// camera looks as the browser's view does at the start.
func (st still) camera(wide bool) picture.View {
	const across = 4.7 // radii, as in the browser
	v := picture.View{Eye: r3.V(st.view.Eye[0], st.view.Eye[1], st.view.Eye[2]), Up: r3.V(st.view.Up[0], st.view.Up[1], st.view.Up[2])}
	v.Center = r3.V(st.scene.Centre[0], st.scene.Centre[1], st.scene.Centre[2])
	v.Span = across * st.scene.Radius * stillW / stillH
	if st.kind == packed.Opposing {
		v.Eye = v.Eye.Neg() // its biting side
	}
	if wide { // the whole arch, to name teeth
		box := r3.EmptyBox()
		for _, p := range st.mesh.Pos {
			box = box.Extend(p)
		}
		v.Center, v.Span = box.Center(), 1.3*box.Size().Norm()
	}
	return v
}

// point is the place on the surface that a pixel shows.
func (st still) point(v picture.View, x, y float64) (r3.Vec, bool) {
	right, up, eye := v.Frame()
	perMM := stillW / v.Span
	const far = 1000 // mm
	from := v.Center.AddScaled((x-stillW/2)/perMM, right).AddScaled((stillH/2-y)/perMM, up).AddScaled(far, eye)
	hit, ok := bvh.Brute{Mesh: st.mesh}.Ray(from, eye.Neg(), 0, 2*far)
	if !ok {
		return r3.Vec{}, false
	}
	return hit.Point, true
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
	points, err := pointsOf(r.URL.Query()["p"])
	if err != nil {
		return err
	}
	sc := picture.Scene{W: stillW, H: stillH, View: st.camera(r.URL.Query().Get("wide") != ""), Surfaces: []picture.Surface{{Mesh: st.mesh}}}
	for _, m := range st.scene.Margins {
		if st.kind != packed.Opposing {
			sc.Lines = append(sc.Lines, marginLines(m)...)
		}
	}
	for i, p := range points {
		sc.Pins = append(sc.Pins, picture.Pin{At: p, Kind: picture.PinScan, Number: strconv.Itoa(i + 1)})
	}
	for _, t := range st.scene.Teeth {
		if t.Role == string(st.role) {
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

// marginLines draws what is sure full and the rest dashed or beaded.
func marginLines(m packed.Margin) []picture.Line {
	style := map[packed.State]picture.Style{packed.Captured: picture.Solid, packed.Doubtful: picture.Dashed, packed.NotCaptured: picture.Beads}
	var out []picture.Line
	n := len(m.Points)
	for i := 0; i < n; {
		k := i
		l := picture.Line{Style: style[m.State[i]], Points: []r3.Vec{}}
		for ; k < n && m.State[k] == m.State[i]; k++ {
			l.Points = append(l.Points, r3.V(m.Points[k][0], m.Points[k][1], m.Points[k][2]))
		}
		if k < n || m.Closed {
			p := m.Points[k%n]
			l.Points = append(l.Points, r3.V(p[0], p[1], p[2]))
		}
		out = append(out, l)
		i = k
	}
	return out
}

// pointsOf reads places, each "x,y,z" in mm.
func pointsOf(texts []string) ([]r3.Vec, error) {
	const most = 1000
	if len(texts) > most {
		return nil, errNotThere
	}
	var out []r3.Vec
	for _, t := range texts {
		var p [3]float64
		parts := strings.Split(t, ",")
		if len(parts) != len(p) {
			return nil, errNotThere
		}
		for i, c := range parts {
			v, err := strconv.ParseFloat(c, 64)
			if err != nil || math.IsNaN(v) || math.Abs(v) > 1000 {
				return nil, errNotThere
			}
			p[i] = v
		}
		out = append(out, r3.V(p[0], p[1], p[2]))
	}
	return out, nil
}

// pointText writes a place as [pointsOf] reads it.
func pointText(p r3.Vec) string { return fmt.Sprintf("%.4f,%.4f,%.4f", p.X, p.Y, p.Z) }

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
	_, _ = w.Write(paint.Encode(lookAt(m).Draw()))                       // a reader that went away needs no answer
	return nil
}

// lookAt shows a whole scan, its longer side across the picture.
func lookAt(m *mesh.Mesh) picture.Scene {
	var eye, mid r3.Vec
	for f := range m.Tri {
		eye = eye.Add(m.AreaVector(mesh.FaceID(f)))
	}
	for _, p := range m.Pos {
		mid = mid.Add(p.Scale(1 / float64(len(m.Pos))))
	}
	eye = eye.UnitOr(r3.V(0, 0, 1))
	x, y := eye.Basis()
	var xx, xy, yy, far float64
	for _, p := range m.Pos {
		d := p.Sub(mid)
		a, b := d.Dot(x), d.Dot(y)
		xx, xy, yy = xx+a*a, xy+a*b, yy+b*b
		far = max(far, d.Reject(eye).Norm())
	}
	turn := math.Atan2(2*xy, xx-yy)/2 + math.Pi/2 // of the shorter side
	up := x.Scale(math.Cos(turn)).AddScaled(math.Sin(turn), y)
	return picture.Scene{
		W: lookW, H: lookH, View: picture.View{Eye: eye, Up: up, Center: mid, Span: 2.1 * far}, NoScale: true,
		Surfaces: []picture.Surface{{Mesh: m}},
	}
}

// The size of the first look, pixels.
const (
	lookW = 640
	lookH = 400
)
