package paint

import (
	"image"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// Typesetter draws words. The letters are the Go fonts' medium weight, which
// the module golang.org/x/image carries inside (BSD licence): open shapes that
// stay apart at small sizes, Latin, Greek and Cyrillic, and the signs ± µ ² °.
type Typesetter struct {
	font  *opentype.Font
	sizes []float64
	faces []font.Face
}

// NewTypesetter reads the built-in font (about 0.1 ms).
func NewTypesetter() *Typesetter {
	f, err := opentype.Parse(gomedium.TTF)
	if err != nil {
		panic("paint: the built-in font does not parse") // a defect of the build, not of any input
	}
	return &Typesetter{font: f}
}

// face returns the face whose letters are size pixels high (em).
func (t *Typesetter) face(size float64) font.Face {
	for i, s := range t.sizes {
		if s == size {
			return t.faces[i]
		}
	}
	f, err := opentype.NewFace(t.font, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("paint: font size out of range")
	}
	t.sizes, t.faces = append(t.sizes, size), append(t.faces, f)
	return f
}

// Width returns how far a word reaches, in pixels.
func (t *Typesetter) Width(s string, size float64) float64 {
	return float64(font.MeasureString(t.face(size), s)) / 64
}

// Word draws s with its baseline's left end at (x, y) into m.
func (t *Typesetter) Word(m *Mask, s string, x, y, size float64) {
	d := font.Drawer{
		Dst:  &image.Alpha{Pix: m.a, Stride: m.w, Rect: m.rect()},
		Src:  image.Opaque,
		Face: t.face(size),
		Dot:  fixed.Point26_6{X: fixed.Int26_6(x * 64), Y: fixed.Int26_6(y * 64)},
	}
	d.DrawString(s)
}
