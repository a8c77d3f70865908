package dentition

import "math"

// The grid of the search for boundaries between teeth, and the widths it tries.
const (
	gridStride = 2    // places of the ridge per grid step: half a millimetre
	minWidth   = 3.5  // mm: under the smallest tooth (lower incisor, 5.25 - 4·0.36)
	maxWidth   = 14.5 // mm: over the largest (lower first molar, 11.18 + 4·0.56, and its space)
)

// stretch is a piece of the ridge between two grid places as a candidate for one
// tooth, by what the strip shows of it. Bulks enter as log(bulk + bulkFloor).
type stretch struct {
	peak   float64 // log of the largest bulk in the middle three fifths
	depth0 float64 // how far the start lies below the peak, in logs; negative if above
	depth1 float64 // how far the end does
	inner  float64 // deepest valley inside, below the lower of the peaks beside it
	steep  float64 // mean run of the steeper flank, mm
	broad  float64 // mean log of the breadth in the middle half, see strip
	sunk   float64 // how far its top lies below the highest of the row around, mm
}

// bulkFloor keeps the logarithm of an empty section finite: 1 mm² is a ridge of
// gum, under a tenth of a tooth.
const bulkFloor = 1.0

// broadFloor keeps the logarithm of a breadth finite, mm: under a sharp edge's.
const broadFloor = 1.0

// rail is the strip reduced to the grid.
type rail struct {
	n     int       // grid places
	step  float64   // mm between them
	logs  []float64 // log(bulk + bulkFloor)
	broad []float64 // running sum of log(breadth + broadFloor) up to each place
	steep []float64
	high  []float64 // highest point of each section
	row   []float64 // the highest within rowReach along the ridge
}

// rowReach is how far along the ridge, mm, the level of a row of teeth is taken
// from: over a gap of two molars from its middle, or over the stump before a gap of one.
const rowReach = 16.0

func newRail(s *strip) *rail {
	r := &rail{step: gridStride * spineStep}
	sum := 0.0
	for i := 0; i < s.n; i += gridStride {
		sum += math.Log(s.broad[i] + broadFloor)
		r.broad = append(r.broad, sum)
		r.logs = append(r.logs, math.Log(s.bulk[i]+bulkFloor))
		r.steep = append(r.steep, s.steep[i])
		r.high = append(r.high, s.high[i])
	}
	r.n = len(r.logs)
	r.row = make([]float64, r.n)
	runningExtreme(r.row, r.high, int(rowReach/r.step), math.Inf(-1), math.Max)
	return r
}

// widths returns the least and the largest number of grid steps of a tooth.
func (r *rail) widths() (lo, hi int) { return int(minWidth / r.step), int(maxWidth / r.step) }

// stretches measures every piece that may be a tooth: per start, by rising width.
func (r *rail) stretches() [][]stretch {
	lo, hi := r.widths()
	out := make([][]stretch, r.n)
	for a := range r.n {
		for w := lo; w <= hi && a+w < r.n; w++ {
			out[a] = append(out[a], r.stretch(a, a+w))
		}
	}
	return out
}

// stretch measures the piece from grid place a to b.
func (r *rail) stretch(a, b int) stretch {
	t := stretch{peak: math.Inf(-1)}
	edge := (b - a) / 5
	top := math.Inf(-1)
	for i := a + edge; i <= b-edge; i++ { // a tooth's bulk is not at its contacts
		t.peak = max(t.peak, r.logs[i])
		top = max(top, r.high[i])
	}
	half := (b - a) / 4
	t.broad = (r.broad[b-half] - r.broad[a+half]) / float64(b-a-2*half)
	t.sunk = r.row[(a+b)/2] - top
	t.depth0, t.depth1 = t.peak-r.logs[a], t.peak-r.logs[b]
	// The deepest valley: the peak so far from the left against that from the right.
	left := math.Inf(-1)
	right := make([]float64, b-a+2)
	right[b-a+1] = math.Inf(-1)
	for i := b; i >= a; i-- {
		right[i-a] = max(right[i-a+1], r.logs[i])
	}
	var sum, num float64
	for i := a; i <= b; i++ {
		left = max(left, r.logs[i])
		t.inner = max(t.inner, min(left, right[i-a])-r.logs[i])
		if i > a+1 && i < b-1 { // flanks at a contact are those of a neighbour
			sum += min(r.steep[i], 6) // a flank that is not there counts as 6 mm, no more
			num++
		}
	}
	if num > 0 {
		t.steep = sum / num
	}
	return t
}
