package bvh

import "sync"

const (
	numBins = 16 // candidate planes of a split are numBins-1

	// goMin is the least number of items worth a goroutine of their own.
	goMin = 1024

	// maxDepth is where splits turn to halving the list, so that no mesh, however
	// unevenly its faces are sized, makes a tree deeper than maxDepth+31.
	maxDepth = 48

	// fewItems is the number of items up to which they are sorted and every split is
	// looked at, which is both better and faster than bins.
	fewItems = 8
)

// item is a subtree that the splits do not part: its box on the grid, and its place in
// the wide tree.
type item struct {
	span
	to ref
}

// fork is an inner node of the binary tree over the items: its two sides, and the half
// area of their boxes on the grid. A side is the place of a fork, or the complement of
// that of an item. The fork of a range of items stands at the place of the first item of
// its right side, which no other fork has: subtrees need no lock and no order.
type fork struct {
	side [2]int32
	area [2]uint64
}

// grower splits the items into a binary tree.
type grower struct {
	items []item
	forks []fork
	wg    sync.WaitGroup
}

// binary is the binary tree: the side that is all of it, and its forks.
type binary struct {
	root  int32
	forks []fork
}

// split returns the binary tree over items, which it reorders.
func split(items []item) binary {
	g := grower{items: items, forks: make([]fork, len(items))}
	root := g.grow(0, len(items), 0)
	g.wg.Wait()
	return binary{root, g.forks}
}

// grow makes the subtree of the n items from first and returns its side.
func (g *grower) grow(first, n, depth int) int32 {
	if n == 1 {
		return ^int32(first)
	}
	nl, area := part(g.items[first:first+n], depth)
	at := first + nl
	f := &g.forks[at]
	f.area = area
	if n >= goMin {
		g.wg.Go(func() { f.side[0] = g.grow(first, nl, depth+1) })
	} else {
		f.side[0] = g.grow(first, nl, depth+1)
	}
	f.side[1] = g.grow(at, n-nl, depth+1)
	return int32(at)
}

// part orders items into a left and a right side and returns the size of the left and
// the area of both.
func part(items []item, depth int) (nl int, area [2]uint64) {
	n := len(items)
	if n == 2 {
		return 1, [2]uint64{items[0].area(), items[1].area()}
	}
	axis, from, width := spread3(items)
	switch {
	case width > 0 && n <= fewItems:
		return splitFew(items, axis)
	case width > 0 && depth < maxDepth:
		return splitBins(items, axis, from, width)
	}
	nl = n / 2 // all in one place, or too deep: halve the list, whose order is fixed
	return nl, [2]uint64{areaOf(items[:nl]), areaOf(items[nl:])}
}

// middle returns twice the middle of an item's box.
func (i *item) middle() packed { return i.lo + i.hi }

// spread3 returns the axis along which the middles of items are spread most, where they
// begin on it, and how far they reach.
func spread3(items []item) (axis int, from, width uint64) {
	lo := items[0].middle()
	hi := lo
	for i := 1; i < len(items); i++ {
		c := items[i].middle()
		lo, hi = least(lo, c), most(hi, c)
	}
	d := hi - lo
	for k := range 3 {
		if w := d.lane(k); w > width {
			axis, width = k, w
		}
	}
	return axis, lo.lane(axis), width
}

// areaOf returns the half area of the box about items.
func areaOf(items []item) uint64 {
	s := items[0].span
	for i := 1; i < len(items); i++ {
		s = s.join(items[i].span)
	}
	return s.area()
}

// splitFew sorts up to fewItems items along the axis and parts them at the least cost.
func splitFew(items []item, axis int) (nl int, area [2]uint64) {
	for i := 1; i < len(items); i++ {
		r := items[i]
		c := r.middle().lane(axis)
		k := i
		for ; k > 0; k-- {
			p := &items[k-1]
			if d := p.middle().lane(axis); d < c || d == c && p.to < r.to {
				break
			}
			items[k] = *p
		}
		items[k] = r
	}
	n := len(items)
	var right [fewItems]uint64
	s := items[n-1].span
	for i := n - 1; ; i-- {
		right[i] = s.area()
		if i == 1 {
			break
		}
		s = s.join(items[i-1].span)
	}
	best := ^uint64(0)
	s = items[0].span
	for i := 1; i < n; i++ {
		a := s.area()
		if c := a*uint64(i) + right[i]*uint64(n-i); c < best {
			best, nl, area = c, i, [2]uint64{a, right[i]}
		}
		s = s.join(items[i].span)
	}
	return nl, area
}

// bin gathers the items between two planes.
type bin struct {
	span
	n int32
}

// nothing is the box about no point: joined with another it leaves that.
var nothing = span{lo: guards - guards>>(laneBits-1)}

// splitBins sorts items into numBins bins along the axis and parts them at the plane of
// least cost; ties go to the lower plane.
func splitBins(items []item, axis int, from, width uint64) (nl int, area [2]uint64) {
	var bins [numBins]bin
	for i := range bins {
		bins[i].span = nothing
	}
	shift := laneBits * axis
	scale := numBins << 32 / (width + 1)
	place := func(it *item) uint64 {
		return ((uint64(it.lo+it.hi)>>shift&laneMask - from) * scale) >> 32 % numBins
	}
	for i := range items {
		b := &bins[place(&items[i])]
		b.span = b.join(items[i].span)
		b.n++
	}
	var right [numBins]uint64
	s := nothing
	for i := numBins - 1; i > 0; i-- {
		if bins[i].n > 0 {
			s = s.join(bins[i].span)
		}
		right[i] = s.area()
	}
	best := ^uint64(0)
	s = nothing
	n, plane := 0, uint64(0)
	for i := 1; i < numBins; i++ {
		if bins[i-1].n == 0 {
			continue // the same two sides as one plane before
		}
		s = s.join(bins[i-1].span)
		n += int(bins[i-1].n)
		if n == len(items) {
			break
		}
		a := s.area()
		if c := a*uint64(n) + right[i]*uint64(len(items)-n); c < best {
			best, plane, nl, area = c, uint64(i), n, [2]uint64{a, right[i]}
		}
	}
	i, j := 0, len(items)-1
	for {
		for i <= j && place(&items[i]) < plane {
			i++
		}
		for i <= j && place(&items[j]) >= plane {
			j--
		}
		if i >= j {
			return nl, area
		}
		items[i], items[j] = items[j], items[i]
		i++
		j--
	}
}
