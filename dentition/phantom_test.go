package dentition

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"

	"selvage/mesh"
	"selvage/phantom"
	"selvage/r3"
	"selvage/tooth"
)

// madeTeeth are the phantoms of this file: each class, both jaws, all quadrants.
var madeTeeth = []tooth.Number{11, 23, 26, 37, 42}

// made holds them, coarse (0.35 mm: half a second each to make).
var made = sync.OnceValues(func() (map[tooth.Number]phantom.Case, error) {
	out := map[tooth.Number]phantom.Case{}
	for _, n := range madeTeeth {
		s := phantom.Default(n)
		s.Scanner.Fine, s.Scanner.Coarse = 0.35, 0.4
		s.Roles = []string{phantom.Working, phantom.Opposing, phantom.Before, phantom.Bite}
		if n != 26 {
			s.Roles = s.Roles[:1]
		}
		c, err := phantom.Make(s)
		if err != nil {
			return nil, err
		}
		out[n] = c
	}
	return out, nil
})

func phantomOf(t *testing.T, n tooth.Number) *phantom.Case {
	t.Helper()
	all, err := made()
	if err != nil {
		t.Fatal(err)
	}
	c := all[n]
	return &c
}

// truthOf returns the true directions of a case and the middle of its margin.
func truthOf(c *phantom.Case) (occlusal, mesial, buccal, middle r3.Vec) {
	r := c.Truth.Restorations[0]
	for _, p := range r.Margin.Points {
		middle = middle.AddScaled(1/float64(len(r.Margin.Points)), p.Vec())
	}
	return c.Truth.Scans[0].Occlusal.Vec(), r.Mesial.Vec(), r.Buccal.Vec(), middle
}

func deg(a float64) float64 { return a * 180 / math.Pi }

// In any pose the prepared tooth of a phantom is found at its number, with its
// directions. 10° is what the occlusal direction is asked for; mesial and buccal
// follow the ridge, which a quadrant's end bends by as much again.
func TestPhantoms(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 13))
	for _, n := range madeTeeth {
		c := phantomOf(t, n)
		occlusal, mesial, buccal, middle := truthOf(c)
		w, _ := c.Scan(phantom.Working)
		g := motion(rng)
		s := Look(w.File, w.Mesh.Moved(g))
		if s.Orientation.InsideOut || s.Orientation.Closed {
			t.Errorf("%v: %+v", n, s.Orientation)
		}
		if d := deg(s.Arch.Occlusal.Angle(g.Dir(occlusal))); d > 10 {
			t.Errorf("%v: occlusal is %.1f° off", n, d)
		}
		p := FindPrepared(s, n, nil)
		if p.Sighting != Seen {
			t.Errorf("%v: %s", n, p.Why)
			continue
		}
		if d := p.Center.Sub(g.Point(middle)).Reject(p.Occlusal).Norm(); d > 1.6 {
			t.Errorf("%v: %.1f mm from the margin's middle", n, d)
		}
		if m, b := deg(p.Mesial.Angle(g.Dir(mesial))), deg(p.Buccal.Angle(g.Dir(buccal))); m > 15 || b > 15 {
			t.Errorf("%v: mesial %.0f° off, buccal %.0f°", n, m, b)
		}
		if !p.Mesially.Present || p.Distally.Present == (n == 37) {
			t.Errorf("%v: neighbours %+v, %+v", n, p.Mesially, p.Distally)
		}
		if h, why := Handedness(s, p); h != Consistent {
			t.Errorf("%v: handedness %d, %s", n, h, why)
		}
		if q := FindPrepared(s, n.OtherSide(), nil); q.Sighting != WrongSide {
			t.Errorf("%v taken for %v: %d, %s", n, n.OtherSide(), q.Sighting, q.Why)
		}
	}
}

