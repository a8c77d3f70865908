package drill

import (
	"image"
	"image/color"
	"strconv"

	"selvage/finding"
	"selvage/internal/picture"
	"selvage/internal/picture/paint"
	"selvage/mesh"
	"selvage/phantom"
	"selvage/r3"
)

// The size of a picture, pixels, and how much of the mouth it shows across, in radii of
// the margin.
const (
	pictureW = 720
	pictureH = 540
	across   = 3.6
)

// shot is one picture to be taken.
type shot struct {
	eye, up, centre r3.Vec
	clip            []picture.Plane
	opposing        bool
}

// draw takes the pictures of every place, once plain and once with the truth marked.
func (m *Made) draw(c phantom.Case, f frame) {
	working, _ := c.Scan(phantom.Working)
	opposing, _ := c.Scan(string(finding.RoleOpposing))
	m.pictures = map[Place][]picturePair{}
	for _, p := range Places() {
		for _, s := range f.shots(p, c.Truth.Restorations[0]) {
			m.pictures[p] = append(m.pictures[p], picturePair{
				plain: s.take(f, working.Mesh, opposing.Mesh, nil), marked: s.take(f, working.Mesh, opposing.Mesh, pins(m.Truth, p)),
			})
		}
	}
}

// shots say from where a place is looked at: a side from above it at about 58° to the axis,
// with what stands in front cut away; between two teeth the neighbour's face, too; the room
// in two cuts through the middle.
func (f frame) shots(p Place, r phantom.Restoration) []shot {
	lean := func(side r3.Vec) r3.Vec { return side.Scale(0.85).AddScaled(0.53, f.axis).UnitOr(f.axis) }
	side := func(d r3.Vec) shot {
		return shot{eye: lean(d), up: f.axis, centre: f.centre.AddScaled(f.radius/2, f.axis)}
	}
	between := func(d r3.Vec, name string) []shot {
		one := side(d)
		for _, n := range r.Contacts {
			if n.Side != name {
				continue
			}
			wall := n.At.Vec().AddScaled(-0.15, d) // between the tooth and its neighbour
			one.clip = []picture.Plane{{P: wall, N: d.Neg()}}
			face := shot{eye: lean(d.Neg()), up: f.axis, centre: n.At.Vec(), clip: []picture.Plane{{P: wall, N: d}}}
			return []shot{one, face}
		}
		return []shot{one}
	}
	cut := func(d r3.Vec) shot {
		return shot{eye: d, up: f.axis, centre: f.centre.AddScaled(f.radius, f.axis), clip: []picture.Plane{{P: f.centre, N: d.Neg()}}, opposing: true}
	}
	switch p {
	case Mesial:
		return between(f.mesial, "mesial")
	case Distal:
		return between(f.mesial.Neg(), "distal")
	case Buccal:
		return []shot{side(f.buccal)}
	case Lingual:
		return []shot{side(f.buccal.Neg())}
	case Occlusal:
		return []shot{{eye: f.axis, up: f.buccal, centre: f.centre}}
	case Bite:
		return []shot{cut(f.buccal), cut(f.mesial)}
	}
	return nil
}

func pins(spots []Spot, p Place) []picture.Pin {
	out := []picture.Pin{}
	for _, s := range spots {
		if s.Place != p || s.At == (r3.Vec{}) {
			continue
		}
		kind := picture.PinScan
		if s.Do == Ask {
			kind = picture.PinAsk
		}
		out = append(out, picture.Pin{At: s.At, Across: 1.2, Kind: kind, Number: strconv.Itoa(len(out) + 1)})
	}
	return out
}

// take draws a picture and writes on it that it shows no patient.
func (s shot) take(f frame, working, opposing *mesh.Mesh, pins []picture.Pin) []byte {
	sc := picture.Scene{
		W: pictureW, H: pictureH, Pins: pins,
		View:     picture.View{Eye: s.eye, Up: s.up, Center: s.centre, Span: across * f.radius * pictureW / pictureH},
		Surfaces: []picture.Surface{{Mesh: working, Clip: s.clip}},
	}
	if s.opposing && opposing != nil {
		sc.Surfaces = append(sc.Surfaces, picture.Surface{Mesh: opposing, Tint: picture.Opposing, Clip: s.clip})
	}
	img := sc.Draw()
	watermark(img)
	return paint.Encode(img)
}

// watermark writes over a picture in both languages of the pages that it is a made one: it
// stays on the picture wherever that goes.
func watermark(img *image.RGBA) {
	const size, text = 20, "training · Übung"
	t := paint.NewTypesetter()
	w := t.Width(text, size)
	x, y := float64(pictureW)-w-14, 28.0
	mask := paint.NewMask(x-8, y-size-4, x+w+8, y+12, pictureW, pictureH)
	t.Word(mask, text, x, y, size)
	mask.Grown(3, pictureW, pictureH).Paint(img, color.RGBA{R: 0xff, G: 0xff, B: 0xff, A: 0xff}, 1)
	mask.Paint(img, color.RGBA{R: 0x55, G: 0x5a, B: 0x66, A: 0xff}, 1)
}
