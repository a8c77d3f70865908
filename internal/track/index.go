package track

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// Row is one case on a board.
type Row struct {
	ID       string
	Facts    Facts
	Standing Standing
}

// Index holds the facts of the cases that are on their way. It is not safe for concurrent
// use.
type Index struct {
	at   map[string]int // place of each case in rows
	rows []Row
	best []place // kept, so that a look makes nothing new
}

// Len returns how many cases are on their way.
func (x *Index) Len() int { return len(x.rows) }

// Put takes in how it stands with a case now. One that is over leaves the index.
func (x *Index) Put(id string, f Facts) {
	if x.at == nil {
		x.at = map[string]int{}
	}
	i, known := x.at[id]
	switch {
	case f.Over && known:
		last := len(x.rows) - 1
		x.rows[i] = x.rows[last]
		x.at[x.rows[i].ID] = i
		x.rows = x.rows[:last]
		delete(x.at, id)
	case f.Over:
	case known:
		x.rows[i].Facts = f
	default:
		x.at[id] = len(x.rows)
		x.rows = append(x.rows, Row{ID: id, Facts: f})
	}
}

// Of returns the facts of a case that is on its way.
func (x *Index) Of(id string) (Facts, bool) {
	i, ok := x.at[id]
	if !ok {
		return Facts{}, false
	}
	return x.rows[i].Facts, true
}

// place is where a row stands in the order of risk.
type place struct {
	key     uint64 // the standing's risk, then the day
	changed int64
	row     int
}

func (x *Index) compare(a, b place) int {
	return cmp.Or(cmp.Compare(a.key, b.key), cmp.Compare(b.changed, a.changed), strings.Compare(x.rows[a.row].ID, x.rows[b.row].ID))
}

// Top returns at most n cases, the most pressing first, and how many there are of each
// standing. Within a standing that with the earliest day comes first, one without a day
// last; then that which changed last. Cost: one pass over the cases, and a sort of few.
func (x *Index) Top(d Day, n int) ([]Row, map[Standing]int) {
	var counts [risks]int
	best := x.best[:0]              // the n best so far, and up to n that may be better
	worst := uint64(math.MaxUint64) // of the n best
	for i := range x.rows {
		r := &x.rows[i]
		k := r.Facts.risk(&d)
		counts[k]++
		day := uint64(uint32(r.Facts.presses(k)))
		if day == 0 {
			day = math.MaxUint32
		}
		p := place{uint64(k)<<32 | day, r.Facts.Changed, i}
		if p.key > worst || n <= 0 {
			continue
		}
		best = append(best, p)
		if len(best) == 2*n {
			slices.SortFunc(best, x.compare)
			best = best[:n]
			worst = best[n-1].key
		}
	}
	slices.SortFunc(best, x.compare)
	x.best = best
	out := make([]Row, 0, min(max(n, 0), len(best)))
	for _, p := range best[:min(max(n, 0), len(best))] {
		row := x.rows[p.row]
		row.Standing = Standings()[p.key>>32]
		out = append(out, row)
	}
	of := map[Standing]int{}
	for i, s := range Standings() {
		if counts[i] > 0 {
			of[s] = counts[i]
		}
	}
	return out, of
}