// A mirrored file winds inside out and shows the tooth on the wrong side; wound
// anew it is another tooth.
func TestMirroredPhantoms(t *testing.T) {
	for _, n := range madeTeeth {
		w, _ := phantomOf(t, n).Scan(phantom.Working)
		m := &mesh.Mesh{Tri: w.Mesh.Tri}
		for _, p := range w.Mesh.Pos {
			m.Pos = append(m.Pos, r3.V(-p.X, p.Y, p.Z))
		}
		s := Look("mirrored", m)
		p := FindPrepared(s, n, nil)
		if h, why := Handedness(s, p); h != Mirrored {
			t.Errorf("%v mirrored: handedness %d, sighting %d: %s", n, h, p.Sighting, why)
		}
		s = Look("mirrored and wound anew", m.Flipped())
		p = FindPrepared(s, n, nil)
		if h, why := Handedness(s, p); h != OtherSide || p.Sighting != WrongSide {
			t.Errorf("%v: handedness %d, sighting %d: %s", n, h, p.Sighting, why)
		}
	}
}

// The four scans of a case get their roles from their shapes in whatever order
// they come; the arch from before shows no preparation.
func TestPhantomRoles(t *testing.T) {
	c := phantomOf(t, 26)
	rng := rand.New(rand.NewPCG(5, 5))
	for range 4 {
		var scans []Scan
		var want []string
		for _, i := range rng.Perm(len(c.Scans)) {
			scans = append(scans, Look("", c.Scans[i].Mesh))
			want = append(want, c.Scans[i].Role)
		}
		for i, g := range GuessRoles(scans, 26) {
			if g.Role != want[i] || g.Why == "" {
				t.Errorf("%s is taken for %q: %s", want[i], g.Role, g.Why)
			}
		}
	}
	b, _ := c.Scan(phantom.Before)
	before := Look("", b.Mesh)
	for _, n := range tooth.AlongArch(18, 28) {
		if p := FindPrepared(before, n, nil); p.Sighting != NoneSeen {
			t.Errorf("before, %v: %s", n, p.Why)
		}
	}
}

// The scan of the tooth alone says where it is; one that lies elsewhere says so.
func TestPreparationAlone(t *testing.T) {
	c := phantomOf(t, 26)
	_, _, _, middle := truthOf(c)
	w, _ := c.Scan(phantom.Working)
	s := Look("", w.Mesh)
	part, _, _ := mesh.Submesh(w.Mesh, func(f mesh.FaceID) bool { return w.Mesh.Centroid(f).Dist(middle) < 6.5 })
	alone := Look("", part)
	p := FindPrepared(s, 26, &alone)
	if d := p.Center.Sub(middle).Reject(p.Occlusal).Norm(); p.Sighting != Seen || d > 1.6 || p.Confidence != 1 {
		t.Errorf("%d, %.1f mm off: %s", p.Sighting, d, p.Why)
	}
	far := Look("", part.Moved(r3.Rigid{R: r3.Identity(), T: r3.V(60, 0, 0)}))
	if p := FindPrepared(s, 26, &far); p.Sighting != NoneSeen {
		t.Errorf("a scan 60 mm away: %d, %s", p.Sighting, p.Why)
	}
}

// The teeth of a quadrant are numbered around the prepared one.
func TestPhantomTeeth(t *testing.T) {
	c := phantomOf(t, 26)
	w, _ := c.Scan(phantom.Working)
	s := Look("", w.Mesh)
	p := FindPrepared(s, 26, nil)
	got := map[tooth.Number]Tooth{}
	for _, x := range FindTeeth(s.Arch, tooth.Upper, Anchor{Number: 26, Place: p.Place}) {
		got[x.Number] = x
	}
	for _, n := range c.Truth.Scans[0].Teeth {
		x, ok := got[tooth.Number(n)]
		if !ok {
			t.Errorf("%d is not found", n)
			continue
		}
		q := tooth.Number(n).Quadrant()
		if sign := x.Mesial.Cross(x.Buccal).Dot(x.Occlusal); (sign > 0) != (q == 1 || q == 3) {
			t.Errorf("%d: (mesial, buccal, occlusal) has sign %.2f", n, sign)
		}
	}
}

