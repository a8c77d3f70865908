package coverage

import (
	"fmt"
	"math"
	"sort"

	"selvage/r3"
	"selvage/tooth"
)

// How directions are tried.
const (
	tiltStep   = 5 * math.Pi / 180
	turnSteps  = 24   // directions round the tooth
	freeReach  = 15.0 // mm that a ray must run free: the working distance of a tip
	liftOff    = 0.05 // mm above the surface where a ray starts, under any spacing
	tiltWeight = 0.3  // per radian: 60° of tilt weigh as much as a third of the place's cosine
	sightShare = 2.0  // a place seen at all weighs as much as two seen squarely
	square     = 0.64 // cosine of 50°: seen more squarely than that, a surface comes out no better
	most       = 40   // points of a place that are tried
	straightUp = 10 * math.Pi / 180
	fieldHalf  = 7.0 // mm, half of what a window shows at once
)

// From how many directions a place is scanned.
const (
	holdsMost = 4    // a place that goes round the tooth needs its four sides
	gainLeast = 0.02 // of the place, that another direction must add: one of most points
	enough    = 0.97
	// seenLeast is the share of a place below which its directions are no advice: the
	// most of it would stay missing.
	seenLeast = 0.5
)

// FindApproach finds how to hold the scanner to see the points of a place, whose
// outward normals are given (frame of the working scan).
//
// Directions up to [Hand].MaxTilt from the occlusal one are tried in steps of 5° and
// 15°. A point is seen along d if its normal is within 75° of d and the ray runs free
// for the scanner's working distance. Directions are taken in the order of
//
//	(2·seen + Σ min(cos(normal, d), cos 50°) over the seen points)/n - 0.3·tilt
//
// until one has room for the head ([Hand]). What it does not see is looked for in the
// same way from up to three more, in Then, while each adds a fiftieth of the place.
//
// Where half of the place cannot be seen the Approach has no direction, and Bar says
// whether the teeth and the gum are in the way or the head finds no room. Cost: about
// 300 directions × 40 rays, and up to 1000 rays for each one that is tried for room.
func FindApproach(in Input, points, normals []r3.Vec) Approach {
	if in.Working == nil || len(points) == 0 || len(points) != len(normals) {
		return Approach{}
	}
	return newRoom(in).approach(points, normals)
}

func (r *room) approach(points, normals []r3.Vec) Approach {
	points, normals = thin(points, normals)
	left := make([]bool, len(points))
	for i := range left {
		left[i] = true
	}
	views := r.views(points, normals)
	n := float64(len(points))
	out, seen, bar := Approach{}, 0.0, Bar("")
	for k := range holdsMost {
		a, gained, why := r.hold(views, points, left)
		if k == 0 {
			bar = why
		}
		if gained == 0 || k > 0 && float64(gained) < gainLeast*n {
			break
		}
		seen += float64(gained) / n
		if k == 0 {
			out = a
		} else {
			out.Then = append(out.Then, a)
		}
		if seen >= enough {
			break
		}
	}
	if seen < seenLeast {
		if bar == "" {
			bar = Shadowed
		}
		return Approach{Bar: bar, Seen: seen, Words: bar.words()}
	}
	out.Seen = seen
	out.Words = out.words()
	return out
}

// view is what is seen along one direction.
type view struct {
	d    r3.Vec
	tilt float64
	cos  []float64 // by point; 0 where it is not seen
}

// views looks along every direction.
func (r *room) views(points, normals []r3.Vec) []view {
	var out []view
	for tilt := 0.0; tilt <= r.hand.MaxTilt+1e-9; tilt += tiltStep {
		turns := turnSteps
		if tilt == 0 {
			turns = 1
		}
		for k := range turns {
			v := view{r.direction(tilt, 2*math.Pi*float64(k)/turnSteps), tilt, make([]float64, len(points))}
			for i, p := range points {
				c := normals[i].Dot(v.d)
				if c >= math.Cos(grazing) && !r.blocked(p.AddScaled(liftOff, normals[i]), v.d, 0, freeReach) {
					v.cos[i] = c
				}
			}
			out = append(out, v)
		}
	}
	return out
}

// hold returns the best direction with room for the points that are left, takes what
// it sees out of them, and says how many those were. Of a long place it sees what the
// window shows at once, about the middle of what it could. why is set where there is
// none.
func (r *room) hold(views []view, points []r3.Vec, left []bool) (a Approach, gained int, why Bar) {
	type scored struct {
		k     int
		score float64
	}
	var order []scored
	for k, v := range views {
		seen, sum := 0, 0.0
		for i, c := range v.cos {
			if left[i] && c > 0 {
				seen++
				sum += min(c, square)
			}
		}
		if seen > 0 {
			order = append(order, scored{k, (sightShare*float64(seen)+sum)/float64(len(points)) - tiltWeight*v.tilt})
		}
	}
	if len(order) == 0 {
		return a, 0, Shadowed
	}
	sort.SliceStable(order, func(i, j int) bool { return order[i].score > order[j].score })
	for _, o := range order {
		v := views[o.k]
		var mid r3.Vec
		n := 0
		for i, c := range v.cos {
			if left[i] && c > 0 {
				mid, n = mid.Add(points[i]), n+1
			}
		}
		mid = mid.Scale(1 / float64(n))
		if !r.fits(mid, v.d) {
			continue
		}
		for i, c := range v.cos {
			if left[i] && c > 0 && points[i].Sub(mid).Reject(v.d).Norm() < fieldHalf {
				left[i] = false
				gained++
			}
		}
		a = Approach{Direction: v.d, Tilt: v.tilt, Seen: float64(gained) / float64(len(points)), From: tooth.Occlusal}
		if v.tilt > straightUp {
			a.From = r.side(r.frame.Dir(v.d))
		}
		return a, gained, ""
	}
	return a, 0, NoRoom
}

// words says how to hold the tip.
func (a Approach) words() string {
	if a.From == tooth.Occlusal {
		return "straight from above"
	}
	return fmt.Sprintf("tilt %.0f°, from %s", a.Tilt*180/math.Pi, a.From)
}

// words says why there is no direction.
func (b Bar) words() string {
	if b == NoRoom {
		return "no direction in which the tip has room was found"
	}
	return "no direction sees it past the teeth and the gum"
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

// blocked reports whether any witness stands in the way.
func (r *room) blocked(o, d r3.Vec, tmin, tmax float64) bool {
	for _, s := range r.witness {
		if s.Tree.Occluded(o, d, tmin, tmax) {
			return true
		}
	}
	return false
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
