package picture

import (
	"image"
	"image/color"

	"selvage/internal/picture/paint"
	"selvage/mesh"
	"selvage/r3"
)

// Tint says how much attention a surface asks for.
type Tint uint8

// The tints, from the most attention to the least.
const (
	Subject  Tint = iota // what the picture is about
	Context              // what lies around it: paler, less contrast
	Opposing             // the other jaw: cooler, so that the two are told apart
	Tool                 // the drawn scanner tip
)

// Surface is one mesh in a scene.
type Surface struct {
	Mesh    *mesh.Mesh
	Normals []r3.Vec // unit, one per vertex; nil: computed from the mesh
	Tint    Tint
	Own     bool      // use the scan's own colour where it has one
	Dim     []bool    // one per triangle: draw it as Context whatever Tint says; nil: none
	Clip    []Plane   // only what lies in front of every plane is drawn
	Values  []float64 // mm, one per vertex, NaN where there is none; nil: no map
}

// Plane is a cut: points p with N·(p-P) >= 0 stay.
type Plane struct{ P, N r3.Vec }

// Ground says on what a picture is drawn.
type Ground uint8

// The grounds. Paper prints; Night is for a dark screen.
const (
	Paper Ground = iota
	Night
)

// Scene is a picture before it is drawn. The zero value of every field means
// "none"; W and H must be positive.
type Scene struct {
	View     View
	W, H     int
	Ground   Ground
	Surfaces []Surface
	Map      *ValueMap // colours and contour lines for Surface.Values; nil: values are not shown
	Lines    []Line
	Arcs     []Arc
	Pins     []Pin
	Arrows   []Arrow
	Angles   []Angle
	Rim      []RimWord
	NoScale  bool    // leave out the scale bar
	Dots     float64 // image pixels per CSS pixel, for letters and lines; 0: 2
}

// maxSide bounds the picture, so that a wrong size is an error in the caller and
// not a lack of memory.
const maxSide = 4096

// Draw makes the picture. Cost: one pass over the triangles and about ten over
// the pixels; 500,000 triangles at 1200 x 900 take under half a second on one
// core. The result is the same for any number of cores. It panics where W or H
// is not within 1..4096.
func (s Scene) Draw() *image.RGBA {
	if s.W < 1 || s.H < 1 || s.W > maxSide || s.H > maxSide {
		panic("picture: size out of range")
	}
	p := s.View.projector(s.W, s.H)
	g := rasterise(s.Surfaces, p, s.W, s.H)
	light := g.light()
	img := g.shade(light, s.Map, groundOf(s.Ground))
	c := &canvas{img: img, depth: g, proj: p, ground: groundOf(s.Ground), type_: paint.NewTypesetter(), dots: s.Dots}
	if c.dots == 0 {
		c.dots = 2
	}
	c.overlay(s)
	return img
}

// ground is the set of inks that go with a background.
type ground struct {
	paper color.RGBA // the background
	dot   color.RGBA // its dots
	ink   color.RGBA // lines and letters
	halo  color.RGBA // drawn around lines and letters
	warn  color.RGBA // second ink: what is missing or too little
}

// dotPitch is the distance of the dots that say "nothing was scanned here", and
// dotSize their size, both in samples.
const (
	dotPitch = 24
	dotSize  = 3
)

// empty is the ground at a sample: paper with a fine grid of dots, so that a hole
// in a scan cannot be taken for a bright surface.
func (g ground) empty(sx, sy int) color.RGBA {
	if sx%dotPitch < dotSize && sy%dotPitch < dotSize {
		return g.dot
	}
	return g.paper
}

func groundOf(g Ground) ground {
	if g == Night {
		return ground{
			paper: color.RGBA{24, 27, 32, 255},
			dot:   color.RGBA{84, 90, 100, 255},
			ink:   color.RGBA{242, 243, 245, 255},
			halo:  color.RGBA{16, 18, 22, 255},
			warn:  color.RGBA{255, 176, 92, 255},
		}
	}
	return ground{
		paper: color.RGBA{250, 249, 246, 255},
		dot:   color.RGBA{168, 170, 172, 255},
		ink:   color.RGBA{22, 26, 34, 255},
		halo:  color.RGBA{255, 255, 255, 255},
		warn:  color.RGBA{176, 72, 0, 255},
	}
}