// What stands beside a preparation does not hide it: gum behind the last tooth, over
// which the ridge runs on and which would tilt the occlusal plane, nor a neighbour that
// leans over the crown's space until no gap is seen from above. The gum is no tooth.
func TestPreparedInPoorCompany(t *testing.T) {
	for _, c := range []struct {
		name   string
		seed   uint64
		faults []string
		last   bool
	}{
		{"last, high", 1, []string{"bite-unsupported", "reduction-low"}, true},
		{"last, short", 2, []string{"bite-unsupported", "walls-short"}, true},
		{"last, beside a tipped tooth", 3, []string{"bite-unsupported", "path-blocked"}, true},
		{"leaned on", 4, []string{"gap-narrow", "convergence-low"}, false},
	} {
		s := phantom.Default(26)
		s.Seed, s.Roles = c.seed, []string{phantom.Working}
		s.Scanner.Fine, s.Scanner.Coarse = 0.3, 0.35
		for _, f := range c.faults {
			s.Faults = append(s.Faults, phantom.Fault{Name: f})
		}
		if !c.last { // the crown stands out beside a tooth that is cut nearly straight
			s.Faults[0].Value, s.Stump.FinishWidth = 0.2, 0.5
		}
		made, err := phantom.Make(s)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		occlusal, _, _, middle := truthOf(&made)
		look := Look("", made.Scans[0].Mesh)
		if d := deg(look.Arch.Occlusal.Angle(occlusal)); d > 12 { // a low stump at the end tilts it still
			t.Errorf("%s: occlusal is %.1f° off", c.name, d)
		}
		p := FindPrepared(look, 26, nil)
		if d := p.Center.Sub(middle).Reject(p.Occlusal).Norm(); p.Sighting != Seen || d > 1.6 {
			t.Errorf("%s: sighting %d, %.1f mm off: %s", c.name, p.Sighting, d, p.Why)
		}
		for _, x := range FindTeeth(look.Arch, tooth.Upper, Anchor{Number: 26, Place: p.Place}) {
			if c.last && x.Number.Position() > 6 && x.Confidence >= surely {
				t.Errorf("%s: gum is taken for %v, sure (%.2f)", c.name, x.Number, x.Confidence)
			}
		}
	}
}

// In a row of two or three teeth the number asked for is believed where those fit it
// little worse than another of the same side.
func TestPreparedInShortRow(t *testing.T) {
	for _, c := range []struct {
		n    tooth.Number
		seed uint64
	}{{37, 1}, {47, 2}} {
		s := phantom.Default(c.n)
		s.Seed, s.Roles = c.seed, []string{phantom.Working}
		s.Faults = []phantom.Fault{{Name: "arch-too-short"}}
		made, err := phantom.Make(s)
		if err != nil {
			t.Fatal(err)
		}
		_, _, _, middle := truthOf(&made)
		p := FindPrepared(Look("", made.Scans[0].Mesh), c.n, nil)
		if d := p.Center.Sub(middle).Reject(p.Occlusal).Norm(); p.Sighting != Seen || d > 1.6 {
			t.Errorf("%v: sighting %d, %.1f mm off: %s", c.n, p.Sighting, d, p.Why)
		}
		front, _ := tooth.New(c.n.FDI() - 5)
		if far := FindPrepared(Look("", made.Scans[0].Mesh), front, nil); far.Sighting == Seen {
			t.Errorf("%v: seen at %v too, which is half as broad", c.n, front)
		}
	}
}

