package picture

import (
	"fmt"
	"math"

	"selvage/mesh"
	"selvage/r3"
)

// holdSpan is how much of the mouth the picture of the tip shows, mm.
const holdSpan = 46.0

// holdFront in mm is how far in front of the spot teeth are still drawn; those
// nearer to the viewer would hide it.
const holdFront = 6.5

// holdScene draws the tip over the spot. The picture's plane holds the occlusal
// direction and the tip's, so the angle between them is true in it.
func (s Stage) holdScene(p Spot) (Scene, bool) {
	dir, ok := p.Approach.Unit()
	if !ok {
		return Scene{}, false
	}
	if p.Opposing && s.Opposing != nil {
		p.Opposing = false
		return s.facing().holdScene(p)
	}
	occ := s.occlusal()
	if p.Tilt < smallTilt {
		dir = occ
	}
	front := s.front()
	tip := s.Tip.withDefaults()
	body, window, middle := tip.solids(p.At, dir, front)
	sc := Scene{
		View:     View{Eye: s.holdEye(p, occ, dir, front), Up: s.headUp(), Span: holdSpan},
		Ground:   s.Ground,
		Surfaces: append(s.surfaces(), Surface{Mesh: body, Tint: Tool}, Surface{Mesh: window, Tint: Opposing}),
		Rim:      s.rimWords(),
		Pins:     []Pin{{At: p.At, Across: p.Extent}},
		NoScale:  true,
	}
	for i := range sc.Surfaces[:len(sc.Surfaces)-2] { // all but the tip
		sc.Surfaces[i].Values = nil
		sc.Surfaces[i].Clip = []Plane{{P: p.At.AddScaled(holdFront, sc.View.Eye), N: sc.View.Eye.Neg()}}
	}
	sc.View.Center = p.At.Lerp(middle, 0.3).AddScaled(0.4*tip.Away, dir)
	reach := 0.62 * tip.Away
	// the arrow ends at the spot's ring, about 12 CSS pixels from its middle
	end := 0.3 + max(12*holdSpan/holdW, p.Extent/2+0.7)
	sc.Arrows = []Arrow{{From: p.At.AddScaled(tip.Away-0.6, dir), To: p.At.AddScaled(min(end, 0.7*tip.Away), dir)}}
	sc.Lines = []Line{{Points: []r3.Vec{p.At, p.At.AddScaled(1.25*tip.Away, occ)}, Style: Dashed, Width: 1.5, Front: true}}
	if p.Tilt >= smallTilt {
		sc.Angles = []Angle{{
			At: p.At, A: occ, B: dir, Radius: reach,
			Text: fmt.Sprintf("%.0f°", 5*math.Round(p.Tilt*180/math.Pi/5)),
		}}
	}
	return sc, true
}

// smallTilt is a tilt that nobody can hold by eye: below 7° it is "straight down".
const smallTilt = 7 * math.Pi / 180

// holdEye looks along the normal of the plane that holds the occlusal direction
// and the tip, from the side on which the spot is nearer to the viewer, a little
// from above so that the arch is recognised.
func (s Stage) holdEye(p Spot, occ, dir, front r3.Vec) r3.Vec {
	side, ok := occ.Cross(dir).Unit()
	if !ok || occ.Angle(dir) < smallTilt {
		side = front.Cross(occ).UnitOr(s.Buccal.UnitOr(r3.V(1, 0, 0)))
	}
	out := s.Buccal.AddScaled(0.8, front)
	if side.Dot(out) < 0 {
		side = side.Neg()
	}
	lift := func(d r3.Vec) r3.Vec { return d.AddScaled(holdLift, occ).UnitOr(d) }
	for _, d := range [...]r3.Vec{side, side.Neg()} {
		if s.sees(p, lift(d)) {
			return lift(d)
		}
	}
	return lift(side)
}

// holdLift raises the viewer by about 17°: an angle in the picture's plane is
// then drawn at most 2° off.
const holdLift = 0.3

// Tip is the size of the drawn scanner tip in mm: a plain rounded box, no
// maker's shape. The zero value means 16 wide, 13 high, 44 long, 11 away.
type Tip struct {
	Wide, High, Long float64
	Away             float64 // from the window to the surface
}

