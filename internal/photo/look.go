package photo

import (
	"bytes"
	"image"
	_ "image/jpeg" // the two formats
	_ "image/png"
	"math"
)

// Doubt is why a photograph may not be usable.
type Doubt string

// The doubts.
const (
	TooSmall Doubt = "too-small"
	Blurred  Doubt = "blurred"
	TooDark  Doubt = "too-dark"
	BurntOut Doubt = "burnt-out"
)

// Doubts lists the doubts.
func Doubts() []Doubt { return []Doubt{TooSmall, Blurred, TooDark, BurntOut} }

// The limits. They are our own, on the side of letting pass: a laboratory looks itself.
const (
	leastSide   = 1000     // pixels of the shorter side
	mostPixels  = 64 << 20 // more is refused before it is decoded
	mostBlur    = 0.62     // see Blur
	darkMean    = 40       // of 255: a mean below it
	brightShare = 0.06     // of the pixels at the upper end: a flash in the enamel
)

// Look is what was found in a picture.
type Look struct {
	W, H   int
	Doubts []Doubt
}

// Check reads a picture and tells what makes it doubtful.
func Check(data []byte) (Look, error) {
	c, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil || c.Width <= 0 || c.Height <= 0 || c.Width*c.Height > mostPixels {
		return Look{}, ErrFormat
	}
	img, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return Look{}, ErrFormat
	}
	l := Look{W: c.Width, H: c.Height}
	g := grey(img)
	doubt := func(d Doubt, yes bool) {
		if yes {
			l.Doubts = append(l.Doubts, d)
		}
	}
	doubt(TooSmall, min(l.W, l.H) < leastSide)
	doubt(Blurred, g.blur() > mostBlur)
	mean, burnt := g.light()
	doubt(TooDark, mean < darkMean)
	doubt(BurntOut, burnt > brightShare)
	return l, nil
}

// plane is the lightness of a picture, 0 to 255.
type plane struct {
	w, h int
	v    []float32
}

// seenAs is the longer side, in pixels, at which a picture is judged: as it is looked at on
// a screen.
const seenAs = 2000

func grey(img image.Image) plane {
	b := img.Bounds()
	k := max(1, max(b.Dx(), b.Dy())/seenAs)
	p := plane{b.Dx() / k, b.Dy() / k, make([]float32, (b.Dx()/k)*(b.Dy()/k))}
	at := func(x, y int) float64 {
		r, g, bl, _ := img.At(x, y).RGBA()
		return (0.299*float64(r) + 0.587*float64(g) + 0.114*float64(bl)) / 257
	}
	if f, ok := img.(*image.YCbCr); ok {
		at = func(x, y int) float64 { return float64(f.Y[f.YOffset(x, y)]) }
	}
	for y := range p.h {
		for x := range p.w {
			sum := 0.0
			for i := range k * k {
				sum += at(b.Min.X+x*k+i%k, b.Min.Y+y*k+i/k)
			}
			p.v[y*p.w+x] = float32(sum / float64(k*k))
		}
	}
	return p
}

// light returns the mean, and the share of pixels at the upper end.
func (p plane) light() (mean, burnt float64) {
	for _, v := range p.v {
		mean += float64(v)
		if v >= 253 {
			burnt++
		}
	}
	n := float64(len(p.v))
	return mean / n, burnt / n
}

// blur is 0 for a picture whose neighbours differ as much as they can and near 1 for one
// that a blur changes no more: how much of the differences between neighbours is left when
// the picture is averaged over nine pixels, in the worse of the two directions [Crete2007].
func (p plane) blur() float64 {
	return math.Max(p.along(1, p.w, p.w, p.h), p.along(p.w, p.h, 1, p.w))
}

// along measures in one direction: step between neighbours, n in a line, and lines that
// begin every other pixels.
func (p plane) along(step, n, line, lines int) float64 {
	const half = 4
	var sharp, lost float64
	for l := range lines {
		base := l * line
		at := func(i int) float64 { return float64(p.v[base+step*min(max(i, 0), n-1)]) }
		mean := 0.0
		for k := -half; k <= half; k++ {
			mean += at(k)
		}
		before := mean
		for i := 1; i < n; i++ {
			mean += at(i+half) - at(i-half-1)
			d, s := math.Abs(at(i)-at(i-1)), math.Abs(mean-before)/(2*half+1)
			sharp += d
			lost += math.Max(0, d-s)
			before = mean
		}
	}
	if sharp == 0 {
		return 1
	}
	return (sharp - lost) / sharp
}