// Of a lower central incisor, beside teeth that are all about as wide, the row does not
// tell on which side of the midline it stands, and this is said; of others it does.
func TestDoubtOfSide(t *testing.T) {
	for _, c := range []struct{ n, want tooth.Number }{{31, 41}, {11, 0}, {26, 0}} {
		s := phantom.Default(c.n)
		s.Roles = []string{phantom.Working}
		s.Scanner.Fine, s.Scanner.Coarse = 0.3, 0.35
		made, err := phantom.Make(s)
		if err != nil {
			t.Fatal(err)
		}
		if p := FindPrepared(Look("", made.Scans[0].Mesh), c.n, nil); p.Sighting != Seen || p.Doubt != c.want {
			t.Errorf("%v: sighting %d, doubt %v, want %v", c.n, p.Sighting, p.Doubt, c.want)
		}
	}
}

// Of two prepared teeth side by side each alone may be taken for the other, or for a tooth
// farther on; looked for together they stand in their order and as far apart as they are
// wide.
func TestTwoSideBySide(t *testing.T) {
	i := slices.IndexFunc(kinds, func(k kind) bool { return k.name == "two-side-by-side" })
	for _, seed := range []uint64{4, 8} {
		s := trialOf(kinds[i], seed)
		c, err := phantom.Make(s)
		if err != nil {
			t.Fatal(err)
		}
		_, _, _, middle := truthOf(&c)
		numbers := []tooth.Number{s.Tooth, s.Teeth.Beside[0]}
		both := FindAllPrepared(Look("", c.Scans[0].Mesh), numbers, []*Scan{nil, nil})
		for k, p := range both {
			if p.Sighting != Seen || p.Number != numbers[k] {
				t.Errorf("seed %d: %v: sighting %d: %s", seed, numbers[k], p.Sighting, p.Why)
			}
		}
		if d := both[0].Center.Sub(middle).Reject(both[0].Occlusal).Norm(); d > 1.6 {
			t.Errorf("seed %d: %v is %.1f mm off", seed, numbers[0], d)
		}
		if d := both[0].Center.Dist(both[1].Center); d < 5 || d > 13 {
			t.Errorf("seed %d: %v and %v stand %.1f mm apart", seed, numbers[0], numbers[1], d)
		}
	}
}

// A name that a person gave a tooth is never overruled, and the others are numbered
// around it: with a premolar drawn and the gap closed nothing in the row tells which of
// the two is left.
func TestNamedTeethHold(t *testing.T) {
	s := phantom.Default(26)
	s.Roles, s.Teeth.Drawn = []string{phantom.Working}, 4
	s.Scanner.Fine, s.Scanner.Coarse = 0.35, 0.4
	c, err := phantom.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	m := c.Scans[0].Mesh
	middle := map[tooth.Number]r3.Vec{} // of the vertices of a tooth
	count := map[tooth.Number]float64{}
	for _, p := range m.Pos {
		n := c.ToothAt(0, p)
		middle[n] = middle[n].Add(p)
		count[n]++
	}
	look := Look("", m)
	name := func(n, as tooth.Number) {
		if !look.Arch.Name(as, middle[n].Scale(1/count[n])) {
			t.Fatalf("%v lies on no tooth", n)
		}
	}
	name(25, 25)
	name(23, 23)
	p := FindPrepared(look, 26, nil)
	if p.Sighting != Seen {
		t.Fatalf("sighting %d: %s", p.Sighting, p.Why)
	}
	for _, x := range FindTeeth(look.Arch, tooth.Upper, Anchor{Number: 26, Place: p.Place}) {
		if hand := x.Number == 25 || x.Number == 23; x.ByHand != hand || hand && x.Confidence != 1 || x.Number == 24 {
			t.Errorf("%v: by hand %v, confidence %.2f", x.Number, x.ByHand, x.Confidence)
		}
	}
	// Whoever says that the drawn one is the second premolar is believed.
	look = Look("", m)
	name(25, 24)
	found := false
	for _, x := range FindTeeth(look.Arch, tooth.Upper, Anchor{}) {
		found = found || x.Number == 24 && x.ByHand
	}
	if !found {
		t.Error("24 that was named is not among the teeth")
	}
	if look.Arch.Name(21, look.Arch.Ridge[0].Add(r3.V(40, 0, 40))) {
		t.Error("a point far from the row names a tooth")
	}
}
