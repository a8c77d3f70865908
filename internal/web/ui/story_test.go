package ui

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/internal/meshtest"
	"selvage/internal/packed"
	"selvage/internal/report"
	"selvage/mesh"
	"selvage/r3"
)

// policy is the strictest that a page of the server sends; the element must live with it.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'"

// story is a scene with its meshes, as a server would hand them out.
type story struct {
	scene  packed.Scene
	meshes map[string][]byte // by address
}

// asked counts what the pages asked for, by path.
type asked struct {
	mu sync.Mutex
	n  map[string]int
}

func (a *asked) add(path string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.n[path]++
}

func (a *asked) of(path string) int {
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.n[path]
}

// serve starts a server for the story.
func (s story) serve(t *testing.T) (*httptest.Server, *asked) {
	t.Helper()
	log := &asked{n: map[string]int{}}
	mux := http.NewServeMux()
	mux.Handle("GET /dist/", http.StripPrefix("/dist/", http.FileServerFS(Dist())))
	mux.Handle("GET /", http.FileServerFS(os.DirFS("story")))
	mux.HandleFunc("GET /scene.json", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "application/json")
		_ = json.NewEncoder(w).Encode(s.scene)
	})
	mux.HandleFunc("GET /mesh/{name}", func(w http.ResponseWriter, r *http.Request) {
		data, ok := s.meshes["mesh/"+r.PathValue("name")]
		if !ok {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Content-Type", "application/vnd.selvage.mesh")
		w.Header().Set("Content-Encoding", "gzip")
		_, _ = w.Write(data)
	})
	mux.HandleFunc("GET /point", func(w http.ResponseWriter, r *http.Request) {
		q := r.URL.Query()
		_ = json.NewEncoder(w).Encode(packed.Answer{Lines: []string{"1.12 ± 0.10 mm", "at " + q.Get("x") + ", " + q.Get("y") + ", " + q.Get("z") + " on " + q.Get("role")}})
	})
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", policy)
		w.Header().Set("X-Content-Type-Options", "nosniff")
		log.add(r.URL.Path)
		mux.ServeHTTP(w, r)
	}))
	t.Cleanup(srv.Close)
	return srv, log
}

// add packs a mesh, and its twin, under the addresses that it returns.
func (s *story) add(name string, m *mesh.Mesh, values []packed.Value, coarse int) (fine, twin string) {
	fine, twin = "mesh/"+name, "mesh/"+name+"-coarse"
	s.meshes[fine] = packed.Encode(m, values)
	cm, cv := packed.Coarse(m, values, coarse)
	s.meshes[twin] = packed.Encode(cm, cv)
	return fine, twin
}

