package dentition

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"selvage/mesh"
	"selvage/meshio"
	"selvage/r3"
	"selvage/tooth"
)

// cast returns a plaster cast of the real scans, in mm. Without the folder the
// test is skipped, loudly; with CI=true it fails.
func cast(t testing.TB, jaw tooth.Jaw) *mesh.Mesh {
	t.Helper()
	root := os.Getenv("SELVAGE_DATA")
	if root == "" {
		root = "../../shared/data"
	}
	data, err := os.ReadFile(filepath.Join(root, "casts", string(jaw)+"teeth.obj"))
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("the real scans are missing: %v", err)
		}
		t.Skipf("SKIPPED: the real scans are missing (set SELVAGE_DATA): %v", err)
	}
	soup, _, err := meshio.Decode(data)
	if err != nil {
		t.Fatal(err)
	}
	m, _ := mesh.Build(soup)
	return m.Scaled(1000) // the files are in metres
}

var jaws = [2]tooth.Jaw{tooth.Upper, tooth.Lower}

// looked returns the cast of a jaw, looked at once.
func looked(t testing.TB, jaw tooth.Jaw) Scan {
	t.Helper()
	m := cast(t, jaw)
	lookOnce[jaw].Do(func() { lookCache[jaw] = Look(string(jaw), m) })
	return lookCache[jaw]
}

var (
	lookOnce  = map[tooth.Jaw]*sync.Once{tooth.Upper: {}, tooth.Lower: {}}
	lookCache = map[tooth.Jaw]Scan{}
)

// The two casts lie in one frame, about 4 mm apart, teeth to teeth, with z up.
func TestCastsAreHeldRight(t *testing.T) {
	for _, jaw := range jaws {
		up := r3.V(0, 0, 1)
		if jaw == tooth.Upper {
			up = up.Neg()
		}
		m := cast(t, jaw)
		s := Look(string(jaw), m)
		if !s.Orientation.Closed || s.Orientation.InsideOut {
			t.Errorf("%s: %+v, want a closed cast with sound winding", jaw, s.Orientation)
		}
		// The stone bases were trimmed askew by 13° and 8°; the crests lie within
		// 10° of the file's horizontal plane.
		if d := s.Arch.Occlusal.Angle(up) * 180 / math.Pi; d > 10 {
			t.Errorf("%s: occlusal is %.1f° off", jaw, d)
		}
		if s.Arch.Extent != FullArch || !s.Arch.SideKnown || s.Arch.Length < 105 || s.Arch.Length > 140 {
			t.Errorf("%s: %v, %.0f mm, side known %v", jaw, s.Arch.Extent, s.Arch.Length, s.Arch.SideKnown)
		}
		if f := Look(string(jaw), m.Flipped()); !f.Orientation.InsideOut || f.Arch.Occlusal.Angle(s.Arch.Occlusal) > 1e-9 {
			t.Errorf("%s wound inside out: %+v", jaw, f.Orientation)
		}
	}
}

// Fourteen teeth stand in each cast. The lower has a half-erupted third molar on
// the left, and both have pads behind the last teeth; what is said about third
// molars is not tested here.
func TestCastsTeeth(t *testing.T) {
	for _, jaw := range jaws {
		s := looked(t, jaw)
		var got []tooth.Number
		for _, x := range FindTeeth(s.Arch, jaw, Anchor{}) {
			if x.Number.Position() == 8 {
				continue
			}
			got = append(got, x.Number)
			d, _ := tooth.Dimensions(x.Number)
			// Seen from above, along the ridge's own line, a tooth is up to 1 mm
			// narrower or wider than between its contact points.
			if low, high := d.MDRange(); x.Width < low-1 || x.Width > high+1 {
				t.Errorf("%s %v: %.1f mm wide", jaw, x.Number, x.Width)
			}
			if x.Confidence < 0.5 {
				t.Errorf("%s %v: confidence %.2f", jaw, x.Number, x.Confidence)
			}
		}
		want := types(jaw)[1:15]
		if !slices.Equal(got, want) {
			t.Errorf("%s: teeth %v, want %v", jaw, got, want)
		}
	}
}

// The right half of the upper jaw lies at positive y in the file's frame: the casts
// look along -x, z is up.
func TestCastsSides(t *testing.T) {
	for _, jaw := range jaws {
		s := looked(t, jaw)
		for _, x := range FindTeeth(s.Arch, jaw, Anchor{}) {
			right := x.Center.Y > s.Arch.Ridge[s.Arch.index(s.Arch.Middle)].Y
			if right != (x.Number.Side() == tooth.Right) && x.Number.Position() > 1 {
				t.Errorf("%s: %v lies on the other side", jaw, x.Number)
			}
			if x.Number.Position() > 3 && math.Abs(x.Buccal.Y) < 0.7 {
				t.Errorf("%s: buccal of %v is %v", jaw, x.Number, x.Buccal)
			}
			sign := x.Mesial.Cross(x.Buccal).Dot(x.Occlusal)
			if q := x.Number.Quadrant(); (sign > 0) != (q == 1 || q == 3) {
				t.Errorf("%s %v: the triple (mesial, buccal, occlusal) has sign %.2f", jaw, x.Number, sign)
			}
		}
	}
}

