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

// allAxes is the number of faces down to which a split is sought on all three axes;
// below, on the longest one alone, which is as good on a surface and three times as fast.
const allAxes = 1024

// fewFaces is the number of faces up to which they are sorted and every split looked
// at, which is both better and faster than bins.
const fewFaces = 7

// extent is the box of some faces, and that of their doubled middles.
type extent struct{ lo, hi, midLo, midHi [3]float32 }

// measureExtent returns the extent of recs, which must not be empty.
func measureExtent(recs []record) extent {
	e := extent{lo: recs[0].lo, hi: recs[0].hi}
	for k := range 3 {
		e.midLo[k] = recs[0].lo[k] + recs[0].hi[k]
	}
	e.midHi = e.midLo
	for i := 1; i < len(recs); i++ {
		r := &recs[i]
		for k := range 3 {
			l, h := r.lo[k], r.hi[k]
			c := l + h
			if l < e.lo[k] {
				e.lo[k] = l
			}
			if h > e.hi[k] {
				e.hi[k] = h
			}
			if c < e.midLo[k] {
				e.midLo[k] = c
			}
			if c > e.midHi[k] {
				e.midHi[k] = c
			}
		}
	}
	return e
}

// longest returns the axis along which the middles are spread most.
func (e *extent) longest() int {
	axis := 0
	for k := 1; k < 3; k++ {
		if e.midHi[k]-e.midLo[k] > e.midHi[axis]-e.midLo[axis] {
			axis = k
		}
	}
	return axis
}

// splitFew sorts up to fewFaces faces along the axis of their spread and returns how
// many to part off for the least cost, and that cost.
func splitFew(recs []record, e *extent) (nl int, cost float32) {
	axis := e.longest()
	for i := 1; i < len(recs); i++ {
		r := recs[i]
		c := r.lo[axis] + r.hi[axis]
		k := i
		for ; k > 0; k-- {
			p := &recs[k-1]
			if d := p.lo[axis] + p.hi[axis]; d < c || d == c && p.face < r.face {
				break
			}
			recs[k] = *p
		}
		recs[k] = r
	}
	var right [fewFaces]float32
	acc := bucket{}
	for i := len(recs) - 1; i > 0; i-- {
		acc.add(&recs[i])
		right[i] = acc.cost()
	}
	acc = bucket{}
	for i := 1; i < len(recs); i++ {
		acc.add(&recs[i-1])
		if c := acc.cost() + right[i]; nl == 0 || c < cost {
			nl, cost = i, c
		}
	}
	return nl, cost
}

// bestSplit returns the plane of least cost; ties go to the lower axis and plane. Counts
// and extremes do not depend on the order of the faces.
func bestSplit(recs []record, e *extent) split {
	longest := e.longest()
	best := split{}
	for axis := range 3 {
		if !(e.midHi[axis] > e.midLo[axis]) || len(recs) < allAxes && axis != longest {
			continue
		}
		s := split{axis: axis, from: e.midLo[axis], scale: numBins / (e.midHi[axis] - e.midLo[axis])}
		var bins [numBins]bucket
		fill(recs, &s, &bins)
		s.sweep(&bins)
		if s.plane > 0 && (best.plane == 0 || s.cost < best.cost) {
			best = s
		}
	}
	return best
}

// fill sorts the faces into the bins of s.
func fill(recs []record, s *split, bins *[numBins]bucket) {
	for i := range recs {
		bins[s.bin(&recs[i])].add(&recs[i])
	}
}

// add takes one more face into the bucket.
func (b *bucket) add(r *record) {
	b.n++
	if b.n == 1 {
		b.lo, b.hi = r.lo, r.hi
		return
	}
	for k := range 3 {
		if r.lo[k] < b.lo[k] {
			b.lo[k] = r.lo[k]
		}
		if r.hi[k] > b.hi[k] {
			b.hi[k] = r.hi[k]
		}
	}
}

// sweep finds the plane of least cost between the bins.
func (s *split) sweep(bins *[numBins]bucket) {
	var right [numBins]float32 // cost of everything from bin i on; 0 where that is nothing
	acc := bucket{}
	for i := numBins - 1; i > 0; i-- {
		if bins[i].n > 0 {
			acc.join(&bins[i])
			right[i] = acc.cost()
		} else if i+1 < numBins {
			right[i] = right[i+1]
		}
	}
	acc = bucket{}
	for i := 1; i < numBins && right[i] > 0; i++ {
		if bins[i-1].n == 0 {
			continue // the same two sides as one plane before
		}
		acc.join(&bins[i-1])
		if c := acc.cost() + right[i]; s.plane == 0 || c < s.cost {
			s.plane, s.cost = i, c
		}
	}
}

// join adds the faces of c, which has some.
func (b *bucket) join(c *bucket) {
	if b.n == 0 {
		*b = *c
		return
	}
	for k := range 3 {
		if c.lo[k] < b.lo[k] {
			b.lo[k] = c.lo[k]
		}
		if c.hi[k] > b.hi[k] {
			b.hi[k] = c.hi[k]
		}
	}
	b.n += c.n
}

// cost is that of testing all faces, as often as the box is met.
func (b *bucket) cost() float32 {
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
