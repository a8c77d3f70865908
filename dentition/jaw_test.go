package dentition

import (
	"math"
	"slices"
	"testing"

	"selvage/mesh"
	"selvage/phantom"
	"selvage/r3"
)

// The side of a tooth is told in a mirrored file and in one that is wound anew: of the
// last one in a row that is nearly straight, where the gum behind it bends the other
// way, by the row that it bites on.
func TestSideByBothRows(t *testing.T) {
	s := phantom.Default(17)
	s.Seed, s.Mouth = 7415792195090924673, 6527867967282925850
	s.Stump.ConvergenceMD, s.Stump.ConvergenceBL, s.Stump.TiltMesial, s.Stump.TiltBuccal = 0.365, 0.336, 0.027, -0.058
	s.Stump.FinishWidth, s.Stump.OcclusalReduction = 1.12, 1.9
	s.Roles = []string{phantom.Working, phantom.Opposing}
	s.Scanner.Fine, s.Scanner.Coarse = 0.35, 0.4
	made, err := phantom.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	sight := func(turn func(*mesh.Mesh) *mesh.Mesh) (Handed, string) {
		w, _ := made.Scan(phantom.Working)
		o, _ := made.Scan(phantom.Opposing)
		a, b := Look("", turn(w.Mesh)), Look("", turn(o.Mesh))
		a.Arch, b.Arch = FaceArches(a.Arch, b.Arch)
		return Handedness(a, FindPrepared(a, s.Tooth, nil))
	}
	mirrored := func(m *mesh.Mesh) *mesh.Mesh {
		out := &mesh.Mesh{Tri: m.Tri}
		for _, p := range m.Pos {
			out.Pos = append(out.Pos, r3.V(-p.X, p.Y, p.Z))
		}
		return out
	}
	if h, why := sight(func(m *mesh.Mesh) *mesh.Mesh { return m }); h != Consistent {
		t.Errorf("%v: handedness %d, %s", s.Tooth, h, why)
	}
	if h, why := sight(func(m *mesh.Mesh) *mesh.Mesh { return m.Flipped() }); h != Consistent {
		t.Errorf("%v inside out: handedness %d, %s", s.Tooth, h, why)
	}
	if h, why := sight(mirrored); h != Mirrored {
		t.Errorf("%v mirrored: handedness %d, %s", s.Tooth, h, why)
	}
	if h, why := sight(func(m *mesh.Mesh) *mesh.Mesh { return mirrored(m).Flipped() }); h != OtherSide {
		t.Errorf("%v mirrored and wound anew: handedness %d, %s", s.Tooth, h, why)
	}
}

// Of a row too straight to tell, a record of the bite shows the cheek's side, whichever
// way the row was taken. A stump beyond the last place where a tooth of the numbering
// finds room is numbered by the nearest one.
func TestSideByRecord(t *testing.T) {
	s := phantom.Default(45)
	s.Roles = []string{phantom.Working, phantom.Bite}
	s.Scanner.Fine, s.Scanner.Coarse = 0.4, 0.4
	made, err := phantom.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	w, _ := made.Scan(phantom.Working)
	b, _ := made.Scan(phantom.Bite)
	a := Look("", w.Mesh).Arch
	lingual := a.Lingual[len(a.Lingual)/2]
	if !a.SideKnown {
		t.Fatal("the row is too straight to hold the answer against")
	}
	a.SideKnown = false
	back := a.turned()
	back.SideKnown = false
	for name, row := range map[string]Arch{"right": a, "turned": back} {
		got := FaceRecord(row, b.Mesh.Pos)
		if !got.SideKnown || got.Lingual[len(got.Lingual)/2].Dot(lingual) < 0.9 {
			t.Errorf("%s: side known %v, lingual %v, want %v", name, got.SideKnown, got.Lingual[len(got.Lingual)/2], lingual)
		}
	}
	if got := FaceRecord(a, w.Mesh.Pos); got.SideKnown {
		t.Error("a scan of both sides of the row tells which is which")
	}
	if end := a.supportNear(a.Length, s.Tooth.Jaw()); math.IsInf(slices.Max(end), -1) {
		t.Error("at the end of the ridge no tooth can be numbered")
	}
}

// One lower incisor of the middle resembles the other: that the winding was inside out
// decides where the numbering prefers the wrong side by little.
func TestWindingWeighs(t *testing.T) {
	for _, c := range []struct {
		turned, short bool
		loss          float64
		fits          bool
	}{
		{false, false, 3, true},
		{true, false, 3, false},
		{true, false, 1, true},
		{false, false, 5, false},
		{false, true, 7.5, true}, // three teeth are no order
		{false, true, 10, false},
		{true, true, 3, false},
	} {
		s := stump{number: 41, turned: c.turned, short: c.short, loss: c.loss}
		if s.fits(31) != c.fits {
			t.Errorf("turned %v, loss %.0f: fits %v", c.turned, c.loss, !c.fits)
		}
	}
}

// Of a row of two or three teeth nothing proves the jaw: its bend does not tell the outer
// side, and the widths of two teeth fit both.
func TestShortRowIsNoOtherJaw(t *testing.T) {
	for _, seed := range []uint64{1, 2} {
		s := phantom.Default(27)
		s.Seed, s.Roles = seed, []string{phantom.Working, phantom.Opposing}
		s.Scanner.Fine, s.Scanner.Coarse = 0.3, 0.35
		s.Faults = []phantom.Fault{{Name: "arch-too-short"}}
		c, err := phantom.Make(s)
		if err != nil {
			t.Fatal(err)
		}
		w, _ := c.Scan(phantom.Working)
		o, _ := c.Scan(phantom.Opposing)
		upper, lower := Look("", w.Mesh), Look("", o.Mesh)
		upper.Arch, lower.Arch = FaceArches(upper.Arch, lower.Arch)
		if first, sure, why, ok := WhichIsUpper(upper, lower); ok && !first && sure > 0.6 {
			t.Errorf("seed %d: the upper jaw is taken for the lower one, sure to %.2f: %s", seed, sure, why)
		}
	}
}
