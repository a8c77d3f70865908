package picture

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"selvage/mesh"
	"selvage/r3"
)

// TestSectionOfBox cuts a rounded box through its middle: one closed curve with the
// outline's length, the solid on its left.
func TestSectionOfBox(t *testing.T) {
	box := roundedBox(r3.V(6, 4, 3), 1, r3.V(1, 1, 1), r3.V(1, 0, 0), r3.V(0, 1, 0), r3.V(0, 0, 1))
	whole, _ := mesh.Build(mesh.Soup{Pos: box.Pos, Tri: plain(box.Tri)}) // its sides share no corners
	got := Profiles(whole, Cut{Origin: r3.V(1, 1, 1.2), U: r3.V(1, 0, 0), V: r3.V(0, 1, 0)})
	if len(got) != 1 {
		t.Fatalf("%d curves, want 1", len(got))
	}
	p := got[0]
	if p[0] != p[len(p)-1] {
		t.Error("the curve is not closed")
	}
	length, area := 0.0, 0.0
	for i := 1; i < len(p); i++ {
		length += math.Hypot(p[i][0]-p[i-1][0], p[i][1]-p[i-1][1])
		area += (p[i-1][0]*p[i][1] - p[i][0]*p[i-1][1]) / 2
	}
	want := 2*(10+6) + 2*math.Pi // straight sides and four quarter circles of radius 1
	if math.Abs(length-want) > 0.02*want {
		t.Errorf("length %.3f, want %.3f within 2 %% (chords of 7.5°)", length, want)
	}
	if wantA := 12.0*8 - (4 - math.Pi); math.Abs(area-wantA) > 0.02*wantA {
		t.Errorf("area %.3f, want %.3f: the solid lies on the left", area, wantA)
	}
}

// TestOpenSection cuts a sheet: one open curve.
func TestOpenSection(t *testing.T) {
	sheet := field(-3, 3, -3, 3, 0.5, func(x, y float64) float64 { return 0.1 * x }, nil)
	got := Profiles(sheet, Cut{Origin: r3.V(0, 0.2, 0), U: r3.V(1, 0, 0), V: r3.V(0, 0, 1)})
	if len(got) != 1 || got[0][0] == got[0][len(got[0])-1] {
		t.Fatalf("%d curves, want one open one", len(got))
	}
	for _, q := range got[0] {
		if math.Abs(q[1]-0.1*q[0]) > 1e-9 {
			t.Fatalf("point %v is off the sheet", q)
		}
	}
}

// TestSectionDrawingIsInert draws with a hostile text: the drawing stays one
// well-formed document with the text as text.
func TestSectionDrawingIsInert(t *testing.T) {
	s := fixtureStage()
	evil := `</text><script>alert(1)</script> 0.8 & < "`
	svg := Section(Cut{Origin: r3.V(0, 0, 3), U: r3.V(1, 0, 0), V: r3.V(0, 0, 1)}, 14, 400, 300,
		[]SectionCurve{{Mesh: s.Prepared}, {Mesh: s.Opposing, Tint: Opposing}},
		[]Distance{{From: r3.V(0, 0, 4), To: r3.V(0, 0, 6), Text: evil}})
	d := xml.NewDecoder(bytes.NewReader(svg))
	text := ""
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := tok.(type) {
		case xml.StartElement:
			if e.Name.Local == "script" {
				t.Fatal("the text became an element")
			}
		case xml.CharData:
			text += string(e)
		}
	}
	if !strings.Contains(text, evil) {
		t.Errorf("the text is %q", text)
	}
}

// TestNiceStep checks the scale bar's steps.
func TestNiceStep(t *testing.T) {
	for v, want := range map[float64]float64{0.9: 0.5, 1: 1, 1.9: 1, 2.2: 2, 7: 5, 12: 10, 0.03: 0.02} {
		if got := niceStep(v); math.Abs(got-want) > 1e-12 {
			t.Errorf("niceStep(%v) = %v, want %v", v, got, want)
		}
	}
	for v, want := range map[float64]string{0.5: "0.5", 10: "10", 2: "2", -0.001: "0"} {
		if got := number(v, 2); got != want {
			t.Errorf("number(%v) = %q, want %q", v, got, want)
		}
	}
}
