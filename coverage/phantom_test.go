package coverage

import (
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"selvage/dentition"
	"selvage/mesh"
	"selvage/phantom"
	"selvage/r3"
	"selvage/tooth"
)

// made is a phantom of 26 in a coarse quadrant (0.25 mm: a second to make), with
// its truth.
var made = sync.OnceValues(func() (phantom.Case, error) {
	s := phantom.Default(26)
	s.Scanner.Fine, s.Scanner.Coarse = 0.25, 0.3
	s.Roles = []string{phantom.Working, phantom.Opposing}
	return phantom.Make(s)
})

func sound(t *testing.T) phantom.Case {
	t.Helper()
	c, err := made()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// input looks at the two scans as the check does, with the true margin and axis.
func input(t *testing.T, c phantom.Case, working *mesh.Mesh) Input {
	t.Helper()
	n := c.Prescription.Tooth
	k := dentition.Look("working", working)
	p := dentition.FindPrepared(k, n, nil)
	if p.Sighting != dentition.Seen {
		t.Fatal(p.Why)
	}
	o, _ := c.Scan(phantom.Opposing)
	truth := c.Truth.Restorations[0]
	in := Input{
		Number: n, Working: surfaceOf("working", k.Mesh), Opposing: surfaceOf("opposing", o.Mesh),
		Arch: k.Arch, Prepared: p, Axis: truth.InsertionAxis.Vec(),
		Teeth: dentition.FindTeeth(k.Arch, n.Jaw(), dentition.Anchor{Number: n, Place: p.Place}),
	}
	for _, q := range truth.Margin.Points {
		in.Margin = append(in.Margin, q.Vec())
	}
	return in
}

func workingOf(c phantom.Case) *mesh.Mesh {
	s, _ := c.Scan(phantom.Working)
	return s.Mesh
}

// without cuts out the faces whose middle lies within r of a point.
func without(m *mesh.Mesh, at r3.Vec, r float64) *mesh.Mesh {
	out, _, _ := mesh.Submesh(m, func(f mesh.FaceID) bool { return m.Centroid(f).Dist(at) > r })
	return out
}

// grave returns the gaps that a report would act on by the usual limits; the
// sulcus floor just below the margin is judged by the margin's own search.
func grave(gs []Gap) (out []Gap) {
	limit := map[Part]float64{PartContact: 1, PartPreparation: 1, PartOpposing: 2, PartNeighbour: 3, PartGum: 3, PartArch: 0}
	for _, g := range gs {
		if l, ok := limit[g.Part]; ok && g.Extent > l {
			out = append(out, g)
		}
	}
	return out
}

func TestSoundScanLacksNothing(t *testing.T) {
	c := sound(t)
	out := Assess(input(t, c, workingOf(c)))
	if out.Why != "" || !out.Canine {
		t.Errorf("why %q, canine %v", out.Why, out.Canine)
	}
	for _, g := range grave(out.Gaps) {
		t.Errorf("false gap: %+v", g)
	}
	for i, want := range []tooth.Number{25, 27} {
		k := out.Contacts[i]
		if !k.Needed || k.Tooth != want || k.Seen < 0.95 || k.Largest > 0.7 {
			t.Errorf("contact %d: %+v", i, k)
		}
		if d := k.At.Dist(c.Truth.Restorations[0].Contacts[i].At.Vec()); d > 1.5 {
			t.Errorf("contact of %v is looked for %.1f mm from where it is", want, d)
		}
	}
}

// A hole where the crown will touch is found with its place, tooth, side and size,
// and a way to hold the tip that sees it. The raster sees the middle half of the
// neighbour; the hole's edge follows the triangles (0.3 mm each side).
func TestContactHole(t *testing.T) {
	c := sound(t)
	for i, side := range []tooth.Surface{tooth.Mesial, tooth.Distal} {
		at := c.Truth.Restorations[0].Contacts[i].At.Vec()
		n := tooth.Number(c.Truth.Restorations[0].Contacts[i].Tooth)
		out := Assess(input(t, c, without(workingOf(c), at, 1.25)))
		gs := grave(out.Gaps)
		if len(gs) != 1 {
			t.Fatalf("%s: %d gaps: %+v", side, len(gs), gs)
		}
		g := gs[0]
		if g.Kind != ContactAreaMissing || g.Part != PartContact || g.Tooth != n || g.Surface != side || g.Role != "working" {
			t.Errorf("%s: %+v", side, g)
		}
		if math.Abs(g.Extent-2.5) > g.ExtentU+0.3 || g.At.Dist(at) > 0.8 {
			t.Errorf("%s: %.2f ± %.2f mm, %.1f mm off", side, g.Extent, g.ExtentU, g.At.Dist(at))
		}
		if a := g.Approach; a.Seen < 0.7 || a.Direction.Dot(g.Normal) < math.Cos(grazing) || a.Tilt < 5*math.Pi/180 {
			t.Errorf("%s: approach %+v", side, a)
		}
	}
}

// A hole on a tooth far from the gap is idle, one of half a millimetre in the
// contact area nothing.
func TestHolesThatDoNotMatter(t *testing.T) {
	c := sound(t)
	in := input(t, c, workingOf(c))
	far := r3.Vec{}
	for _, x := range in.Teeth {
		if x.Number == 24 {
			h, _ := in.Working.Tree.Ray(x.Center.AddScaled(3, x.Occlusal), x.Occlusal.Neg(), 0, 10)
			far = h.Point
		}
	}
	near := c.Truth.Restorations[0].Contacts[0].At.Vec()
	out := Assess(input(t, c, without(without(workingOf(c), far, 1.2), near, 0.3)))
	if gs := grave(out.Gaps); len(gs) != 0 {
		t.Errorf("gaps: %+v", gs)
	}
	listed := false
	for _, h := range out.Idle {
		listed = listed || h.At.Dist(far) < 1 && h.Why == "on a tooth that the crown does not need"
	}
	if !listed {
		t.Errorf("the hole on 24 is not listed: %+v", out.Idle)
	}
}

// A hole in the prepared surface matters, unless the preparation scan shows it. An
// opposing scan does not.
func TestStumpHole(t *testing.T) {
	c := sound(t)
	m := workingOf(c)
	in := input(t, c, m)
	top := in.Prepared.Center
	if x, ok := in.Working.Tree.Ray(top.AddScaled(5, in.Axis), in.Axis.Neg(), 0, 10); ok {
		top = x.Point
	}
	holed := input(t, c, without(m, top, 1))
	gs := grave(Assess(holed).Gaps)
	if len(gs) != 1 || gs[0].Part != PartPreparation || gs[0].Tooth != 26 || gs[0].At.Dist(top) > 0.5 {
		t.Fatalf("gaps %+v", gs)
	}
	if gs[0].Approach.Tilt > 45*math.Pi/180 {
		t.Errorf("approach %+v", gs[0].Approach)
	}
	part, _, _ := mesh.Submesh(m, func(f mesh.FaceID) bool { return m.Centroid(f).Dist(top) < 8 })
	holed.Preparation = surfaceOf("preparation", part)
	out := Assess(holed)
	for _, g := range grave(out.Gaps) {
		if g.Part == PartPreparation {
			t.Errorf("covered by the preparation scan, but: %+v", g)
		}
	}
	said := false
	for _, h := range out.Idle {
		said = said || h.Why == "the preparation scan shows it"
	}
	if !said {
		t.Errorf("idle: %+v", out.Idle)
	}
}

// The arch cut off before the canine, and the opposing teeth cut off over the
// mesial neighbour.
func TestShortArches(t *testing.T) {
	c := sound(t)
	m := workingOf(c)
	in := input(t, c, m)
	mesial := in.Prepared.Mesial
	ahead := func(p r3.Vec) float64 { return p.Sub(in.Prepared.Center).Dot(mesial) }
	cut, _, _ := mesh.Submesh(m, func(f mesh.FaceID) bool { return ahead(m.Centroid(f)) < 13 })
	out := Assess(input(t, c, cut))
	var short *Gap
	for i, g := range out.Gaps {
		if g.Kind == ArchTooShort {
			short = &out.Gaps[i]
		}
	}
	if short == nil || short.Tooth != 23 || out.Canine {
		t.Errorf("arch cut 13 mm ahead: canine %v, %+v", out.Canine, out.Gaps)
	}
	o := in.Opposing.Mesh
	cut, _, _ = mesh.Submesh(o, func(f mesh.FaceID) bool { return ahead(o.Centroid(f)) < 4 })
	in.Opposing = surfaceOf("opposing", cut)
	found := false
	for _, g := range Assess(in).Gaps {
		found = found || g.Part == PartOpposing && g.Role == "opposing" && math.Abs(g.Extent-6) < 2.5
	}
	if !found {
		t.Errorf("opposing cut 4 mm ahead: %+v", Assess(in).Gaps)
	}
}

// What is found moves with the scans; mirrored, it stands on the mirrored tooth.
func TestMotionAndMirror(t *testing.T) {
	c := sound(t)
	at := c.Truth.Restorations[0].Contacts[0].At.Vec()
	m := without(workingOf(c), at, 1.25)
	in := input(t, c, m)
	want := grave(Assess(in).Gaps)
	rng := rand.New(rand.NewPCG(7, 7))
	axis := r3.V(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()).UnitOr(r3.V(0, 0, 1))
	g := r3.Rigid{R: r3.Rotation(axis, 2), T: r3.V(30, -20, 5)}
	moved := in
	moved.Working, moved.Opposing = surfaceOf("working", m.Moved(g)), surfaceOf("opposing", in.Opposing.Mesh.Moved(g))
	k := dentition.Look("", moved.Working.Mesh)
	moved.Arch, moved.Prepared = k.Arch, dentition.FindPrepared(k, 26, nil)
	moved.Teeth, moved.Axis = nil, g.Dir(in.Axis)
	moved.Margin = nil
	for _, p := range in.Margin {
		moved.Margin = append(moved.Margin, g.Point(p))
	}
	got := grave(Assess(moved).Gaps)
	if len(got) != len(want) || got[0].Tooth != want[0].Tooth || got[0].Surface != want[0].Surface {
		t.Fatalf("moved: %+v, want %+v", got, want)
	}
	if d := got[0].At.Dist(g.Point(want[0].At)); d > 0.3 || math.Abs(got[0].Extent-want[0].Extent) > 0.3 {
		t.Errorf("moved: %.2f mm off, extent %.2f for %.2f", d, got[0].Extent, want[0].Extent)
	}

	flip := func(m *mesh.Mesh) *mesh.Mesh {
		out := m.Flipped()
		pos := make([]r3.Vec, len(m.Pos))
		for i, p := range m.Pos {
			pos[i] = r3.V(-p.X, p.Y, p.Z)
		}
		out.Pos = pos
		return out
	}
	k = dentition.Look("", flip(m))
	p := dentition.FindPrepared(k, 16, nil)
	mirrored := Input{
		Number: 16, Working: surfaceOf("working", k.Mesh), Opposing: surfaceOf("opposing", flip(in.Opposing.Mesh)),
		Arch: k.Arch, Prepared: p, Axis: r3.V(-in.Axis.X, in.Axis.Y, in.Axis.Z),
	}
	for _, q := range in.Margin {
		mirrored.Margin = append(mirrored.Margin, r3.V(-q.X, q.Y, q.Z))
	}
	got = grave(Assess(mirrored).Gaps)
	if len(got) != len(want) || got[0].Tooth != 15 || got[0].Surface != want[0].Surface {
		t.Fatalf("mirrored: %+v", got)
	}
	// The directions tried are no mirror images of each other: one step of them apart, and
	// so perhaps the next word, is the same advice. A contact can be seen from the buccal and
	// the lingual side alike: where the other side sees as much within a tenth, both are right.
	w := want[0].Approach.Direction
	asGood := min(got[0].Approach.Seen, want[0].Approach.Seen) >= 0.9 && math.Abs(got[0].Approach.Seen-want[0].Approach.Seen) < 0.1
	if d := got[0].Approach.Direction.Angle(r3.V(-w.X, w.Y, w.Z)) * 180 / math.Pi; d > 30 && !asGood {
		t.Errorf("mirrored: from %s, %.0f° from the mirror image of %s", got[0].Approach.From, d, want[0].Approach.From)
	}
}

func TestWithoutATooth(t *testing.T) {
	if out := Assess(Input{}); out.Why == "" || len(out.Gaps) != 0 {
		t.Errorf("%+v", out)
	}
	in := wallScene()
	in.Prepared.Sighting = dentition.NoneSeen
	if out := Assess(in); out.Why == "" || len(out.Gaps) != 0 {
		t.Errorf("%+v", out)
	}
	// No neighbour, no need.
	in = wallScene()
	for _, k := range Assess(in).Contacts {
		if k.Needed {
			t.Errorf("a neighbour that is not there is needed: %+v", k)
		}
	}
}
