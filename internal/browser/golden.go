package browser

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"time"

	"github.com/chromedp/chromedp"

	"selvage/internal/picture/paint"
)

// Screen is a size at which pages are looked at, CSS pixels.
type Screen struct {
	Name string
	W, H int64
}

// Screens are those of the people who use the pages: a tablet, an old PC, a phone.
var Screens = []Screen{{"tablet", 820, 1180}, {"pc", 1366, 768}, {"phone", 390, 844}}

// Golden compares pictures of pages with those that were looked at and kept.
type Golden struct {
	Dir    string // of the kept pictures
	Update bool   // keep what is seen instead of comparing
	Full   string // folder for the pictures in full size, to be looked at; empty: none
}

// The kept pictures are small, and the comparison forgiving: letters and edges are drawn a
// little otherwise from one version of the browser to the next.
const (
	smaller = 3  // times, each way
	tile    = 6  // pixels of the kept picture: about a letter's width
	differs = 14 // of 255, in the mean of a tile
	share   = 0.02
)

// settled is how long a page takes to be painted once it stands.
const settled = 200 * time.Millisecond

// font is what pages are written in while they are compared: the same on every machine
// that has it, which make deps sees to. What changes from run to run is left out.
const font = `(() => {
	const s = new CSSStyleSheet();
	s.replaceSync('* { font-family: "DejaVu Sans" !important; caret-color: transparent !important } .when, .ver, .hash, .code, .hist:not(.tally) td:first-child, [data-varies] { visibility: hidden !important }');
	document.adoptedStyleSheets = [s];
	const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	while (texts.nextNode()) texts.currentNode.data = texts.currentNode.data.replace(/\b20\d\d-\d\d-\d\d\b/g, "2000-01-01");
	return document.fonts.check('16px "DejaVu Sans"');
})()`

// Check takes the page at every size, light and dark, and compares it. The page must be at
// rest; still waits for what draws itself anew after a change of size.
func (g Golden) Check(p Page, name string, still func()) {
	p.T.Helper()
	for _, s := range Screens {
		for _, dark := range []bool{false, true} {
			p.Look(dark)
			p.Size(s.W, s.H)
			if !Ask[bool](p, font) {
				p.T.Log("the font of the kept pictures is not here")
			}
			Ask[bool](p, `(scrollTo(0, 0), document.activeElement?.blur?.(), true)`)
			p.Do(chromedp.MouseEvent("mouseMoved", 1, 1)) // what was touched last would still be lit
			still()
			Ask[bool](p, `(document.activeElement?.blur?.(), true)`)
			time.Sleep(settled)
			data, err := chromedp.Run(p.Ctx, chromedp.CaptureScreenshot())
			if err != nil {
				p.T.Fatal(err)
			}
			g.one(p, fmt.Sprintf("%s-%s-%s", name, s.Name, map[bool]string{true: "dark", false: "light"}[dark]), data)
		}
	}
	p.Look(false)
	p.Size(Screens[1].W, Screens[1].H)
	Ask[bool](p, `(document.adoptedStyleSheets = [], true)`)
}

// one compares one picture.
func (g Golden) one(p Page, name string, data []byte) {
	p.T.Helper()
	if g.Full != "" {
		if err := os.WriteFile(filepath.Join(g.Full, name+".png"), data, 0o644); err != nil {
			p.T.Fatal(err)
		}
	}
	full, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		p.T.Fatal(err)
	}
	seen, file := shrink(full), filepath.Join(g.Dir, name+".png")
	if g.Update {
		if err := os.WriteFile(file, paint.Encode(seen), 0o644); err != nil {
			p.T.Fatal(err)
		}
		return
	}
	kept, err := os.ReadFile(file)
	if err != nil {
		p.T.Errorf("%v; look at the page, then run this test with -update", err)
		return
	}
	want, err := png.Decode(bytes.NewReader(kept))
	if err != nil {
		p.T.Fatal(err)
	}
	if off := Differ(want, seen); off > share {
		p.T.Errorf("%s: %.1f %% of the picture differ from the kept one (allowed %.0f %%)", name, 100*off, 100*share)
		if dir := os.Getenv("SELVAGE_SHOTS"); dir != "" {
			_ = os.WriteFile(filepath.Join(dir, name+".now.png"), paint.Encode(seen), 0o644) // to look at; the test has failed already
		}
	}
}

// shrink takes the mean of squares of pixels.
func shrink(img image.Image) *image.RGBA {
	b := img.Bounds()
	src := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	draw.Draw(src, src.Bounds(), img, b.Min, draw.Src)
	out := image.NewRGBA(image.Rect(0, 0, b.Dx()/smaller, b.Dy()/smaller))
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			out.SetRGBA(x, y, mean(src, x*smaller, y*smaller, smaller))
		}
	}
	return out
}

func mean(img *image.RGBA, x, y, n int) color.RGBA {
	var r, g, b, k int
	for j := y; j < min(y+n, img.Rect.Dy()); j++ {
		for i := x; i < min(x+n, img.Rect.Dx()); i++ {
			c := img.RGBAAt(i, j)
			r, g, b, k = r+int(c.R), g+int(c.G), b+int(c.B), k+1
		}
	}
	k = max(k, 1)
	return color.RGBA{uint8(r / k), uint8(g / k), uint8(b / k), 255}
}

// Differ is the share of tiles of two pictures whose mean colours differ; 1 where the
// sizes do.
func Differ(a, b image.Image) float64 {
	if a.Bounds().Size() != b.Bounds().Size() {
		return 1
	}
	flat := func(img image.Image) *image.RGBA {
		out := image.NewRGBA(image.Rectangle{Max: img.Bounds().Size()})
		draw.Draw(out, out.Bounds(), img, img.Bounds().Min, draw.Src)
		return out
	}
	p, q := flat(a), flat(b)
	n, off := 0, 0
	for y := 0; y < p.Rect.Dy(); y += tile {
		for x := 0; x < p.Rect.Dx(); x += tile {
			c, d := mean(p, x, y, tile), mean(q, x, y, tile)
			far := max(math.Abs(float64(c.R)-float64(d.R)), math.Abs(float64(c.G)-float64(d.G)), math.Abs(float64(c.B)-float64(d.B)))
			n++
			if far > differs {
				off++
			}
		}
	}
	return float64(off) / float64(max(n, 1))
}
