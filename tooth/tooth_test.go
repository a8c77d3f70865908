package tooth_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"selvage/tooth"
)

// Check values of the trade's tables (trade numbers, section 12): row 27, the ends
// of each quadrant; row 28, tooth 36 in three systems.
func TestUniversalEnds(t *testing.T) {
	u := []int{1, 8, 9, 16, 17, 24, 25, 32}
	for i, want := range []tooth.Number{18, 11, 21, 28, 38, 31, 41, 48} {
		got, err := tooth.FromUniversal(u[i])
		if err != nil || got != want || got.Universal() != u[i] {
			t.Errorf("universal %d = %v, %v, want %v", u[i], got, err, want)
		}
	}
	n := tooth.Number(36)
	if n.Universal() != 19 || n.Palmer() != "LL6" || n.String() != "36" || n.FDI() != 36 {
		t.Errorf("36 = universal %d, %s, %s, want 19, LL6, 36", n.Universal(), n.Palmer(), n)
	}
}

// Row 30: all 32 go round in every system and are distinct.
func TestRoundTrips(t *testing.T) {
	all := tooth.All()
	if len(all) != 32 {
		t.Fatalf("%d teeth", len(all))
	}
	for u, n := range all {
		if !n.Valid() || slices.Index(all, n) != u || n.Universal() != u+1 {
			t.Errorf("universal %d is %v, whose number is %d", u+1, n, n.Universal())
		}
		for system, code := range map[tooth.System]string{
			tooth.FDI: n.String(), tooth.Universal: fmt.Sprint(n.Universal()), tooth.Palmer: n.Palmer(),
		} {
			if got, err := tooth.Parse(system, " "+strings.ToLower(code)+" "); err != nil || got != n {
				t.Errorf("Parse(%s, %s) = %v, %v, want %v", system, code, got, err, n)
			}
		}
	}
}

// Row 31: 19, 10, 49, 50, 56 and 89 are no teeth; 10 names an area. Deciduous teeth
// are refused in words.
func TestRefused(t *testing.T) {
	for _, c := range []struct {
		system     tooth.System
		code, want string
	}{
		{tooth.FDI, "19", "there is no tooth 19"},
		{tooth.FDI, "10", "quadrant"},
		{tooth.FDI, "49", "there is no tooth 49"},
		{tooth.FDI, "50", "there is no tooth 50"},
		{tooth.FDI, "56", "there is no tooth 56"},
		{tooth.FDI, "89", "there is no tooth 89"},
		{tooth.FDI, "55", "deciduous"},
		{tooth.FDI, "61", "deciduous"},
		{tooth.FDI, "85", "deciduous"},
		{tooth.FDI, "99", "there is no tooth"},
		{tooth.FDI, "03", "area"},
		{tooth.FDI, "3", "area"},
		{tooth.FDI, "", "empty"},
		{tooth.FDI, "026", "two digits"},
		{tooth.FDI, "+26", "two digits"},
		{tooth.FDI, "-6", "two digits"},
		{tooth.FDI, "2 6", "two digits"},
		{tooth.FDI, "٢٦", "two digits"},
		{tooth.FDI, "UL6", "two digits"},
		{tooth.Universal, "0", "1 to 32"},
		{tooth.Universal, "33", "1-32"},
		{tooth.Universal, "014", "1 to 32"},
		{tooth.Universal, "A", "deciduous"},
		{tooth.Universal, "t", "deciduous"},
		{tooth.Universal, "U", "1 to 32"},
		{tooth.Palmer, "UR9", "Palmer"},
		{tooth.Palmer, "UR0", "Palmer"},
		{tooth.Palmer, "XR6", "Palmer"},
		{tooth.Palmer, "26", "Palmer"},
		{tooth.Palmer, "URC", "deciduous"},
		{tooth.Palmer, "UR16", "Palmer"},
		{"iso", "26", "unknown tooth system"},
		{"", "26", "unknown tooth system"},
	} {
		n, err := tooth.Parse(c.system, c.code)
		if err == nil || n != 0 || !strings.Contains(err.Error(), c.want) {
			t.Errorf("Parse(%q, %q) = %v, %v, want an error with %q", c.system, c.code, n, err, c.want)
		}
	}
	for fdi := -20; fdi <= 120; fdi++ {
		n, err := tooth.New(fdi)
		if q, p := fdi/10, fdi%10; (err == nil) != (q >= 1 && q <= 4 && p >= 1 && p <= 8) || err == nil && n.FDI() != fdi {
			t.Errorf("New(%d) = %v, %v", fdi, n, err)
		}
	}
}

