package bvh

import (
	"sync"

	"selvage/mesh"
)

// run is some things in a row on the curve, faces or leaves, and the box about them.
type run struct {
	span
	first, num int32
}

// prices is what a run of so many things costs a query that meets its box. Short runs are
// dear: they cost the nodes above them more than they spare
// below. Equal prices gave leaves of 2.0 faces on a scan, a build of twice the time and no
// faster query; these give 3.4.
var prices = [width + 1]uint64{1: 16, 2: 8, 3: 5, 4: 4}

// cutter cuts a stretch of the curve into runs.
type cutter struct {
	spans [chunkSize]span
	cost  [chunkSize + 1]uint64
	num   [chunkSize + 1]int8
}

// cut returns the runs of width things at most that cost least in all, of the first n
// spans, the things being numbered from base.
//
// The best way to cut the first i things ends with a run of some length k, and cuts the
// first i-k in the best way; so one pass forwards finds the cost of all, and one backwards
// the runs.
func (c *cutter) cut(n, base int) []run {
	for i := range n {
		s := c.spans[i]
		best, num := c.cost[i]+prices[1]*s.area(), 1
		for k := 2; k <= width && k <= i+1; k++ {
			s = s.join(c.spans[i+1-k])
			if cost := c.cost[i+1-k] + prices[k]*s.area(); cost < best {
				best, num = cost, k
			}
		}
		c.cost[i+1], c.num[i+1] = best, int8(num)
	}
	many := 0
	for i := n; i > 0; i -= int(c.num[i]) {
		many++
	}
	runs := make([]run, many)
	for i := n; i > 0; {
		num := int(c.num[i])
		i -= num
		s := c.spans[i]
		for _, t := range c.spans[i+1 : i+num] {
			s = s.join(t)
		}
		many--
		runs[many] = run{s, int32(base + i), int32(num)}
	}
	return runs
}

// cutFaces parts the sorted faces into the leaves, behind an empty one.
func cutFaces(m *mesh.Mesh, g *grid, keys []key) []run {
	return cutAll(len(keys), []run{{}}, func(spans []span, from int) {
		for i := range spans {
			a, b, c := m.Corners(keys[from+i].face())
			p, q, r := g.cell(a), g.cell(b), g.cell(c)
			spans[i] = span{least(least(p, q), r), most(most(p, q), r)}
		}
	})
}

// cutRuns parts runs into runs of runs.
func cutRuns(runs []run) []run {
	return cutAll(len(runs), nil, func(spans []span, from int) {
		for i := range spans {
			spans[i] = runs[from+i].span
		}
	})
}

// cutAll cuts n things chunk by chunk, whose spans fill tells, and appends the runs to
// dst.
func cutAll(n int, dst []run, fill func(spans []span, from int)) []run {
	parts := make([][]run, (n+chunkSize-1)/chunkSize)
	cutters := sync.Pool{New: func() any { return new(cutter) }} // 100 KB each, one per core
	eachChunk(n, func(k, from, to int) {
		c := cutters.Get().(*cutter)
		defer cutters.Put(c)
		fill(c.spans[:to-from], from)
		parts[k] = c.cut(to-from, from)
	})
	total := len(dst)
	for _, r := range parts {
		total += len(r)
	}
	dst = append(make([]run, 0, total), dst...)
	for _, r := range parts {
		dst = append(dst, r...)
	}
	return dst
}
