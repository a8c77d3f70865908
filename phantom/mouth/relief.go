package mouth

import (
	"math"

	"selvage/phantom/solid"
	"selvage/r3"
)

// Ridge is a rounded crest from point From to point To that falls away to all
// sides with slope Fall: the height at distance d across it is
//
//	z - Fall·(√(d²+Round²) - Round)
//
// with z and d measured at the nearest point of the crest's plan. A cusp is a
// ridge that runs from its tip to the fossa.
type Ridge struct {
	From, To r3.Vec
	Fall     float64
	Round    float64
	Soft     float64 // mm over which the crest bends at its ends; 0 for a crease there
}

// course returns how far along the crest of length l its height has run at a mm from
// the start, 0 to l, and the rate: a hyperbola rounds both ends over Soft.
func (r *Ridge) course(a, l float64) (run, rate float64) {
	s, e := math.Sqrt(a*a+r.Soft*r.Soft), math.Sqrt((a-l)*(a-l)+r.Soft*r.Soft)
	return (s - e + l) / 2, (a/s - (a-l)/e) / 2
}

// height returns the ridge's height and slopes at (x, y).
func (r *Ridge) height(x, y float64) (z, zx, zy float64) {
	ux, uy := r.To.X-r.From.X, r.To.Y-r.From.Y
	px, py := x-r.From.X, y-r.From.Y
	len2 := ux*ux + uy*uy
	t, tx, ty := 0.0, 0.0, 0.0
	if len2 > 0 {
		t = (px*ux + py*uy) / len2
		switch {
		case t < 0:
			t = 0
		case t > 1:
			t = 1
		default:
			tx, ty = ux/len2, uy/len2
		}
	}
	dx, dy := px-t*ux, py-t*uy
	w := math.Sqrt(dx*dx + dy*dy + r.Round*r.Round)
	rise := r.To.Z - r.From.Z
	if r.Soft > 0 && len2 > 0 {
		l := math.Sqrt(len2)
		run, rate := r.course((px*ux+py*uy)/l, l)
		k := rise * rate / len2
		z = r.From.Z + rise*run/l - r.Fall*(w-r.Round)
		return z, k*ux - r.Fall*dx/w, k*uy - r.Fall*dy/w
	}
	z = r.From.Z + t*rise - r.Fall*(w-r.Round)
	return z, rise*tx - r.Fall*dx/w, rise*ty - r.Fall*dy/w
}

// Relief is an occlusal surface: the soft maximum of ridges. Where two ridges
// meet they leave a fissure whose floor is rounded over the width Fissure.
type Relief struct {
	Ridges  []Ridge
	Fissure float64
	Drop    float64 // lowers the whole surface
}

// Height returns the height and the slopes at (x, y).
func (f *Relief) Height(x, y float64) (z, zx, zy float64) {
	for i := range f.Ridges {
		a, ax, ay := f.Ridges[i].height(x, y)
		if i == 0 {
			z, zx, zy = a, ax, ay
			continue
		}
		h := f.Fissure - math.Abs(a-z)
		if a > z {
			a, z = z, a
			ax, zx = zx, ax
			ay, zy = zy, ay
		}
		if h <= 0 {
			continue
		}
		w := h / (2 * f.Fissure)
		z += h * h / (4 * f.Fissure)
		zx, zy = zx*(1-w)+ax*w, zy*(1-w)+ay*w
	}
	return z - f.Drop, zx, zy
}

// Field returns the field of the solid below the surface.
func (f *Relief) Field(p r3.Vec) solid.Sample {
	z, zx, zy := f.Height(p.X, p.Y)
	k := 1 / math.Sqrt(1+zx*zx+zy*zy)
	return solid.Sample{D: (p.Z - z) * k, N: r3.V(-zx*k, -zy*k, k)}
}
