package margin

import (
	"math"
	"testing"
)

// TestKindOfAWavyLine: waves of the line, as a bur leaves them, make the corner of a shelf
// read rounder in one place than in the next, in phantoms 0.3 to 0.9 of its width. They do
// not make a shoulder mixed, nor a heavy chamfer of a shoulder that falls by 28°.
func TestKindOfAWavyLine(t *testing.T) {
	const deg = math.Pi / 180
	for _, c := range []struct {
		want              Kind
		least, most, fall float64 // of the inner radius as a share of the width; radians
	}{
		{Shoulder, 0.33, 0.75, 3 * deg},
		{SlopedShoulder, 0.5, 1.4, 28 * deg},
		{HeavyChamfer, 0.8, 2, 18 * deg},
		{SlopedShoulder, 0.3, 0.6, 30 * deg},
	} {
		forms := make([]shelfForm, 720)
		for i := range forms {
			phase := 24 * 2 * math.Pi * float64(i) / 720
			share := (c.least+c.most)/2 + (c.most-c.least)/2*math.Sin(phase)
			forms[i] = shelfForm{width: 1.15, radius: share * 1.15, slope: c.fall + 8*deg*math.Cos(phase), ok: true}
		}
		f := Finish{Share: map[Kind]float64{}}
		f.classify(steadyForms(forms))
		if f.Kind != c.want {
			t.Errorf("%s was taken for %s: %v", c.want, f.Kind, f.Share)
		}
	}
	// A line that changes from one side of the tooth to the other is mixed all the same.
	forms := make([]shelfForm, 720)
	for i := range forms {
		forms[i] = shelfForm{width: 0.55, radius: 0.5, slope: 38 * deg, ok: true}
		if i >= 360 {
			forms[i] = shelfForm{width: 1.15, radius: 0.4, slope: 3 * deg, ok: true}
		}
	}
	f := Finish{Share: map[Kind]float64{}}
	if f.classify(steadyForms(forms)); f.Kind != Mixed {
		t.Errorf("half chamfer, half shoulder was taken for %s: %v", f.Kind, f.Share)
	}
}