func TestPlaceAndClass(t *testing.T) {
	for _, c := range []struct {
		n     tooth.Number
		jaw   tooth.Jaw
		side  tooth.Side
		class tooth.Class
		name  string
	}{
		{11, tooth.Upper, tooth.Right, tooth.Incisor, "upper right central incisor"},
		{22, tooth.Upper, tooth.Left, tooth.Incisor, "upper left lateral incisor"},
		{33, tooth.Lower, tooth.Left, tooth.Canine, "lower left canine"},
		{44, tooth.Lower, tooth.Right, tooth.Premolar, "lower right first premolar"},
		{25, tooth.Upper, tooth.Left, tooth.Premolar, "upper left second premolar"},
		{26, tooth.Upper, tooth.Left, tooth.Molar, "upper left first molar"},
		{48, tooth.Lower, tooth.Right, tooth.Molar, "lower right third molar"},
		{0, "", "", "", "no tooth"},
		{19, "", "", "", "no tooth"},
		{-12, "", "", "", "no tooth"},
		{55, "", "", "", "no tooth"},
	} {
		if c.n.Jaw() != c.jaw || c.n.Side() != c.side || c.n.Class() != c.class || c.n.Name() != c.name {
			t.Errorf("%d is %s %s %s, %q", c.n, c.n.Jaw(), c.n.Side(), c.n.Class(), c.n.Name())
		}
	}
}

// The laws of neighbourhood hold for all teeth.
func TestNeighbours(t *testing.T) {
	for _, n := range tooth.All() {
		m, ok := n.Mesial()
		if !ok || m.Jaw() != n.Jaw() {
			t.Errorf("mesial of %v = %v", n, m)
		}
		if n.Position() > 1 {
			if back, ok := m.Distal(); !ok || back != n {
				t.Errorf("distal of the mesial neighbour of %v is %v", n, back)
			}
		} else if back, _ := m.Mesial(); back != n || m.Side() == n.Side() {
			t.Errorf("%v and %v do not meet at the midline", n, m)
		}
		if _, ok := n.Distal(); ok == (n.Position() == 8) {
			t.Errorf("distal neighbour of %v: %v", n, ok)
		}
		if o := n.OtherSide(); o.OtherSide() != n || o.Side() == n.Side() || o.Jaw() != n.Jaw() || o.Kind() != n.Kind() {
			t.Errorf("other side of %v is %v", n, o)
		}
		if o := n.Opposite(); o.Opposite() != n || o.Side() != n.Side() || o.Jaw() != n.Jaw().Other() {
			t.Errorf("opposite of %v is %v", n, o)
		}
		// Meeting is mutual.
		for _, a := range n.Antagonists() {
			if a.Jaw() != n.Jaw().Other() || !slices.Contains(a.Antagonists(), n) {
				t.Errorf("%v meets %v, which meets %v", n, a, a.Antagonists())
			}
		}
	}
}

func TestAntagonists(t *testing.T) {
	for n, want := range map[tooth.Number][]tooth.Number{
		26: {36, 37}, 36: {26, 25}, 11: {41, 42}, 41: {11}, 28: {38}, 38: {28, 27}, 13: {43, 44}, 19: nil,
	} {
		if got := n.Antagonists(); !slices.Equal(got, want) {
			t.Errorf("%v meets %v, want %v", n, got, want)
		}
	}
}

func TestAlongArch(t *testing.T) {
	for _, c := range []struct {
		a, b tooth.Number
		want []tooth.Number
	}{
		{26, 23, []tooth.Number{26, 25, 24, 23}},
		{12, 22, []tooth.Number{12, 11, 21, 22}},
		{32, 41, []tooth.Number{32, 31, 41}},
		{46, 46, []tooth.Number{46}},
		{26, 36, nil},
		{26, 0, nil},
	} {
		if got := tooth.AlongArch(c.a, c.b); !slices.Equal(got, c.want) {
			t.Errorf("from %v to %v: %v, want %v", c.a, c.b, got, c.want)
		}
	}
	if got := tooth.AlongArch(18, 28); len(got) != 16 {
		t.Errorf("the upper arch has %v", got)
	}
}

func TestNoToothHasNoFacts(t *testing.T) {
	n := tooth.Number(0)
	_, m := n.Mesial()
	_, d := n.Distal()
	_, dim := tooth.Dimensions(n)
	if m || d || dim || n.OtherSide() != 0 || n.Opposite() != 0 || n.Universal() != 0 || n.Palmer() != "" || n.Front() ||
		n.FunctionalSide() != "" || n.Jaw().Other() != "" {
		t.Error("no tooth has facts")
	}
}