// No tooth of the casts is prepared.
func TestCastsHaveNoPreparedTooth(t *testing.T) {
	for _, jaw := range jaws {
		s := looked(t, jaw)
		for _, n := range tooth.All() {
			if p := FindPrepared(s, n, nil); p.Sighting != NoneSeen || p.Why == "" {
				t.Errorf("%s: %v: %d, %s", jaw, n, p.Sighting, p.Why)
			}
		}
		all := s.Arch.stumps(s.Arch.strip.chart)
		t.Logf("%s: the most stump-like natural tooth scores %.2f at %.0f mm", jaw, all[0].score, all[0].place)
	}
}

func TestCastsJaws(t *testing.T) {
	u, l := looked(t, tooth.Upper), looked(t, tooth.Lower)
	if first, sure, why, ok := WhichIsUpper(u, l); !ok || !first || sure < 0.9 {
		t.Errorf("upper, lower: %v %.2f %v, %s", first, sure, ok, why)
	}
	if first, sure, why, ok := WhichIsUpper(l, u); !ok || first || sure < 0.9 {
		t.Errorf("lower, upper: %v %.2f %v, %s", first, sure, ok, why)
	}
	for n, want := range map[tooth.Number][2]string{26: {roleWorking, roleOpposing}, 36: {roleOpposing, roleWorking}} {
		g := GuessRoles([]Scan{u, l}, n)
		if g[0].Role != want[0] || g[1].Role != want[1] {
			t.Errorf("roles for %v: %+v", n, g)
		}
	}
}

// milled returns an open scan of a cast in which one tooth was prepared.
func milled(s Scan, x Tooth) *mesh.Mesh {
	h := newHeightMesh(s, 0.2, 11, 14)
	h.stump(s.Arch, x, 1.8, 4)
	return h.mesh()
}

// A preparation milled into the posterior teeth of the casts is found, given its
// number and not that of the other side, with its sides and neighbours. Every other
// tooth is tried, one of each namesake pair: all of them takes long.
func TestMilledPreparations(t *testing.T) {
	for _, jaw := range jaws {
		s := looked(t, jaw)
		for _, x := range FindTeeth(s.Arch, jaw, Anchor{}) {
			if p := x.Number.Position(); p < 4 || p > 7 || (p+x.Number.Quadrant())%2 == 0 {
				continue
			}
			got := Look(string(jaw), milled(s, x))
			if got.Orientation.Closed || got.Orientation.InsideOut {
				t.Errorf("%v: %+v, want an open scan", x.Number, got.Orientation)
			}
			p := FindPrepared(got, x.Number, nil)
			off := p.Center.Sub(x.Center).Reject(p.Occlusal).Norm()
			if p.Sighting != Seen || off > 2 {
				t.Errorf("%v: sighting %d, %.1f mm off: %s", x.Number, p.Sighting, off, p.Why)
				continue
			}
			// A stump's middle may lie a millimetre along the ridge from the crown's:
			// 5° where the ridge bends most behind the canine.
			if a := p.Mesial.Angle(x.Mesial) * 180 / math.Pi; a > 10 {
				t.Errorf("%v: mesial is %.0f° off", x.Number, a)
			}
			if !p.Mesially.Present || (x.Number.Position() < 7 && !p.Distally.Present) {
				t.Errorf("%v: neighbours %+v %+v", x.Number, p.Mesially, p.Distally)
			}
			if h, why := Handedness(got, p); h != Consistent {
				t.Errorf("%v: handedness %d: %s", x.Number, h, why)
			}
			if q := FindPrepared(got, x.Number.OtherSide(), nil); q.Sighting != WrongSide {
				t.Errorf("%v taken for %v: %d, %s", x.Number, x.Number.OtherSide(), q.Sighting, q.Why)
			}
		}
	}
}