func (t Tip) withDefaults() Tip {
	if t == (Tip{}) {
		return Tip{Wide: 16, High: 13, Long: 44, Away: 11}
	}
	return t
}

// tipRound is the radius of the tip's edges as a share of its height.
const tipRound = 0.28

// solids returns the tip with its window looking from direction toward at (the
// direction points from the surface to the scanner), its handle leaving along
// the part of handle that is square to it. The window is a second, thin solid.
func (t Tip) solids(at, direction, handle r3.Vec) (body, window *mesh.Mesh, middle r3.Vec) {
	z := direction.UnitOr(r3.V(0, 0, 1))
	e1, _ := z.Basis()
	x := handle.Reject(z).UnitOr(e1)
	y := z.Cross(x)
	// The window sits a little in from the free end: 0.55 of the width.
	center := at.AddScaled(t.Away+t.High/2, z).AddScaled(t.Long/2-0.55*t.Wide, x)
	body = roundedBox(r3.V(t.Long/2, t.Wide/2, t.High/2), tipRound*t.High, center, x, y, z)
	w := 0.34 * t.Wide
	face := at.AddScaled(t.Away, z)
	window = roundedBox(r3.V(1.15*w, w, 0.35), 0.3, face, x, y, z)
	return body, window, center
}

// roundedBox makes a closed box of the given half sizes about center, its edges
// rounded by radius: points of a plain box are pulled to that distance from the
// smaller box inside.
func roundedBox(half r3.Vec, radius float64, center, x, y, z r3.Vec) *mesh.Mesh {
	m := &mesh.Mesh{}
	core := half.Sub(r3.V(radius, radius, radius))
	core = r3.V(max(core.X, 0), max(core.Y, 0), max(core.Z, 0))
	place := func(p r3.Vec) r3.Vec {
		in := r3.V(min(max(p.X, -core.X), core.X), min(max(p.Y, -core.Y), core.Y), min(max(p.Z, -core.Z), core.Z))
		q := in.AddScaled(radius, p.Sub(in).UnitOr(r3.Vec{}))
		return center.AddScaled(q.X, x).AddScaled(q.Y, y).AddScaled(q.Z, z)
	}
	bx, by, bz := bevels(half.X, core.X, radius), bevels(half.Y, core.Y, radius), bevels(half.Z, core.Z, radius)
	side := func(o, u, v r3.Vec, bu, bv []float64) { // o: middle of the face; u × v points outwards
		first := len(m.Pos)
		for _, b := range bv {
			for _, a := range bu {
				m.Pos = append(m.Pos, place(o.AddScaled(a, u).AddScaled(b, v)))
			}
		}
		at := func(i, j int) mesh.VertexID { return mesh.VertexID(first + j*len(bu) + i) }
		for j := range len(bv) - 1 {
			for i := range len(bu) - 1 {
				m.Tri = append(m.Tri, [3]mesh.VertexID{at(i, j), at(i+1, j), at(i+1, j+1)},
					[3]mesh.VertexID{at(i, j), at(i+1, j+1), at(i, j+1)})
			}
		}
	}
	hx, hy, hz := r3.V(half.X, 0, 0), r3.V(0, half.Y, 0), r3.V(0, 0, half.Z)
	side(hz, hx, hy, bx, by)
	side(hz.Neg(), hy, hx, by, bx)
	side(hx, hy, hz, by, bz)
	side(hx.Neg(), hz, hy, bz, by)
	side(hy, hz, hx, bz, bx)
	side(hy.Neg(), hx, hz, bx, bz)
	return m
}

// bevels returns the grid lines of a side as shares of its half: one at each end of
// the flat part, and over each round edge steps of equal angle.
func bevels(half, core, radius float64) []float64 {
	const steps = 6 // of 7.5°: round to the eye at any size drawn here
	if radius <= 0 || half <= 0 {
		return []float64{-1, 1}
	}
	var up []float64
	for i := 0; i <= steps; i++ {
		up = append(up, (core+radius*math.Tan(math.Pi/4*float64(i)/steps))/half)
	}
	out := make([]float64, 0, 2*len(up))
	for i := len(up) - 1; i >= 0; i-- {
		out = append(out, -up[i])
	}
	return append(out, up...)
}
