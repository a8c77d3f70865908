// Command sheet draws made cases side by side, as doc/phantoms.md shows them: preparations
// of several teeth and forms, and scans with faults. What is under a picture says how the
// case is made again.
//
//	go run ./cmd/sheet doc/pictures/phantoms.jpg
package main

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"math"
	"os"

	"selvage/internal/picture"
	"selvage/internal/picture/paint"
	"selvage/phantom"
	"selvage/r3"
	"selvage/tooth"
)

// tile is one case of the sheet.
type tile struct {
	words string
	tooth int
	seed  uint64
	span  float64 // mm across the picture
	with  func(*phantom.Spec)
}

func fault(name string) func(*phantom.Spec) {
	return func(s *phantom.Spec) { s.Faults = append(s.Faults, phantom.Fault{Name: name, Value: math.NaN()}) }
}

func finish(f phantom.FinishLine, width float64) func(*phantom.Spec) {
	return func(s *phantom.Spec) { s.Stump.FinishLine, s.Stump.FinishWidth = f, width }
}

// tiles are the cases, row by row.
var tiles = []tile{
	{"26, heavy chamfer", 26, 1, 17, nil},
	{"14, shoulder", 14, 3, 14, finish(phantom.Shoulder, 1.1)},
	{"11, chamfer", 11, 5, 15, finish(phantom.Chamfer, 0.6)},
	{"45, sloped shoulder", 45, 8, 14, finish(phantom.SlopedShoulder, 1.0)},
	{"36, knife edge", 36, 4, 17, finish(phantom.KnifeEdge, 0.08)},
	{"33, waves of the bur", 33, 2, 14, fault("margin-rough")},
	{"26, margin under the gum", 26, 6, 17, func(s *phantom.Spec) { s.Sulcus.MarginDepth = 0.4 }},
	{"26, in its own colours", 26, 9, 17, func(s *phantom.Spec) { s.Colour = true }},
	{"47, blood and tissue", 47, 2, 17, func(s *phantom.Spec) { s.Colour = true; fault("margin-unclear")(s) }},
	{"16, margin not captured", 16, 3, 17, fault("margin-not-captured")},
	{"25, a surface that software made", 25, 7, 17, fault("surface-invented")},
	{"36, a doubled surface", 36, 5, 17, fault("surface-doubled")},
	{"46, a neighbour in the way", 46, 3, 20, fault("path-blocked")},
	{"24, the neighbour cut by the bur", 24, 2, 16, fault("neighbour-damaged")},
	{"36, coarse points", 36, 11, 17, func(s *phantom.Spec) { s.Scanner.Fine, s.Scanner.Coarse = 0.25, 0.4 }},
	{"12, the whole arch, crowded", 12, 6, 84, func(s *phantom.Spec) { s.FullArch, s.Teeth.Crowd, s.Teeth.Thirds = true, 1.5, true }},
}

// Sizes in pixels, and how much the axis leans to the reader.
const (
	columns       = 4
	width, height = 380, 320
	caption       = 40
	lean          = 0.4
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: sheet OUT.jpg")
		os.Exit(2)
	}
	if err := run(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "sheet:", err)
		os.Exit(1)
	}
}

func run(path string) error {
	sheet, err := compose(tiles)
	if err != nil {
		return err
	}
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	if err := jpeg.Encode(f, sheet, &jpeg.Options{Quality: 82}); err != nil {
		_ = f.Close() // the error that counts is already known
		return err
	}
	return f.Close()
}

// compose draws the tiles in rows.
func compose(all []tile) (*image.RGBA, error) {
	rows := (len(all) + columns - 1) / columns
	out := image.NewRGBA(image.Rect(0, 0, columns*width, rows*(height+caption)))
	draw.Draw(out, out.Bounds(), image.White, image.Point{}, draw.Src)
	letters := paint.NewTypesetter()
	for i, t := range all {
		img, err := t.draw()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", t.words, err)
		}
		x, y := i%columns*width, i/columns*(height+caption)
		draw.Draw(out, image.Rect(x, y, x+width, y+height), img, image.Point{}, draw.Src)
		ink := paint.NewMask(float64(x), float64(y+height), float64(x+width), float64(y+height+caption), out.Rect.Dx(), out.Rect.Dy())
		words := fmt.Sprintf("%s · seed %d", t.words, t.seed)
		letters.Word(ink, words, float64(x)+(width-letters.Width(words, 17))/2, float64(y+height+22), 17)
		ink.Paint(out, color.RGBA{R: 0x22, G: 0x22, B: 0x22, A: 0xff}, 1)
	}
	return out, nil
}

// draw makes the case and draws its working scan from above and a little from one side.
func (t tile) draw() (*image.RGBA, error) {
	n, err := tooth.New(t.tooth)
	if err != nil {
		return nil, err
	}
	spec := phantom.Default(n)
	spec.Seed, spec.Roles = t.seed, []string{phantom.Working}
	if t.with != nil {
		t.with(&spec)
	}
	c, err := phantom.Make(spec)
	if err != nil {
		return nil, err
	}
	scan, ok := c.Scan(phantom.Working)
	if !ok {
		return nil, fmt.Errorf("no working scan was made")
	}
	r := c.Truth.Restorations[0]
	var centre r3.Vec
	for _, p := range r.Margin.Points {
		centre = centre.AddScaled(1/float64(len(r.Margin.Points)), p.Vec())
	}
	box := r3.BoxOf(scan.Mesh.Pos...)
	axis := r.InsertionAxis.Vec()
	from := centre.Sub(box.Center()) // the cheek, or where something is wrong with the margin
	for _, m := range r.Margin.Stretches {
		from = m.At.Vec().Sub(centre)
	}
	from = from.Reject(axis).UnitOr(r3.V(1, 0, 0))
	s := picture.Scene{
		W: width, H: height,
		View:     picture.View{Eye: axis.AddScaled(lean, from), Up: axis, Center: centre.AddScaled(1.5, axis), Span: t.span},
		Surfaces: []picture.Surface{{Mesh: scan.Mesh, Own: spec.Colour}},
	}
	if spec.FullArch {
		s.View.Center, s.View.Eye, s.View.Up = box.Center(), axis.AddScaled(0.3, from), from.Neg()
	}
	return s.Draw(), nil
}