func TestWords(t *testing.T) {
	for _, c := range []struct {
		s          tooth.Surface
		n          tooth.Number
		word, spot string
	}{
		{tooth.Lingual, 26, "palatal", "palatal side"},
		{tooth.Lingual, 36, "lingual", "lingual side"},
		{tooth.Distolingual, 17, "distopalatal", "distopalatal line angle"},
		{tooth.Mesiolingual, 47, "mesiolingual", "mesiolingual line angle"},
		{tooth.Distobuccal, 26, "distobuccal", "distobuccal line angle"},
		{tooth.Mesial, 11, "mesial", "mesial side"},
		{tooth.Occlusal, 11, "incisal", "biting edge"},
		{tooth.Occlusal, 16, "occlusal", "biting surface"},
		{tooth.Lingual, 0, "lingual", "lingual side"},
		{"", 26, "", ""},
	} {
		if c.s.Word(c.n) != c.word || c.s.Spot(c.n) != c.spot {
			t.Errorf("%s of %v: %q, %q, want %q, %q", c.s, c.n, c.s.Word(c.n), c.s.Spot(c.n), c.word, c.spot)
		}
	}
	if tooth.Number(26).FunctionalSide() != tooth.Lingual || tooth.Number(36).FunctionalSide() != tooth.Buccal {
		t.Error("the holding cusps are palatal above and buccal below")
	}
}

func TestSectorOf(t *testing.T) {
	for i := range 720 {
		a := float64(i) * math.Pi / 360
		got := tooth.SectorOf(math.Cos(a), math.Sin(a))
		want := tooth.Sectors()[int(math.Floor(float64(i)/90+0.5))%8]
		if i%90 != 45 && got != want {
			t.Errorf("%v° is %s, want %s", float64(i)/2, got, want)
		}
	}
	for _, c := range []struct {
		m, b float64
		want tooth.Surface
	}{{1, 0, tooth.Mesial}, {0, 1, tooth.Buccal}, {-1, 0, tooth.Distal}, {0, -1, tooth.Lingual}, {-1, 1, tooth.Distobuccal}, {0, 0, ""}, {math.NaN(), 1, ""}} {
		if got := tooth.SectorOf(c.m, c.b); got != c.want {
			t.Errorf("SectorOf(%v, %v) = %q, want %q", c.m, c.b, got, c.want)
		}
	}
	corners := 0
	for _, s := range tooth.Sectors() {
		if s.Corner() {
			corners++
		}
	}
	if corners != 4 {
		t.Errorf("%d corners", corners)
	}
}

// Row 61: the upper first molar is 10.0 wide, 11.0 deep, 7.5 high (Wheeler).
func TestDimensions(t *testing.T) {
	d, ok := tooth.Dimensions(26)
	if !ok || d.MD != 10 || d.BL != 11 || d.Height != 7.5 || d.FromMemory {
		t.Errorf("26: %+v", d)
	}
	for _, n := range tooth.All() {
		d, ok := tooth.Dimensions(n)
		o, _ := tooth.Dimensions(n.OtherSide())
		low, high := d.MDRange()
		if !ok || d != o || d.MDCervix >= d.MD || d.BLCervix > d.BL || d.Height < 6 || d.Height > 12 || !(low < d.MD && d.MD < high) {
			t.Errorf("%v: %+v, widths from %.2f to %.2f", n, d, low, high)
		}
		if (d.Men == tooth.Width{}) != (n.Position() == 8) {
			t.Errorf("%v: survey %+v", n, d.Men)
		}
	}
	if low, high := func() (float64, float64) { d, _ := tooth.Dimensions(11); return d.MDRange() }(); math.Abs(low-6.28) > 1e-9 || math.Abs(high-10.62) > 1e-9 {
		t.Errorf("11: widths from %v to %v, want 8.40 - 4·0.53 to 8.78 + 4·0.46", low, high)
	}
}

func Example() {
	n, err := tooth.Parse(tooth.Universal, "14")
	fmt.Println(n, n.Palmer(), n.Name(), err)
	fmt.Println(tooth.Distolingual.Spot(n), n.Antagonists())
	_, err = tooth.Parse(tooth.FDI, "54")
	fmt.Println(err)
	// Output:
	// 26 UL6 upper left first molar <nil>
	// distopalatal line angle [36 37]
	// tooth 54 is a deciduous tooth; only permanent teeth (11 to 48) are covered
}