// madeStory is a stump of known shape with a margin that is sound, doubtful and
// not captured by turns, a made map of room, and one spot of each kind.
func madeStory() story {
	stump := meshtest.DefaultStump()
	wide := func(rho, phi, z float64) r3.Vec {
		return r3.V(1.15*rho*math.Cos(phi), rho*math.Sin(phi)*(1+0.06*math.Cos(phi)), z)
	}
	m := meshtest.Painted(meshtest.Rough(meshtest.Lathe(stump.Knots(), 0.2, 3, wide), 0.008, 5))
	room := packed.Value{Name: packed.Clearance, Of: make([]float64, len(m.Pos))}
	for i, p := range m.Pos {
		room.Of[i] = math.NaN()
		if math.Hypot(p.X/1.15, p.Y) < stump.Radius-0.2 {
			room.Of[i] = 0.7 + 0.12*math.Hypot(p.X-1, p.Y) + 0.35*(stump.Height-p.Z)
		}
	}
	s := story{meshes: map[string][]byte{}}
	fine, twin := s.add("working", m, []packed.Value{room}, 5000)
	other := meshtest.Plate(60, 60, 0.25, func(int, int) bool { return false })
	over := other.Moved(r3.Rigid{R: r3.Rotation(r3.V(1, 0, 0), math.Pi), T: r3.V(-7, 7, stump.Height+1)})
	far, farTwin := s.add("opposing", over, nil, 2000)
	// What no scan shows, as far as it is known: a strip beyond the stump's foot.
	gap := meshtest.Plate(8, 16, 0.25, func(int, int) bool { return false }).Moved(r3.Rigid{R: r3.Identity(), T: r3.V(6.5, -2, 1)})
	lack, _ := s.add("missing", gap, nil, 1<<20)
	limit := 1.05
	axis := [3]float64{0, 0, 1}
	margin := madeMargin(stump, wide)
	s.scene = packed.Scene{
		Schema: packed.SceneSchema, Title: "Tooth 26 seen along the path of draw. Get the dentist: 0.7 ± 0.1 mm at the middle.",
		Centre: [3]float64{0, 0, 1.5}, Radius: 5.4, Axis: &axis, Point: "point?x={x}&y={y}&z={z}&role={role}",
		Rims: []packed.Rim{
			{To: [3]float64{0, 1, 0}, Word: "mesial"},
			{To: [3]float64{0, -1, 0}, Word: "distal"},
			{To: [3]float64{1, 0, 0}, Word: "buccal"},
			{To: [3]float64{-1, 0, 0}, Word: "palatal"},
		},
		Surfaces: []packed.SceneSurface{
			{Role: "working", Name: "Working arch", Kind: packed.Subject, Fine: fine, Coarse: twin, Shown: true, Colour: true},
			{Role: "opposing", Name: "Opposing arch", Kind: packed.Opposing, Fine: far, Coarse: farTwin},
			{Role: "missing", Name: "What is missing", Kind: packed.Missing, Fine: lack},
		},
		Maps: []packed.Map{{Name: packed.Clearance, Word: "Room", Title: "Room to the opposing teeth, mm", Max: 3, Step: 0.5, Limit: &limit}},
		Spots: []packed.Spot{
			{Number: "1", Kind: packed.SpotAsk, At: [3]float64{1, 0, 4}, Normal: &axis, Text: "0.7 ± 0.1 mm", Sentence: "The least room is 0.7 ± 0.1 mm at the middle of the biting side."},
			{Number: "2", Kind: packed.SpotScan, At: margin.Points[99], Normal: &[3]float64{-0.75, -0.65, 0}, Eye: &[3]float64{-0.5, -0.45, 0.74}, Across: 2, Sentence: "The scan ends at the margin for 3.1 mm."},
			{Number: "3", Kind: packed.SpotNote, At: [3]float64{0, 4.1, 2}, Normal: &[3]float64{0, 1, 0}, Sentence: "The wall is short."},
		},
		Views: []packed.View{
			{Name: "path", Word: "Path of draw", Eye: axis, Up: [3]float64{0, 1, 0}},
			{Name: "mesial", Word: "mesial", Eye: [3]float64{0, 0.94, 0.33}, Up: axis},
			{Name: "distal", Word: "distal", Eye: [3]float64{0, -0.94, 0.33}, Up: axis},
			{Name: "buccal", Word: "buccal", Eye: [3]float64{0.94, 0, 0.33}, Up: axis},
			{Name: "lingual", Word: "palatal", Eye: [3]float64{-0.94, 0, 0.33}, Up: axis},
		},
		Margins:  []packed.Margin{margin},
		Front:    &[3]float64{0, 1, 0},
		Teeth:    []packed.Label{{Role: "working", At: [3]float64{0, 0, 4}, Text: "26"}, {Role: "opposing", At: [3]float64{0, 0, 5}, Text: "36", Unsure: true}},
		Contacts: []packed.Contact{{At: [3]float64{0, 6, 3}, Across: 0.8}},
	}
	return s
}

func madeMargin(s meshtest.Stump, warp meshtest.Warp) packed.Margin {
	rho, z := meshtest.Crest(s.Knots(), meshtest.MarginKnot)
	const n = 160
	m := packed.Margin{Closed: true}
	for i := range n {
		p := warp(rho, 2*math.Pi*float64(i)/n, z)
		m.Points = append(m.Points, [3]float64{p.X, p.Y, p.Z})
		state, sure := packed.Captured, 0.95
		switch {
		case i > 90 && i < 108:
			state, sure = packed.NotCaptured, 0
		case i > 128 && i < 142:
			state, sure = packed.Doubtful, 0.4
		}
		m.State, m.Confidence = append(m.State, state), append(m.Confidence, sure)
	}
	return m
}

