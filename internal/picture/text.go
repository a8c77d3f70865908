package picture

import (
	"image"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// typesetter draws words. The letters are the Go fonts' medium weight, which
// the module golang.org/x/image carries inside (BSD licence): open shapes that
// stay apart at small sizes, Latin, Greek and Cyrillic, and the signs ± µ ² °.
type typesetter struct {
	font  *opentype.Font
	sizes []float64
	faces []font.Face
}

func newTypesetter() *typesetter {
	f, err := opentype.Parse(gomedium.TTF)
	if err != nil {
		panic("picture: the built-in font does not parse") // a defect of the build, not of any input
	}
	return &typesetter{font: f}
}

// face returns the face whose letters are size pixels high (em).
func (t *typesetter) face(size float64) font.Face {
	for i, s := range t.sizes {
		if s == size {
			return t.faces[i]
		}
	}
	f, err := opentype.NewFace(t.font, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("picture: font size out of range")
	}
	t.sizes, t.faces = append(t.sizes, size), append(t.faces, f)
	return f
}

// width returns how far a word reaches, in pixels.
func (t *typesetter) width(s string, size float64) float64 {
	return float64(font.MeasureString(t.face(size), s)) / 64
}

// word draws s with its baseline's left end at (x, y) into m.
func (t *typesetter) word(m *mask, s string, x, y, size float64) {
	d := font.Drawer{
		Dst:  &image.Alpha{Pix: m.a, Stride: m.w, Rect: m.rect()},
		Src:  image.Opaque,
		Face: t.face(size),
		Dot:  fixed.Point26_6{X: fixed.Int26_6(x * 64), Y: fixed.Int26_6(y * 64)},
	}
	d.DrawString(s)
}
