package picture

import (
	"image"
	"math"
	"testing"

	"selvage/internal/picture/paint"
	"selvage/mesh"
	"selvage/r3"
)

func luma(img *image.RGBA, x, y int) int {
	c := img.RGBAAt(x, y)
	return 3*int(c.R) + 6*int(c.G) + int(c.B)
}

// TestFissureDarkEdgeLight checks what the shading is for: along a flat surface with
// a groove and a ridge of equal size, the groove is darker than the flat and the
// ridge's crest lighter.
func TestFissureDarkEdgeLight(t *testing.T) {
	bump := func(x, at float64) float64 { return 0.25 * math.Exp(-(x-at)*(x-at)/0.02) }
	m := field(-5, 5, -3, 3, 0.05, func(x, y float64) float64 { return bump(x, 2) - bump(x, -2) }, nil)
	s := Scene{View: straightDown(10), W: 400, H: 240, NoScale: true, Surfaces: []Surface{{Mesh: m}}}
	img := s.Draw()
	groove, flat, ridge := luma(img, 120, 120), luma(img, 200, 120), luma(img, 280, 120)
	if !(groove < flat-200 && ridge > flat+40) {
		t.Errorf("groove %d, flat %d, ridge %d: want the groove darker by 200 and the ridge lighter by 40 (of 2550)", groove, flat, ridge)
	}
}

// TestHiddenLineIsLeftOut draws a line above and one below a surface.
func TestHiddenLineIsLeftOut(t *testing.T) {
	m := field(-4, 4, -4, 4, 1, func(x, y float64) float64 { return 0 }, nil)
	dark := func(z float64, style Style) int {
		s := Scene{
			View: straightDown(8), W: 160, H: 160, NoScale: true, Surfaces: []Surface{{Mesh: m}},
			Lines: []Line{{Points: []r3.Vec{{X: -3, Z: z}, {X: 3, Z: z}}, Style: style, Width: 3}},
		}
		img, n := s.Draw(), 0
		for x := range 160 {
			if luma(img, x, 80) < 600 {
				n++
			}
		}
		return n
	}
	if got := dark(-1, Solid); got != 0 {
		t.Errorf("a line 1 mm below the surface shows on %d pixels", got)
	}
	full, dashed := dark(0, Solid), dark(0, Dashed)
	if full < 110 { // 6 of 8 mm of 160 pixels
		t.Errorf("a line in the surface shows on %d pixels, want at least 110", full)
	}
	if share := float64(dashed) / float64(full); share < 0.5 || share > 0.85 {
		t.Errorf("a dashed line shows on %.2f of a full one, want 7/12 plus round ends", share)
	}
}

// TestContourLiesOnItsLevel puts a linear field on a plane: the line for 1 must run
// where the value is 1, to a pixel.
func TestContourLiesOnItsLevel(t *testing.T) {
	m := field(-4, 4, -4, 4, 0.5, func(x, y float64) float64 { return 0 }, nil)
	v := make([]float64, len(m.Pos))
	for i, p := range m.Pos {
		v[i] = p.X/4 + 1.13 // 1 at x = -0.52
	}
	s := Scene{
		View: straightDown(8), W: 480, H: 300, Dots: 1, NoScale: true, Surfaces: []Surface{{Mesh: m, Values: v}},
		Map: &ValueMap{Ramp: paint.DepthRamp(), Min: 0, Max: 2, Step: 1, Limit: math.NaN(), Title: "mm"},
	}
	img := s.Draw()
	best, at := math.MaxInt, 0
	for x := 60; x < 360; x++ { // darker than both sides, over the whole height
		sum := 0
		for y := range 300 {
			sum += 2*luma(img, x, y) - luma(img, x-4, y) - luma(img, x+4, y)
		}
		if sum < best {
			best, at = sum, x
		}
	}
	if want := 240 - 0.52*60; math.Abs(float64(at)+0.5-want) > 1.5 {
		t.Errorf("the contour runs at pixel %d, want %.1f", at, want)
	}
}

// TestMissingValueKeepsStone checks that a vertex without a value is not coloured.
func TestMissingValueKeepsStone(t *testing.T) {
	m := field(-4, 4, -4, 4, 1, func(x, y float64) float64 { return 0 }, nil)
	v := make([]float64, len(m.Pos))
	for i := range v {
		v[i] = math.NaN()
	}
	s := Scene{View: straightDown(6), W: 300, H: 300, NoScale: true, Surfaces: []Surface{{Mesh: m}}}
	plain := s.Draw().RGBAAt(60, 150)
	s.Surfaces[0].Values = v
	s.Map = &ValueMap{Ramp: paint.DepthRamp(), Max: 2, Limit: math.NaN()}
	if got := s.Draw().RGBAAt(60, 150); got != plain {
		t.Errorf("a surface without values is %v, want the plain %v", got, plain)
	}
}

// TestTipIsClosed checks the drawn tip: a closed solid that winds outwards, with
// its window where it was asked for.
func TestTipIsClosed(t *testing.T) {
	tip := Tip{}.withDefaults()
	at, dir := r3.V(1, 2, 3), r3.V(0, 0.6, 0.8)
	body, window, _ := tip.solids(at, dir, r3.V(1, 0, 0))
	most := tip.Wide * tip.High * tip.Long
	if v := body.SignedVolume(); v < 0.85*most || v > most {
		t.Errorf("volume %.0f mm³, want a little under %.0f", v, most)
	}
	near := math.Inf(1)
	for _, p := range window.Pos {
		near = min(near, dir.Dot(p.Sub(at)))
	}
	if math.Abs(near-tip.Away) > 0.5 {
		t.Errorf("the window stands %.2f mm away, want %.2f", near, tip.Away)
	}
	if w, _ := mesh.Build(mesh.Soup{Pos: body.Pos, Tri: plain(body.Tri)}); len(mesh.NewTopology(w).Loops()) != 0 {
		t.Error("the tip has open edges")
	}
}

func plain(tri [][3]mesh.VertexID) [][3]int32 {
	out := make([][3]int32, len(tri))
	for i, t := range tri {
		out[i] = [3]int32{int32(t[0]), int32(t[1]), int32(t[2])}
	}
	return out
}
