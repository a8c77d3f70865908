package picture

import (
	"fmt"
	"math"

	"selvage/mesh"
	"selvage/r3"
)

// holdSpan is how much of the mouth the picture of the tip shows, mm.
const holdSpan = 40.0

// holdScene draws the tip over the spot. The picture's plane holds the occlusal
// direction and the tip's, so the angle between them is true in it.
func (s Stage) holdScene(p Spot) (Scene, bool) {
	dir, ok := p.Approach.Unit()
	if !ok {
		return Scene{}, false
	}
	occ := s.occlusal()
	if p.Opposing {
		occ = occ.Neg()
	}
	front := s.front()
	tip := s.Tip.withDefaults()
	body, window, middle := tip.solids(p.At, dir, front)
	sc := Scene{
		View:     View{Eye: s.holdEye(p, occ, dir, front), Up: s.headUp(), Span: holdSpan},
		Ground:   s.Ground,
		Surfaces: append(s.surfaces(), Surface{Mesh: body, Tint: Tool}, Surface{Mesh: window, Tint: Opposing}),
		Rim:      s.rimWords(),
		NoScale:  true,
	}
	for i := range sc.Surfaces {
		sc.Surfaces[i].Values = nil
	}
	if p.Opposing && s.Opposing != nil {
		sc.Surfaces = append([]Surface{{Mesh: s.Opposing, Tint: Context}}, sc.Surfaces[len(sc.Surfaces)-2:]...)
		sc.View.Up = sc.View.Up.Neg()
	}
	sc.View.Center = p.At.Lerp(middle, 0.45)
	sc.View.Center = p.At.AddScaled(0.55*(tip.Away+tip.High/2), dir)
	reach := tip.Away + 0.4*tip.High
	sc.Arrows = []Arrow{{From: p.At.AddScaled(tip.Away-0.6, dir), To: p.At.AddScaled(0.8, dir)}}
	sc.Lines = []Line{{Points: []r3.Vec{p.At, p.At.AddScaled(reach+tip.High, occ)}, Style: Dashed, Width: 1.5, Front: true}}
	if tilt := occ.Angle(dir); tilt > smallTilt {
		sc.Angles = []Angle{{At: p.At, A: occ, B: dir, Radius: reach + 0.9*tip.High,
			Text: fmt.Sprintf("%.0f°", 5*math.Round(tilt*180/math.Pi/5))}}
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
// maker's shape. The zero value means 17 wide, 15 high, 52 long, 9 away.
type Tip struct {
	Wide, High, Long float64
	Away             float64 // from the window to the surface
}

func (t Tip) withDefaults() Tip {
	if t == (Tip{}) {
		return Tip{Wide: 17, High: 15, Long: 52, Away: 9}
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
	const n = 16 // cells along each side of each face: edges look round at any size drawn here
	m := &mesh.Mesh{}
	core := half.Sub(r3.V(radius, radius, radius))
	core = r3.V(max(core.X, 0), max(core.Y, 0), max(core.Z, 0))
	place := func(p r3.Vec) r3.Vec {
		in := r3.V(min(max(p.X, -core.X), core.X), min(max(p.Y, -core.Y), core.Y), min(max(p.Z, -core.Z), core.Z))
		q := in.AddScaled(radius, p.Sub(in).UnitOr(r3.Vec{}))
		return center.AddScaled(q.X, x).AddScaled(q.Y, y).AddScaled(q.Z, z)
	}
	side := func(o, u, v r3.Vec) { // o: middle of the face; u × v points outwards
		first := len(m.Pos)
		for j := 0; j <= n; j++ {
			for i := 0; i <= n; i++ {
				m.Pos = append(m.Pos, place(o.AddScaled(bevel(i, n), u).AddScaled(bevel(j, n), v)))
			}
		}
		at := func(i, j int) mesh.VertexID { return mesh.VertexID(first + j*(n+1) + i) }
		for j := range n {
			for i := range n {
				m.Tri = append(m.Tri, [3]mesh.VertexID{at(i, j), at(i+1, j), at(i+1, j+1)},
					[3]mesh.VertexID{at(i, j), at(i+1, j+1), at(i, j+1)})
			}
		}
	}
	hx, hy, hz := r3.V(half.X, 0, 0), r3.V(0, half.Y, 0), r3.V(0, 0, half.Z)
	side(hz, hx, hy)
	side(hz.Neg(), hy, hx)
	side(hx, hy, hz)
	side(hx.Neg(), hz, hy)
	side(hy, hz, hx)
	side(hy.Neg(), hx, hz)
	return m
}

// bevel places grid line i of n in -1..1, closer together near the ends, where
// the edges are round.
func bevel(i, n int) float64 {
	t := 2*float64(i)/float64(n) - 1
	return t * (1.5 - 0.5*t*t)
}