// A mirrored file winds inside out, and the tooth stands on the wrong side.
func TestMirroredCast(t *testing.T) {
	s := looked(t, tooth.Upper)
	for _, x := range FindTeeth(s.Arch, tooth.Upper, Anchor{}) {
		if x.Number != 26 {
			continue
		}
		m := milled(s, x)
		for i := range m.Pos {
			m.Pos[i].Y = -m.Pos[i].Y
		}
		got := Look("mirrored", m)
		p := FindPrepared(got, 26, nil)
		if h, why := Handedness(got, p); h != Mirrored || p.Sighting != WrongSide {
			t.Errorf("handedness %d, sighting %d: %s", h, p.Sighting, why)
		}
		got = Look("mirrored, wound anew", m.Flipped())
		p = FindPrepared(got, 26, nil)
		if h, why := Handedness(got, p); h != OtherSide || p.Sighting != WrongSide {
			t.Errorf("handedness %d, sighting %d: %s", h, p.Sighting, why)
		}
	}
}

// motion returns a random rigid motion.
func motion(rng *rand.Rand) r3.Rigid {
	axis := r3.V(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()).UnitOr(r3.V(0, 0, 1))
	return r3.Rigid{
		R: r3.Rotation(axis, 2*math.Pi*rng.Float64()),
		T: r3.V(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()).Scale(50),
	}
}

// What is found moves with the scan. The raster falls anew on every pose: half a
// millimetre of the search's cell along the ridge, and 1° of the plane.
func TestRigidMotionMovesTheAnswer(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	base := looked(t, tooth.Upper)
	teeth := FindTeeth(base.Arch, tooth.Upper, Anchor{})
	var x Tooth
	for _, y := range teeth {
		if y.Number == 16 {
			x = y
		}
	}
	m := milled(base, x)
	want := Look("", m)
	p := FindPrepared(want, 16, nil)
	for range 2 {
		g := motion(rng)
		got := Look("", m.Moved(g))
		if d := got.Arch.Occlusal.Angle(g.Dir(want.Arch.Occlusal)) * 180 / math.Pi; d > 1 {
			t.Errorf("occlusal moved by %.2f°", d)
		}
		q := FindPrepared(got, 16, nil)
		if d := q.Center.Dist(g.Point(p.Center)); q.Sighting != Seen || d > 0.5 {
			t.Errorf("the prepared tooth moved by %.2f mm (%s)", d, q.Why)
		}
		if d := q.Mesial.Angle(g.Dir(p.Mesial)) * 180 / math.Pi; d > 3 {
			t.Errorf("mesial turned by %.1f°", d)
		}
		before := map[tooth.Number]r3.Vec{}
		for _, y := range FindTeeth(want.Arch, tooth.Upper, Anchor{Number: 16, Place: p.Place}) {
			before[y.Number] = g.Point(y.Center)
		}
		for _, y := range FindTeeth(got.Arch, tooth.Upper, Anchor{Number: 16, Place: q.Place}) {
			if d := y.Center.Dist(before[y.Number]); d > 1.5 && y.Number.Position() < 8 {
				t.Errorf("tooth %v moved by %.1f mm", y.Number, d)
			}
		}
	}
}

func TestNothingToSee(t *testing.T) {
	empty := Look("", &mesh.Mesh{})
	if empty.Arch.Extent != NoArch || empty.Arch.Why == "" || empty.Orientation.Why == "" {
		t.Errorf("an empty mesh: %+v", empty)
	}
	one := &mesh.Mesh{Pos: []r3.Vec{{}, {X: 1}, {Y: 1}}, Tri: [][3]mesh.VertexID{{0, 1, 2}}}
	s := Look("", one)
	if s.Arch.Extent != NoArch {
		t.Errorf("one triangle: %+v", s.Arch.Extent)
	}
	if p := FindPrepared(s, 26, nil); p.Sighting != NoneSeen || p.Why == "" {
		t.Errorf("one triangle: %+v", p)
	}
	if x := FindTeeth(s.Arch, tooth.Upper, Anchor{}); len(x) != 0 {
		t.Errorf("one triangle: teeth %v", x)
	}
	if g := GuessRoles([]Scan{s, empty}, 26); len(g) != 2 {
		t.Errorf("roles: %+v", g)
	}
}

func BenchmarkLook(b *testing.B) {
	s := looked(b, tooth.Upper)
	h := newHeightMesh(s, 0.1, 11, 14)
	m := h.mesh()
	b.ReportMetric(float64(len(m.Tri)), "faces")
	for b.Loop() {
		Look("", m)
	}
}

func BenchmarkFindPrepared(b *testing.B) {
	s := looked(b, tooth.Upper)
	h := newHeightMesh(s, 0.1, 11, 14)
	for _, x := range FindTeeth(s.Arch, tooth.Upper, Anchor{}) {
		if x.Number == 26 {
			h.stump(s.Arch, x, 1.8, 4)
		}
	}
	got := Look("", h.mesh())
	for b.Loop() {
		FindPrepared(got, 26, nil)
	}
}
