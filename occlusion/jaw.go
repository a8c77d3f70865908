package occlusion

import (
	"math"

	"selvage/r3"
	"selvage/tooth"
)

// Jaw places a scan in the mouth: where the lower incisors' edge is, and the
// directions of the patient.
type Jaw struct {
	Incisal        r3.Vec // the midline point between the lower incisors' edges
	Left, Back, Up r3.Vec // unit; Up is towards the skull
}

// Sizes of an average dental arch in mm, from the incisors to the first molars
// [trade §7.3: Mina et al. 2017], for placing a tooth in the jaw when the scan shows
// no more than a quadrant.
const (
	upperWidth, upperDepth = 57.92, 31.59
	lowerWidth, lowerDepth = 54.19, 28.10
)

// JawAt places tooth n, whose centre and directions are known, in an average jaw: on
// the arch of [trade §7.3],
//
//	y(x) = D − 3.0314·D·(½ + x/W)^0.8 (½ − x/W)^0.8,
//
// x mm beside the midline and y mm behind the incisors, at the arc length that the
// average widths of the teeth before it add up to, with the tooth's mesial direction
// along the arch. Individual arches differ by several mm, which turns the paths of
// movements by a few degrees.
func JawAt(n tooth.Number, centre, mesial, occlusal r3.Vec) Jaw {
	x, y, sx, sy := onArch(n)
	// Seen along the occlusal direction: the unit vectors of the arch, from the
	// direction of the tangent, which runs back and outwards, away from mesial.
	distal := mesial.Neg().Reject(occlusal).UnitOr(mesial.Neg())
	up := occlusal
	if n.Jaw() == tooth.Upper {
		up = occlusal.Neg()
	}
	// On the patient's left outwards is left; the tangent is sx·out + sy·back.
	side := 1.0
	if n.Side() == tooth.Right {
		side = -1
	}
	// Left × Back = -Up for a right-handed patient frame (left, back, up) is
	// left × back = up; so turning about up by +90° takes left to back.
	turn := math.Atan2(sy, side*sx) // of the tangent from left towards back
	left := r3.Rotation(up, -turn).Apply(distal)
	back := up.Cross(left)
	return Jaw{
		Incisal: centre.AddScaled(-side*x, left).AddScaled(-y, back),
		Left:    left, Back: back, Up: up,
	}
}

// onArch returns where tooth n stands on the average arch and the unit tangent there,
// outwards and backwards.
func onArch(n tooth.Number) (x, y, tx, ty float64) {
	w, d := upperWidth, upperDepth
	if n.Jaw() == tooth.Lower {
		w, d = lowerWidth, lowerDepth
	}
	arc := 0.0
	for k := n; ; {
		size, _ := tooth.Dimensions(k)
		if k == n {
			arc += size.MD / 2
		} else {
			arc += size.MD
		}
		next, ok := k.Mesial()
		if !ok || next.Quadrant() != n.Quadrant() {
			break
		}
		k = next
	}
	curve := func(x float64) float64 {
		t := min(x/w, 0.5)
		return d - 3.0314*d*math.Pow(0.5+t, 0.8)*math.Pow(0.5-t, 0.8)
	}
	const step = 0.01 // mm
	for arc > 0 {
		if x >= w/2 { // behind the first molars the arch runs straight on
			return x, y + arc, tx, ty
		}
		next := curve(x + step)
		l := math.Hypot(step, next-y)
		tx, ty = step/l, (next-y)/l
		x, y, arc = x+step, next, arc-l
	}
	return x, y, tx, ty
}
