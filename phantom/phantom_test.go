package phantom_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"math"
	"os"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"selvage/mesh"
	"selvage/phantom"
	"selvage/r3"
	"selvage/tooth"
)

// quick is a coarse case that is made in a fraction of a second.
func quick(n tooth.Number, faults ...phantom.Fault) phantom.Spec {
	s := phantom.Default(n)
	s.Scanner.Fine, s.Scanner.Coarse = 0.45, 1.1
	s.Faults = faults
	return s
}

func mustMake(t *testing.T, s phantom.Spec) phantom.Case {
	t.Helper()
	c, err := phantom.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// TestDefaultIsClear: at the default spacing a perfect check acts on nothing.
func TestDefaultIsClear(t *testing.T) {
	s := phantom.Default(36)
	s.Scanner.Coarse = 0.6
	s.Roles = []string{phantom.Working, phantom.Opposing}
	c := mustMake(t, s)
	for _, f := range c.Truth.Findings {
		if f.Level == "flag" {
			t.Errorf("the default case has a finding: %+v", f)
		}
	}
	r := c.Truth.Restorations[0]
	if r.Margin.NotCapturedMm != 0 || r.UndercutDepthMm.Value != 0 {
		t.Errorf("not captured %v mm, undercut %v mm", r.Margin.NotCapturedMm, r.UndercutDepthMm.Value)
	}
	m, _ := c.Scan(phantom.Working)
	if n := len(m.Mesh.Tri); n < 80_000 || n > 300_000 {
		t.Errorf("%d triangles in the working scan", n)
	}
}

// checkScans: every scan is an oriented manifold with boundary, and faces the
// scanner.
func checkScans(t *testing.T, c phantom.Case) {
	t.Helper()
	for i, s := range c.Scans {
		if top := mesh.NewTopology(s.Mesh); top.NonManifold != 0 {
			t.Errorf("%s: %d non-manifold elements", s.Role, top.NonManifold)
		}
		if s.Role == phantom.Bite {
			continue // seen from the cheek
		}
		up := c.Truth.Scans[i].Occlusal.Vec()
		if v := s.Mesh.VectorArea(); v.Dot(up) < 0.1*s.Mesh.Area() {
			t.Errorf("%s: vector area %v does not face %v", s.Role, v, up)
		}
	}
}

var update = flag.Bool("update", false, "write the published schema")

// TestPublishedSchema: the file in doc/formats is what the types say.
func TestPublishedSchema(t *testing.T) {
	const file = "../doc/formats/truth.schema.json"
	want, err := phantom.SchemaOfTruth()
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.WriteFile(file, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := os.ReadFile(file); err != nil || !bytes.Equal(got, want) {
		t.Errorf("%s is not what the types say (%v); run go test ./phantom -run Schema -update", file, err)
	}
}

// compiledSchema compiles the schema of the truth by an independent library.
func compiledSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	data, err := phantom.SchemaOfTruth()
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("truth.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("truth.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// checkSchema: the truth can be written, and what is written matches the schema.
func checkSchema(t *testing.T, s *jsonschema.Schema, truth phantom.Truth) {
	t.Helper()
	data, err := json.Marshal(truth)
	if err != nil {
		t.Error(err)
		return
	}
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err == nil {
		err = s.Validate(v)
	}
	if err != nil {
		t.Error(err)
	}
}

// TestEveryTooth makes each class of tooth in each jaw, and writes its truth.
func TestEveryTooth(t *testing.T) {
	schema := compiledSchema(t)
	for _, n := range []tooth.Number{17, 14, 31} {
		s := quick(n)
		s.Roles = []string{phantom.Working, phantom.Opposing}
		c := mustMake(t, s)
		checkScans(t, c)
		r := c.Truth.Restorations[0]
		if r.ClearanceMinMm.Value < 0.3 || r.ClearanceMinMm.Value > 4 {
			t.Errorf("%v: clearance %v mm", n, r.ClearanceMinMm.Value)
		}
		checkSchema(t, schema, c.Truth)
	}
}

// TestExactMarginIsOnTheMesh: without scanner and noise the mesh has its vertices
// along the true margin, no farther apart than the spacing.
func TestExactMarginIsOnTheMesh(t *testing.T) {
	s := phantom.Default(46)
	s.Exact, s.Scanner.Fine, s.Scanner.Coarse = true, 0.15, 0.9
	s.Roles = []string{phantom.Working}
	c := mustMake(t, s)
	m := c.Scans[0].Mesh
	points := c.Truth.Restorations[0].Margin.Points
	worst := 0.0
	for i := 0; i < len(points); i += 10 {
		p := points[i].Vec()
		d := math.Inf(1)
		for _, q := range m.Pos {
			d = min(d, q.Dist2(p))
		}
		worst = max(worst, math.Sqrt(d))
	}
	if worst > 0.15 {
		t.Errorf("a margin point lies %v mm from the nearest vertex", worst)
	}
}

// TestQuadrantsAreMirrorImages: the same Spec in another quadrant is the exact
// reflection, with the winding still outwards.
func TestQuadrantsAreMirrorImages(t *testing.T) {
	a := mustMake(t, quick(26))
	b := mustMake(t, quick(16))
	checkScans(t, a)
	checkScans(t, b)
	for i := range a.Scans {
		p, q := a.Scans[i].Mesh, b.Scans[i].Mesh
		if len(p.Pos) != len(q.Pos) || len(p.Tri) != len(q.Tri) {
			t.Fatalf("%s: sizes differ", a.Scans[i].Role)
		}
		for v := range p.Pos {
			if p.Pos[v].Dist(r3.V(-q.Pos[v].X, q.Pos[v].Y, q.Pos[v].Z)) > 1e-9 {
				t.Fatalf("%s: vertex %d is no mirror image", a.Scans[i].Role, v)
			}
		}
		if x, y := p.VectorArea(), q.VectorArea(); x.Dist(r3.V(-y.X, y.Y, y.Z)) > 1e-6 {
			t.Errorf("%s: the winding was not turned with the mirror", a.Scans[i].Role)
		}
	}
	// Mesial, buccal and the axis make a right-handed frame in the lower left and the
	// upper right quadrant, a left-handed one in the others.
	hand := func(r phantom.Restoration) float64 {
		return r.Mesial.Vec().Cross(r.Buccal.Vec()).Dot(r.InsertionAxis.Vec())
	}
	if x, y := hand(a.Truth.Restorations[0]), hand(b.Truth.Restorations[0]); x > -0.9 || y < 0.9 {
		t.Errorf("handedness of 26: %v, of 16: %v", x, y)
	}
}

// TestSameOnAnyNumberOfCores compares two runs.
func TestSameOnAnyNumberOfCores(t *testing.T) {
	s := quick(35, phantom.Fault{Name: "fragments"})
	s.Scanner.NoiseLength = 0.3
	old := runtime.GOMAXPROCS(1)
	a := mustMake(t, s)
	runtime.GOMAXPROCS(3)
	b := mustMake(t, s)
	runtime.GOMAXPROCS(old)
	if !reflect.DeepEqual(a.Scans, b.Scans) {
		t.Error("the scans depend on the number of cores")
	}
	// Compared as JSON, where a value that does not exist is null and equal to itself.
	x, errX := json.Marshal(a.Truth)
	y, errY := json.Marshal(b.Truth)
	if errX != nil || errY != nil || !bytes.Equal(x, y) {
		t.Errorf("the truth depends on the number of cores (%v, %v)", errX, errY)
	}
}

// TestNoise: the vertices of a scan leave the exact surface by what was asked for.
func TestNoise(t *testing.T) {
	s := quick(36)
	s.Roles = []string{phantom.Working}
	s.Scanner.Noise = 0
	a := mustMake(t, s)
	for _, length := range []float64{0, 0.5} {
		s.Scanner.Noise, s.Scanner.NoiseLength = 0.02, length
		b := mustMake(t, s)
		sum := 0.0
		for v, p := range a.Scans[0].Mesh.Pos {
			sum += p.Dist2(b.Scans[0].Mesh.Pos[v])
		}
		got := math.Sqrt(sum / float64(len(a.Scans[0].Mesh.Pos)))
		if math.Abs(got-0.02) > 0.0006 { // 3 % of 20000 samples, some of them correlated
			t.Errorf("length %v: standard deviation %v, want 0.02", length, got)
		}
	}
}

// TestFaultsAreFound: every fault makes the truth raise the finding of its name, and
// the truth can be written. Faults that leave each other alone share a case.
func TestFaultsAreFound(t *testing.T) {
	schema := compiledSchema(t)
	groups := [][]string{
		{"walls-short", "convergence-high", "finish-line-narrow", "sulcus-narrow", "surface-noisy", "sampling-coarse", "gap-narrow"},
		{"undercut", "contact-area-missing", "margin-not-captured", "fragments", "finish-line-differs", "sharp-edge", "scan-missing"},
		{"margin-unclear", "clearance-low", "convergence-low", "units-unlikely", "arch-too-short", "path-blocked", "surface-missing"},
		{"margin-rough", "neighbour-damaged", "reduction-low", "root-not-seen", "contrast-colour", "bite-differs"},
		{"resistance-low", "bite-open", "surface-invented"},
		{"bite-penetrates", "surface-doubled", "prescription-incomplete", "neighbour-contour"},
		{"bite-unsupported", "scan-outdated"},
		{"scan-mirrored"},
		{"tooth-differs"},
		{"other-mouth"},
		{"wrong-arch"},
	}
	var tried []string
	for _, g := range groups {
		tried = append(tried, g...)
	}
	slices.Sort(tried)
	if names := phantom.FaultNames(); !slices.Equal(tried, names) {
		t.Errorf("tried are %v, there are %v", tried, names)
	}
	for _, g := range groups {
		s := quick(36)
		if len(g) > 1 {
			s.Scanner.Fine = 0.28 // places on the margin are to be told apart
		}
		s.Roles = []string{phantom.Working, phantom.Opposing}
		for _, name := range g {
			s.Faults = append(s.Faults, phantom.Fault{Name: name, Value: math.NaN()})
			switch name {
			case "bite-differs":
				s.Roles = append(s.Roles, phantom.Bite)
			case "reduction-low", "other-mouth":
				s.Roles = append(s.Roles, phantom.Before)
			}
		}
		c := mustMake(t, s)
		for _, name := range g {
			if !slices.ContainsFunc(c.Truth.Findings, func(f phantom.Finding) bool { return f.Code == name }) {
				t.Errorf("%s: the truth raises %+v", name, c.Truth.Findings)
			}
		}
		checkSchema(t, schema, c.Truth)
	}
	// Beside a first premolar stands the canine, to which an arch must reach.
	for _, n := range []tooth.Number{14, 34} {
		var want *phantom.FaultError
		if _, err := phantom.Make(quick(n, phantom.Fault{Name: "arch-too-short"})); !errors.As(err, &want) {
			t.Errorf("an arch of %v and its neighbours is said to be too short (%v)", n, err)
		}
	}
	if _, err := phantom.Make(quick(36, phantom.Fault{Name: "no-such-fault"})); err == nil {
		t.Error("an unknown fault was made")
	}
}

// TestFaultValues: what has a value gets it.
func TestFaultValues(t *testing.T) {
	with := func(f ...phantom.Fault) phantom.Restoration {
		s := quick(26, f...)
		s.Roles = []string{phantom.Working, phantom.Opposing}
		return mustMake(t, s).Truth.Restorations[0]
	}
	r := with(phantom.Fault{Name: "clearance-low", Value: 0.8}, phantom.Fault{Name: "undercut", Value: 0.15}, phantom.Fault{Name: "convergence-high", Value: 30})
	if got := r.ClearanceMinMm.Value; math.Abs(got-0.8) > 0.003 {
		t.Errorf("clearance-low=0.8 gives %v mm", got)
	}
	if got := r.UndercutDepthMm.Value; math.Abs(got-0.15) > 1e-3 {
		t.Errorf("undercut=0.15 gives %v mm", got)
	}
	if got := r.ConvergenceMeanDeg; math.Abs(got-30) > 0.01 {
		t.Errorf("convergence-high=30 gives %v°", got)
	}
	if got := with(phantom.Fault{Name: "walls-short", Value: 3.1}).WallHeightMinMm; math.Abs(got-3.1) > 0.01 {
		t.Errorf("walls-short=3.1 gives %v mm", got)
	}
}

// TestOwnFrames: scans in frames of their own go back to the arch by the truth.
func TestOwnFrames(t *testing.T) {
	s := quick(36)
	s.Roles = []string{phantom.Working, phantom.Opposing}
	s.Scanner.Noise = 0
	a := mustMake(t, s)
	s.OwnFrames = true
	b := mustMake(t, s)
	f := b.Truth.Scans[1]
	g := r3.Rigid{T: f.Shift.Vec()}
	for k := range 3 {
		g.R[k] = r3.V(f.Rotation[k][0], f.Rotation[k][1], f.Rotation[k][2])
	}
	if g.Angle() == 0 {
		t.Fatal("the opposing scan was not moved")
	}
	for v, p := range a.Scans[1].Mesh.Pos {
		if d := g.Point(p).Dist(b.Scans[1].Mesh.Pos[v]); d > 1e-9 {
			t.Fatalf("vertex %d is %v mm off", v, d)
		}
	}
}

func BenchmarkMake(b *testing.B) {
	for range b.N {
		if _, err := phantom.Make(phantom.Default(26)); err != nil {
			b.Fatal(err)
		}
	}
}

// TestMakerKeepsNothingThatMatters: a maker that has made other cases in the same
// mouth before makes each as [phantom.Make] does.
func TestMakerKeepsNothingThatMatters(t *testing.T) {
	var m phantom.Maker
	sound := quick(26)
	sound.Mouth, sound.Seed = 5, 9
	for _, faults := range [][]phantom.Fault{
		nil,
		{{Name: "scan-mirrored"}},
		{{Name: "other-mouth"}},
		{{Name: "bite-open"}, {Name: "undercut"}, {Name: "convergence-high"}},
		{{Name: "gap-narrow"}},
	} {
		s := sound
		s.Faults = faults
		if len(faults) > 1 { // another preparation in the same mouth
			s.Seed, s.Stump.TiltMesial = 11, 0.05
		}
		got, err := m.Make(s)
		if err != nil {
			t.Fatal(err)
		}
		want := mustMake(t, s)
		for i := range want.Scans {
			if !reflect.DeepEqual(got.Scans[i].Mesh, want.Scans[i].Mesh) {
				t.Errorf("faults %v: the %s scan differs", faults, want.Scans[i].Role)
			}
		}
		a, errA := json.Marshal(got.Truth)
		b, errB := json.Marshal(want.Truth)
		if errA != nil || errB != nil || !bytes.Equal(a, b) {
			t.Errorf("faults %v: the truth differs (%v, %v)", faults, errA, errB)
		}
	}
}
