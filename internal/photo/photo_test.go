package photo_test

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"selvage/internal/photo"
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// picture is tiles with hard edges, averaged over a square of side 2r+1, then made lighter
// or darker.
func picture(side, r int, light float64) *image.Gray {
	img := image.NewGray(image.Rect(0, 0, side, side))
	tile := func(x, y int) float64 { return 60 + 110*float64((x/23+y/31)%2) }
	for y := range side {
		for x := range side {
			v, n := 0.0, 0
			for d := -r; d <= r; d++ { // one direction after the other is a square
				v, n = v+tile(max(0, x+d), max(0, y+d)), n+1
			}
			img.SetGray(x, y, color.Gray{Y: uint8(min(255, max(0, v/float64(n)*light)))})
		}
	}
	return img
}

func jpegOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	must(t, jpeg.Encode(&b, img, &jpeg.Options{Quality: 92}))
	return b.Bytes()
}

func TestWhatIsDoubtful(t *testing.T) {
	for _, tt := range []struct {
		name string
		img  *image.Gray
		want []photo.Doubt
	}{
		{"sharp", picture(1200, 0, 1), nil},
		{"a little soft", picture(1200, 1, 1), nil},
		{"blurred", picture(1200, 9, 1), []photo.Doubt{photo.Blurred}},
		{"small", picture(600, 0, 1), []photo.Doubt{photo.TooSmall}},
		{"dark", picture(1200, 0, 0.2), []photo.Doubt{photo.TooDark}},
		{"burnt out", picture(1200, 0, 1.6), []photo.Doubt{photo.BurntOut}},
	} {
		l, err := photo.Check(jpegOf(t, tt.img))
		if err != nil || !slices.Equal(l.Doubts, tt.want) || l.W != tt.img.Bounds().Dx() {
			t.Errorf("%s: %+v (%v), want %v", tt.name, l, err, tt.want)
		}
	}
	if _, err := photo.Check([]byte("no picture")); err == nil {
		t.Error("what is no picture is taken for one")
	}
}

// told is a JPEG with all that a camera writes beside the picture.
func told(t testing.TB, img image.Image, orientation byte) []byte {
	t.Helper()
	plain := jpegOf(t, img)
	segment := func(marker byte, body string) []byte {
		return append([]byte{0xff, marker, byte((len(body) + 2) >> 8), byte(len(body) + 2)}, body...)
	}
	exif := "Exif\x00\x00II\x2a\x00\x08\x00\x00\x00\x02\x00" +
		"\x12\x01\x03\x00\x01\x00\x00\x00" + string([]byte{orientation}) + "\x00\x00\x00" +
		"\x0f\x01\x02\x00\x08\x00\x00\x00\x26\x00\x00\x00\x00\x00\x00\x00Jane Roe GPS 48.1N 11.5E"
	out := slices.Clone(plain[:2])
	out = append(out, segment(0xe1, exif)...)
	out = append(out, segment(0xe1, "http://ns.adobe.com/xap/1.0/\x00<x>Jane Roe</x>")...)
	out = append(out, segment(0xed, "Photoshop 3.0\x00Jane Roe")...)
	out = append(out, segment(0xfe, "taken by Jane Roe")...)
	out = append(out, segment(0xe2, "ICC_PROFILE\x00\x01\x01profile")...)
	out = append(out, plain[2:]...)
	return append(out, "trailing preview of Jane Roe"...)
}

func TestStripLeavesThePicture(t *testing.T) {
	img := picture(300, 0, 1)
	data := told(t, img, 6)
	clean, err := photo.Strip(data)
	must(t, err)
	if bytes.Contains(clean, []byte("Jane")) || bytes.Contains(clean, []byte("GPS")) {
		t.Error("it still tells")
	}
	was, err := jpeg.Decode(bytes.NewReader(data))
	must(t, err)
	is, err := jpeg.Decode(bytes.NewReader(clean))
	must(t, err)
	if !bytes.Equal(was.(*image.Gray).Pix, is.(*image.Gray).Pix) {
		t.Error("a pixel was changed")
	}
	if !bytes.Contains(clean, []byte("ICC_PROFILE")) {
		t.Error("the colour profile is lost")
	}
	exif := bytes.Index(clean, []byte("Exif\x00\x00"))
	if exif < 0 || clean[exif+6+18] != 0 || clean[exif+6+19] != 6 {
		t.Errorf("the way up is lost: % x", clean[max(0, exif):min(len(clean), exif+40)])
	}
	again, err := photo.Strip(clean)
	if err != nil || !bytes.Equal(again, clean) {
		t.Errorf("stripped again it is another (%v)", err)
	}
	if upright, err := photo.Strip(told(t, img, 1)); err != nil || bytes.Contains(upright, []byte("Exif")) {
		t.Errorf("an upright picture needs no word about it (%v)", err)
	}
}

func TestStripPNG(t *testing.T) {
	var b bytes.Buffer
	must(t, png.Encode(&b, picture(100, 0, 1)))
	chunk := func(kind, body string) []byte {
		out := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
		out = append(out, kind+body...)
		return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE([]byte(kind+body)))
	}
	data := slices.Clone(b.Bytes()[:33]) // signature and IHDR
	data = append(append(data, chunk("tEXt", "Author\x00Jane Roe")...), chunk("eXIf", "Jane")...)
	data = append(append(data, b.Bytes()[33:]...), "Jane"...)
	clean, err := photo.Strip(data)
	if err != nil || !bytes.Equal(clean, b.Bytes()) {
		t.Errorf("it is not what it was before it told (%v)", err)
	}
}

// TestHostilePictures cuts and changes pictures: an error, or a picture, and never a panic.
func TestHostilePictures(t *testing.T) {
	base := told(t, picture(64, 0, 1), 3)
	rapid.Check(t, func(t *rapid.T) {
		data := slices.Clone(base[:rapid.IntRange(0, len(base)).Draw(t, "cut")])
		for range rapid.IntRange(0, 4).Draw(t, "changes") {
			if len(data) > 0 {
				data[rapid.IntRange(0, len(data)-1).Draw(t, "at")] = rapid.Byte().Draw(t, "byte")
			}
		}
		if clean, err := photo.Strip(data); err == nil && bytes.Contains(clean, []byte("taken by Jane")) && bytes.Equal(data, base) {
			t.Fatal("it still tells")
		}
		_, _ = photo.Check(data)
	})
}
