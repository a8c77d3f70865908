package browser

import (
	"image"
	"image/color"
	"image/draw"
	"testing"
)

// TestDiffer holds the comparison: noise is forgiven, a word that is gone is not.
func TestDiffer(t *testing.T) {
	page := func() *image.RGBA {
		img := image.NewRGBA(image.Rect(0, 0, 240, 180))
		draw.Draw(img, img.Rect, image.NewUniform(color.RGBA{250, 249, 246, 255}), image.Point{}, draw.Src)
		return img
	}
	word := func(img *image.RGBA, at image.Point) {
		draw.Draw(img, image.Rectangle{at, at.Add(image.Pt(60, 18))}, image.NewUniform(color.RGBA{22, 26, 34, 255}), image.Point{}, draw.Src)
	}
	a, noisy, gone, moved := page(), page(), page(), page()
	word(a, image.Pt(30, 30))
	word(noisy, image.Pt(30, 30))
	word(moved, image.Pt(30, 60))
	for i := range noisy.Pix {
		if i%7 == 0 && i%4 != 3 {
			noisy.Pix[i] ^= 7
		}
	}
	if d := Differ(a, noisy); d > share {
		t.Errorf("noise differs by %.3f", d)
	}
	for name, b := range map[string]image.Image{"gone": gone, "moved": moved, "another size": image.NewRGBA(image.Rect(0, 0, 10, 10))} {
		if d := Differ(a, b); d <= share {
			t.Errorf("%s: differs by %.3f only", name, d)
		}
	}
}
