package main

import (
	"image/color"
	"testing"
)

// TestCompose draws a row with one case and looks whether the tooth is on it and the words
// are under it.
func TestCompose(t *testing.T) {
	img, err := compose(tiles[:1])
	if err != nil {
		t.Fatal(err)
	}
	dark := func(x0, y0, x1, y1 int) (n int) {
		for y := y0; y < y1; y++ {
			for x := x0; x < x1; x++ {
				if color.GrayModel.Convert(img.At(x, y)).(color.Gray).Y < 200 {
					n++
				}
			}
		}
		return n
	}
	if n := dark(width/4, height/4, 3*width/4, 3*height/4); n < width*height/8 {
		t.Errorf("%d pixels of a tooth in the middle, want half of it and more", n)
	}
	if n := dark(0, height, width, height+caption); n < 100 || n > width*caption/4 {
		t.Errorf("%d pixels of words under it", n)
	}
	if n := dark(width, 0, 2*width, height); n > 0 {
		t.Errorf("%d pixels where no case is", n)
	}
	if _, err := compose([]tile{{"no tooth", 99, 1, 17, nil}}); err == nil {
		t.Error("tooth 99 was drawn")
	}
}
