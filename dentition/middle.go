package dentition

import "math"

// Limits of the search for the symmetry of an arch.
const (
	middleArm   = 35.0               // mm along the ridge each way over which the sides are compared: to the first molars
	middleLeast = 20.0               // mm each way that must be there
	middleDeep  = 0.35               // of the length of an arm, how far back its ends lie at least; at the incisors it is 0.6
	middleTurn  = 60 * math.Pi / 180 // by which the turns of the two arms may differ before it counts much
	middleFloor = 0.05               // of the depth: misfit that every jaw has
)

// symmetry returns the place along the curve about which it is its own mirror
// image best, in steps, or NaN if no place has enough arch on both sides. The
// mirror is the normal of the curve there; the misfit is the mean distance
// between mirrored points at equal distances along, relative to how deep the arch
// is there, for any place of a straight side is its own mirror image:
//
//	misfit/depth + floor, times 1 + (difference of turns/60°)².
func symmetry(pts []xy) float64 {
	arm, least := int(middleArm/spineStep), int(middleLeast/spineStep)
	tan := directions(pts)
	turn := func(i, j int) float64 { return math.Atan2(tan[i].cross(tan[j]), tan[i].dot(tan[j])) }
	best, low := math.NaN(), math.Inf(1)
	for i := least; i < len(pts)-least; i++ {
		n := min(arm, i, len(pts)-1-i)
		sum := 0.0
		for k := 1; k <= n; k++ {
			a, b := pts[i+k].sub(pts[i]), pts[i-k].sub(pts[i])
			mirrored := a.add(-2*a.dot(tan[i]), tan[i])
			sum += mirrored.sub(b).norm()
		}
		deep := pts[i+n].add(1, pts[i-n]).add(-2, pts[i]).norm() / 2
		if deep < middleDeep*float64(n)*spineStep {
			continue
		}
		d := (turn(i-n, i) - turn(i, i+n)) / middleTurn
		if m := (sum/float64(n)/deep + middleFloor) * (1 + d*d); m < low {
			best, low = float64(i), m
		}
	}
	return best
}