// caseStory checks the case in a folder and shows it, for whoever wants to see one:
// SELVAGE_STORY_CASE names it.
func caseStory(t *testing.T, dir string) story {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, "case.json"))
	if err != nil {
		t.Fatal(err)
	}
	c, err := casefile.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	in := check.Input{Case: c, Stage: finding.Final}
	for _, s := range c.Scans {
		data, err := os.ReadFile(filepath.Join(dir, s.File))
		if err != nil {
			t.Fatal(err)
		}
		in.Files = append(in.Files, check.File{Name: s.File, Role: finding.Role(s.Role), Tooth: s.Tooth.Code, Data: data})
	}
	o, err := check.Run(t.Context(), in, nil)
	if err != nil {
		t.Fatal(err)
	}
	site := packed.Site{Number: report.Numbering(o.Report), Point: "point?x={x}&y={y}&z={z}&role={role}", ClearanceLimit: 1.05}
	site.Address = func(r finding.Role, coarse bool) string {
		return "mesh/" + string(r) + map[bool]string{true: "-coarse"}[coarse]
	}
	s := story{meshes: map[string][]byte{}}
	var ok bool
	if s.scene, ok = packed.SceneOf(o, 0, site); !ok {
		t.Fatal("no scan shows the preparation")
	}
	for _, m := range packed.Scans(o, 0) {
		s.add(string(m.Role), m.Mesh, m.Values, packed.CoarseTarget)
		t.Logf("%s: %d triangles, %d kB", m.Role, len(m.Mesh.Tri), len(s.meshes["mesh/"+string(m.Role)])/1000)
	}
	return s
}

// TestWordsAreWhole holds the catalogues against each other and against the sources:
// no key is missing, none is left over.
func TestWordsAreWhole(t *testing.T) {
	tables := map[string]map[string]string{}
	for _, lang := range []string{"en", "de"} {
		data, ok := Words(lang)
		if !ok {
			t.Fatalf("no words in %s", lang)
		}
		var table map[string]string
		if err := json.Unmarshal(data, &table); err != nil {
			t.Fatal(err)
		}
		tables[lang] = table
	}
	if _, ok := Words("../words/en"); ok {
		t.Error("a path was taken for a language")
	}
	var src strings.Builder
	err := fs.WalkDir(os.DirFS("src"), ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(filepath.Join("src", p))
		src.Write(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for key, english := range tables["en"] {
		german, ok := tables["de"][key]
		if !ok {
			t.Errorf("%q has no German", key)
		}
		if fields(english) != fields(german) {
			t.Errorf("%q: %q and %q fill in other things", key, english, german)
		}
		family, _, _ := strings.Cut(key, "-") // cut-none and the like are put together
		if !strings.Contains(src.String(), `"`+key+`"`) && !strings.Contains(src.String(), "`"+family+"-${") {
			t.Errorf("%q is never said", key)
		}
	}
	for key := range tables["de"] {
		if _, ok := tables["en"][key]; !ok {
			t.Errorf("%q has no English", key)
		}
	}
}

// fields lists what a sentence fills in.
func fields(s string) string {
	var out []string
	for _, part := range strings.Split(s, "{")[1:] {
		name, _, _ := strings.Cut(part, "}")
		out = append(out, name)
	}
	return fmt.Sprint(out)
}

// bigStory is a wavy plate of 800,000 triangles with the twin that the server makes.
func bigStory() story {
	const cells, step = 633, 0.0632
	m := meshtest.Plate(cells, cells, step, func(int, int) bool { return false })
	for i, p := range m.Pos {
		m.Pos[i].Z = math.Sin(p.X) * math.Cos(p.Y)
	}
	s := story{meshes: map[string][]byte{}}
	fine, twin := s.add("working", m, nil, packed.CoarseTarget)
	s.scene = packed.Scene{
		Schema: packed.SceneSchema, Title: "A wavy plate.", Centre: [3]float64{cells * step / 2, cells * step / 2, 0}, Radius: 8,
		Surfaces: []packed.SceneSurface{{Role: "working", Name: "Working arch", Kind: packed.Subject, Fine: fine, Coarse: twin, Shown: true}},
		Views:    []packed.View{{Name: "path", Word: "Path of draw", Eye: [3]float64{0, 0, 1}, Up: [3]float64{0, 1, 0}}},
	}
	return s
}
