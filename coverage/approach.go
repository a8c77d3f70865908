package coverage

import (
	"fmt"
	"math"

	"selvage/r3"
	"selvage/tooth"
)

// How a scanner can be held.
const (
	maxTilt    = 75 * math.Pi / 180 // from the occlusal direction; more is behind the cheek
	tiltStep   = 5 * math.Pi / 180
	turnSteps  = 24   // directions round the tooth
	freeReach  = 15.0 // mm that a ray must run free: the working distance of a tip
	liftOff    = 0.05 // mm above the surface where a ray starts, under any spacing
	headHalf   = 7.0  // mm, half the breadth of a scanner's tip (usual for a small one)
	headNear   = 6.0  // mm from the place to the front of the tip, at least
	tiltWeight = 0.3  // per radian: 60° of tilt weigh as much as a third of the place
	most       = 40   // points of a place that are tried
	straightUp = 10 * math.Pi / 180
)

// FindApproach finds how to hold the scanner to see the points of a place, whose
// outward normals are given (frame of the working scan).
//
// Directions up to 75° from the occlusal one are tried in steps of 5° and 15°. A
// point is seen along d if its normal is within 75° of d and the ray runs free for
// the scanner's working distance; the tip (a square of 14 mm, 6 mm away) must not
// touch the teeth. The direction with the largest
//
//	Σ cos(normal, d)/n - 0.3·tilt
//
// over the seen points wins. Direction is zero if nothing can be seen from
// anywhere. Cost: about 300 directions × 40 rays.
func FindApproach(in Input, points, normals []r3.Vec) Approach {
	if in.Working == nil || len(points) == 0 || len(points) != len(normals) {
		return Approach{}
	}
	return newRoom(in).approach(points, normals)
}

func (r *room) approach(points, normals []r3.Vec) Approach {
	points, normals = thin(points, normals)
	var mid r3.Vec
	for _, p := range points {
		mid = mid.Add(p)
	}
	mid = mid.Scale(1 / float64(len(points)))
	best, bestScore := Approach{}, math.Inf(-1)
	for tilt := 0.0; tilt <= maxTilt+1e-9; tilt += tiltStep {
		turns := turnSteps
		if tilt == 0 {
			turns = 1
		}
		for k := range turns {
			d := r.direction(tilt, 2*math.Pi*float64(k)/turnSteps)
			share, sum := r.view(points, normals, d)
			score := sum - tiltWeight*tilt
			if share == 0 || score <= bestScore || !r.fits(mid, d) {
				continue
			}
			bestScore = score
			best = Approach{Direction: d, Tilt: tilt, Seen: share, From: tooth.Occlusal}
			if tilt > straightUp {
				best.From = r.side(r.frame.Dir(d))
			}
		}
	}
	best.Words = best.words()
	return best
}

// words says how to hold the tip.
func (a Approach) words() string {
	switch {
	case a.Direction == (r3.Vec{}):
		return "no direction in which the tip has room was found"
	case a.From == tooth.Occlusal:
		return "straight from above"
	}
	return fmt.Sprintf("tilt %.0f°, from %s", a.Tilt*180/math.Pi, a.From)
}

// direction returns the unit vector tilted from the occlusal direction towards an
// azimuth from mesial, in the frame of the scan.
func (r *room) direction(tilt, azimuth float64) r3.Vec {
	up := r.in.Prepared.Occlusal
	x := r.back.Dir(r3.V(1, 0, 0)).Reject(up).UnitOr(firstOf(up.Basis()))
	s, c := math.Sincos(azimuth)
	t, u := math.Sincos(tilt)
	return x.Scale(t*c).AddScaled(t*s, up.Cross(x)).AddScaled(u, up)
}

// view returns the share of the points that are seen along d and the mean cosine
// of their normals to it.
func (r *room) view(points, normals []r3.Vec, d r3.Vec) (share, sum float64) {
	n := float64(len(points))
	for i, p := range points {
		c := normals[i].Dot(d)
		if c < math.Cos(grazing) || r.blocked(p.AddScaled(liftOff, normals[i]), d, 0, freeReach) {
			continue
		}
		share += 1 / n
		sum += c / n
	}
	return share, sum
}

// blocked reports whether any witness stands in the way.
func (r *room) blocked(o, d r3.Vec, tmin, tmax float64) bool {
	for _, s := range r.witness {
		if s.Tree.Occluded(o, d, tmin, tmax) {
			return true
		}
	}
	return false
}

// fits reports whether the tip has room at its distance from a place: nothing
// stands behind the plane of its window within its square.
func (r *room) fits(mid, d r3.Vec) bool {
	e1, e2 := d.Basis()
	c := mid.AddScaled(headNear, d)
	for i := -1.0; i <= 1; i++ {
		for j := -1.0; j <= 1; j++ {
			o := c.AddScaled(i*headHalf/2, e1).AddScaled(j*headHalf/2, e2)
			if r.blocked(o, d, 0, freeReach-headNear) {
				return false
			}
		}
	}
	return true
}

// thin returns at most `most` of the points, evenly taken, with their normals.
func thin(points, normals []r3.Vec) (p, n []r3.Vec) {
	if len(points) <= most {
		return points, normals
	}
	for i := range most {
		k := i * len(points) / most
		p, n = append(p, points[k]), append(n, normals[k])
	}
	return p, n
}
