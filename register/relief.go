package register

import (
	"math"

	"selvage/r3"
)

const (
	reliefRings   = 4
	reliefSectors = 24
	reliefCells   = reliefRings * reliefSectors

	// reliefRadius is how much of the surroundings a relief shows, mm: half a molar and
	// the valley beside it, so that the cusps of one tooth are told apart and its
	// neighbour's, and a frame built on it is good to a few degrees.
	reliefRadius = 5.0

	// reliefDepth bounds heights, mm: beyond it another surface is seen, past an edge.
	reliefDepth = 5.0
)

// relief is the surface about a point as heights over the plane square to its normal, in
// rings and sectors: a map that a rotation about the normal merely shifts. Compare
// [Johnson1999], whose images have rings but no sectors.
type relief struct {
	at     sample
	e1, e2 r3.Vec // the direction of sector 0, and that of a quarter turn on
	h      [reliefCells]float32
	known  [reliefCells]bool
	seen   int // known cells
	// signature holds what no rotation changes: of each ring the mean height and the
	// strength of its first three harmonics.
	signature [4 * reliefRings]float32
	strength  float64 // root mean square height: how much there is to hold on to
}

// newRelief maps the surroundings of a point with the given normal.
func newRelief(s []sample, g *grid, p, n r3.Vec) relief {
	r := relief{at: sample{p, n}}
	r.e1, r.e2 = n.Basis()
	var sum, num [reliefCells]float32
	g.near(p, reliefRadius+reliefDepth/2, func(i int32) {
		q := s[i].p.Sub(p)
		h := q.Dot(n)
		if math.Abs(h) > reliefDepth || s[i].n.Dot(n) < 0 {
			return
		}
		x, y := q.Dot(r.e1), q.Dot(r.e2)
		rho := math.Hypot(x, y)
		if rho >= reliefRadius {
			return
		}
		ring := int(rho * reliefRings / reliefRadius)
		turn := math.Atan2(y, x) * (reliefSectors / (2 * math.Pi))
		sector := (int(math.Floor(turn)) + reliefSectors) % reliefSectors
		sum[ring*reliefSectors+sector] += float32(h)
		num[ring*reliefSectors+sector]++
	})
	for c := range sum {
		if num[c] > 0 {
			r.h[c], r.known[c] = sum[c]/num[c], true
		}
	}
	r.close()
	r.describe()
	return r
}

// close fills single unknown cells between two known ones of a ring: the inner rings are
// narrower than the samples are apart.
func (r *relief) close() {
	was := r.known
	for ring := range reliefRings {
		row := r.h[ring*reliefSectors : (ring+1)*reliefSectors]
		for k := range reliefSectors {
			if was[ring*reliefSectors+k] {
				continue
			}
			for gap := 1; gap <= reliefGap(ring); gap++ {
				a, b := around(was[:], ring, k, gap)
				if a >= 0 && b >= 0 {
					row[k], r.known[ring*reliefSectors+k] = (row[a]+row[b])/2, true
					break
				}
			}
		}
	}
	for _, k := range r.known {
		if k {
			r.seen++
		}
	}
}

// reliefGap is how many sectors to each side a gap is closed from: a quarter turn on the
// innermost ring, less farther out.
func reliefGap(ring int) int { return reliefSectors / 4 / (ring + 1) }

// around returns the known sectors gap before and after k, -1 where they are not.
func around(known []bool, ring, k, gap int) (a, b int) {
	a, b = (k+reliefSectors-gap)%reliefSectors, (k+gap)%reliefSectors
	if !known[ring*reliefSectors+a] {
		a = -1
	}
	if !known[ring*reliefSectors+b] {
		b = -1
	}
	return a, b
}

// describe computes the signature from the known cells.
func (r *relief) describe() {
	sum2 := 0.0
	for ring := range reliefRings {
		n, mean := 0.0, 0.0
		for k := range reliefSectors {
			if c := ring*reliefSectors + k; r.known[c] {
				mean += float64(r.h[c])
				sum2 += float64(r.h[c]) * float64(r.h[c])
				n++
			}
		}
		if n == 0 {
			continue
		}
		mean /= n
		r.signature[4*ring] = float32(mean)
		for m := 1; m <= 3; m++ {
			x, y := 0.0, 0.0
			for k := range reliefSectors {
				if c := ring*reliefSectors + k; r.known[c] {
					sin, cos := math.Sincos(2 * math.Pi * float64(m*k) / reliefSectors)
					x, y = x+(float64(r.h[c])-mean)*cos, y+(float64(r.h[c])-mean)*sin
				}
			}
			r.signature[4*ring+m] = float32(2 * math.Hypot(x, y) / n)
		}
	}
	if r.seen > 0 {
		r.strength = math.Sqrt(sum2 / float64(r.seen))
	}
}

// unlike returns the squared difference of two signatures.
func (r *relief) unlike(q *relief) float32 {
	sum := float32(0)
	for i := range r.signature {
		d := r.signature[i] - q.signature[i]
		sum += d * d
	}
	return sum
}

// leastShared is the share of the cells that two reliefs must both know to be compared.
const leastShared = 0.55

// turnTo returns the number of sectors by which r is turned to look most like q, and the
// root mean square height that is left between them. ok is false where they hardly
// share a cell.
func (r *relief) turnTo(q *relief) (sectors int, left float64, ok bool) {
	best := math.Inf(1)
	for s := range reliefSectors {
		sum, n := float32(0), 0
		for ring := range reliefRings {
			for k := range reliefSectors {
				a, b := ring*reliefSectors+k, ring*reliefSectors+(k+s)%reliefSectors
				if r.known[a] && q.known[b] {
					d := r.h[a] - q.h[b]
					sum += d * d
					n++
				}
			}
		}
		if float64(n) < leastShared*reliefCells {
			continue
		}
		if left := math.Sqrt(float64(sum) / float64(n)); left < best {
			best, sectors, ok = left, s, true
		}
	}
	return sectors, best, ok
}

// onto returns the motion that lays r on q, turned by the given number of sectors.
func (r *relief) onto(q *relief, sectors int) r3.Rigid {
	s, c := math.Sincos(2 * math.Pi * float64(sectors) / reliefSectors)
	e1 := q.e1.Scale(c).AddScaled(s, q.e2)
	to := r3.FrameTo(q.at.p, e1, q.at.n.Cross(e1), q.at.n)
	from := r3.FrameTo(r.at.p, r.e1, r.e2, r.at.n)
	return to.Inverse().After(from)
}
