package paint

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/rand/v2"
	"testing"
)

// TestOklabRoundTrip checks that each sRGB grey and a lattice of colours come back.
func TestOklabRoundTrip(t *testing.T) {
	for r := 0; r < 256; r += 15 {
		for g := 0; g < 256; g += 15 {
			for b := 0; b < 256; b += 15 {
				c := color.RGBA{uint8(r), uint8(g), uint8(b), 255}
				if got := OklabOf(c).RGB(); got != c {
					t.Fatalf("%v comes back as %v", c, got)
				}
			}
		}
	}
	if w := OklabOf(color.RGBA{255, 255, 255, 255}); math.Abs(w.L-1) > 1e-3 || math.Abs(w.A)+math.Abs(w.B) > 1e-3 {
		t.Errorf("white is %v, want lightness 1 without colour", w)
	}
}

// deficient shows a linear-light colour as a dichromat sees it (Viénot, Brettel and
// Mollon 1999, for protanopes and deuteranopes): red and green fall together.
func deficient(c color.RGBA, protan bool) color.RGBA {
	r, g, b := decodeSRGB(c.R), decodeSRGB(c.G), decodeSRGB(c.B)
	m := [3][3]float64{{0.29275, 0.70725, 0}, {0.29275, 0.70725, 0}, {-0.02234, 0.02234, 1}}
	if protan {
		m = [3][3]float64{{0.11238, 0.88762, 0}, {0.11238, 0.88762, 0}, {0.00401, -0.00401, 1}}
	}
	at := func(i int) uint8 { return encodeSRGB(m[i][0]*r + m[i][1]*g + m[i][2]*b) }
	return color.RGBA{at(0), at(1), at(2), 255}
}

// TestDepthRamp checks the map's promises: even steps, lightness that only rises,
// and an order that colour-blind readers and grey print keep.
func TestDepthRamp(t *testing.T) {
	r := DepthRamp()
	least, most := math.Inf(1), 0.0
	for i := 1; i < RampSteps; i++ {
		d := r.Step(i).Dist(r.Step(i - 1))
		least, most = min(least, d), max(most, d)
		if r.Step(i).L <= r.Step(i-1).L {
			t.Fatalf("lightness falls at step %d", i)
		}
	}
	if most > 1.05*least {
		t.Errorf("steps from %.5f to %.5f: not even within 5 %%", least, most)
	}
	for _, protan := range []bool{false, true} {
		for i := 16; i < RampSteps; i += 16 {
			a, b := OklabOf(deficient(r.Step(i-16).RGB(), protan)), OklabOf(deficient(r.Step(i).RGB(), protan))
			if b.L <= a.L || a.Dist(b) < 0.01 {
				t.Errorf("protan %v: steps %d and %d cannot be told apart", protan, i-16, i)
			}
		}
	}
}

// TestSignedRamp checks that zero is lightest, both ends are equally dark, and the
// two sides stay apart for colour-blind readers.
func TestSignedRamp(t *testing.T) {
	r := SignedRamp()
	if a, b := r.At(0).L, r.At(1).L; math.Abs(a-b) > 0.01 {
		t.Errorf("the ends have lightness %.3f and %.3f", a, b)
	}
	best := 0
	for i := range RampSteps {
		if r.Step(i).L > r.Step(best).L {
			best = i
		}
	}
	if mid := float64(best) / (RampSteps - 1); math.Abs(mid-0.5) > 0.03 {
		t.Errorf("the lightest colour lies at %.2f, want 0.5", mid)
	}
	for _, protan := range []bool{false, true} {
		if d := OklabOf(deficient(r.At(0.1).RGB(), protan)).Dist(OklabOf(deficient(r.At(0.9).RGB(), protan))); d < 0.1 {
			t.Errorf("protan %v: the two sides lie %.3f apart, want 0.1 or more", protan, d)
		}
	}
}

// scene is a smooth picture with a few sharp inks.
func scene(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := uint8(40 + 180*(0.5+0.5*math.Sin(float64(x)/37)*math.Cos(float64(y)/51)))
			img.SetRGBA(x, y, color.RGBA{v, v - v/20, v - v/9, 255})
		}
	}
	for x := range w {
		img.SetRGBA(x, h/2, color.RGBA{176, 72, 0, 255})
	}
	return img
}

// TestEncode checks that any reader opens the PNG and sees what was drawn: the mean
// error of the palette is under two shades of 255, the worst under twelve.
func TestEncode(t *testing.T) {
	img := scene(320, 200)
	data := Encode(img)
	if !bytes.Equal(data, Encode(img)) {
		t.Fatal("the same picture gives different bytes")
	}
	back, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	sum, worst := 0, 0
	for y := range 200 {
		for x := range 320 {
			a := img.RGBAAt(x, y)
			r, g, b, _ := back.At(x, y).RGBA()
			d := abs(int(a.R)-int(r>>8)) + abs(int(a.G)-int(g>>8)) + abs(int(a.B)-int(b>>8))
			sum, worst = sum+d, max(worst, d)
		}
	}
	if mean := float64(sum) / (3 * 320 * 200); mean > 2 || worst > 36 {
		t.Errorf("mean error %.2f shades, worst sum %d; want under 2 and 36", mean, worst)
	}
}

// TestEncodeNoise encodes a picture that filters badly and one of a single colour.
func TestEncodeNoise(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	img := image.NewRGBA(image.Rect(0, 0, 33, 17))
	for i := range img.Pix {
		img.Pix[i] = uint8(rng.UintN(256)) | 3*uint8(i%4/3)
	}
	one := image.NewRGBA(image.Rect(0, 0, 1, 1))
	for _, m := range []*image.RGBA{img, one} {
		if _, err := png.Decode(bytes.NewReader(Encode(m))); err != nil {
			t.Error(err)
		}
	}
}

// TestStrokesJoinWithoutDarkening lays two overlapping strokes: the overlap is no
// darker than one, which thinned ink would show.
func TestStrokesJoinWithoutDarkening(t *testing.T) {
	m := NewMask(0, 0, 40, 20, 40, 20)
	m.Stroke(5, 10, 25, 10, 3)
	m.Stroke(15, 10, 35, 10, 3)
	img := image.NewRGBA(image.Rect(0, 0, 40, 20))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	m.Paint(img, color.RGBA{0, 0, 0, 255}, 0.5)
	if a, b := img.RGBAAt(10, 10), img.RGBAAt(20, 10); a != b {
		t.Errorf("one stroke gives %v, two give %v", a, b)
	}
	if c := img.RGBAAt(20, 16); c.R != 255 {
		t.Errorf("ink 6 pixels from a stroke of half-width 3: %v", c)
	}
}

// TestWordFits checks that a word stays within the width that is foretold.
func TestWordFits(t *testing.T) {
	ts := NewTypesetter()
	for _, s := range []string{"0.8 ± 0.1 mm", "distopalatal", "35° µm mm²"} {
		w := ts.Width(s, 26)
		m := NewMask(0, 0, 500, 60, 500, 60)
		ts.Word(m, s, 10, 40, 26)
		last := 0
		for y := range 60 {
			for x := range 500 {
				if m.a[y*m.w+x] > 0 {
					last = max(last, x)
				}
			}
		}
		if last == 0 || float64(last) > 10+w+2 {
			t.Errorf("%q ends at pixel %d, foretold %.1f", s, last, 10+w)
		}
	}
}
