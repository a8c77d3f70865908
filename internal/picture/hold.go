package picture

import (
	"fmt"
	"math"

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
