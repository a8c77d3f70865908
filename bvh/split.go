package bvh

// split is a plane to part faces by: those whose bin on the axis is under plane go to
// the left.
type split struct {
	axis  int
	plane int // 0: no plane parts the faces
	from  float32
	scale float32 // bins per length, of twice the middle
	cost  float32 // triangle cost × half area, summed over both sides
}

// bin returns the bin of r's middle. Middles are kept doubled: lo+hi.
func (s *split) bin(r *record) int {
	b := int((r.lo[s.axis] + r.hi[s.axis] - s.from) * s.scale)
	return min(max(b, 0), numBins-1)
}

// bucket gathers the faces of a bin.
type bucket struct {
	lo, hi [3]float32
	n      int32
}

// bestSplit returns the plane of least cost over the three axes; ties go to the lower
// axis and plane. Counts and extremes do not depend on the order of the faces.
func bestSplit(recs []record) split {
	lo, hi := middles(recs)
	best := split{}
	for axis := range 3 {
		if !(hi[axis] > lo[axis]) {
			continue
		}
		s := split{axis: axis, from: lo[axis], scale: numBins / (hi[axis] - lo[axis])}
		var bins [numBins]bucket
		fill(recs, &s, &bins)
		s.sweep(&bins)
		if s.plane > 0 && (best.plane == 0 || s.cost < best.cost) {
			best = s
		}
	}
	return best
}

// middles returns the bounds of the doubled middles.
func middles(recs []record) (lo, hi [3]float32) {
	for k := range 3 {
		lo[k] = recs[0].lo[k] + recs[0].hi[k]
	}
	hi = lo
	for i := 1; i < len(recs); i++ {
		r := &recs[i]
		for k := range 3 {
			c := r.lo[k] + r.hi[k]
			if c < lo[k] {
				lo[k] = c
			}
			if c > hi[k] {
				hi[k] = c
			}
		}
	}
	return lo, hi
}

// fill sorts the faces into the bins of s.
func fill(recs []record, s *split, bins *[numBins]bucket) {
	for i := range recs {
		r := &recs[i]
		b := &bins[s.bin(r)]
		if b.n == 0 {
			b.lo, b.hi = r.lo, r.hi
		} else {
			extend(&b.lo, &b.hi, r)
		}
		b.n++
	}
}

// sweep finds the plane of least cost between the bins.
func (s *split) sweep(bins *[numBins]bucket) {
	var right [numBins]float32 // cost of everything from bin i on
	acc := bucket{}
	for i := numBins - 1; i > 0; i-- {
		acc.join(&bins[i])
		right[i] = acc.cost()
	}
	acc = bucket{}
	total := int32(0)
	for i := range bins {
		total += bins[i].n
	}
	for i := 1; i < numBins; i++ {
		acc.join(&bins[i-1])
		if acc.n == 0 || acc.n == total {
			continue
		}
		if c := acc.cost() + right[i]; s.plane == 0 || c < s.cost {
			s.plane, s.cost = i, c
		}
	}
}

func (b *bucket) join(c *bucket) {
	if c.n == 0 {
		return
	}
	if b.n == 0 {
		*b = *c
		return
	}
	for k := range 3 {
		b.lo[k], b.hi[k] = min(b.lo[k], c.lo[k]), max(b.hi[k], c.hi[k])
	}
	b.n += c.n
}

func (b *bucket) cost() float32 {
	if b.n == 0 {
		return 0
	}
	return costTriangle * float32(b.n) * halfArea(b.lo, b.hi)
}

// partition brings the faces on the left of s to the front and returns their number.
func partition(recs []record, s split) int {
	i, j := 0, len(recs)-1
	for {
		for i <= j && s.bin(&recs[i]) < s.plane {
			i++
		}
		for i <= j && s.bin(&recs[j]) >= s.plane {
			j--
		}
		if i >= j {
			return i
		}
		recs[i], recs[j] = recs[j], recs[i]
		i++
		j--
	}
}
