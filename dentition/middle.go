package dentition

import "math"

// Limits of the search for the symmetry of an arch, mm along the ridge.
const (
	middleArm   = 35.0 // how far each way the sides are compared: to the first molars
	middleLeast = 20.0 // how far each way must be there
	middleBase  = 4.0  // half the length over which the direction of the front is taken
)

// symmetry returns the place along the curve about which it is its own mirror
// image best, in steps, or NaN if no place has enough arch on both sides. The
// mirror is the normal of the curve there; the misfit is the mean distance
// between mirrored points at equal distances along, relative to how deep the arch
// is there, for any place of a straight side is its own mirror image.
func symmetry(pts []xy) float64 {
	arm, least, base := int(middleArm/spineStep), int(middleLeast/spineStep), int(middleBase/spineStep)
	best, low := math.NaN(), math.Inf(1)
	for i := least; i < len(pts)-least; i++ {
		n := min(arm, i, len(pts)-1-i)
		front := pts[i+base].sub(pts[i-base]).unit()
		sum := 0.0
		for k := 1; k <= n; k++ {
			a, b := pts[i+k].sub(pts[i]), pts[i-k].sub(pts[i])
			mirrored := a.add(-2*a.dot(front), front)
			sum += mirrored.sub(b).norm()
		}
		deep := pts[i+n].add(1, pts[i-n]).add(-2, pts[i]).norm() / 2
		if m := sum / float64(n) / deep; m < low {
			best, low = float64(i), m
		}
	}
	return best
}
