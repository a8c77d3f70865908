package dentition

import (
	"math"

	"selvage/mesh"
)

// strip is the scan unrolled along the ridge: a height over each place s along it
// and each distance t across it, positive to the lingual. A row of teeth becomes a
// straight band whose dark crossings are the contacts:
//
//	t  lingual
//	▲   ╭───╮╭───╮╭──╮╭─╮
//	┼───│   ││   ││  ││ │──▶ s
//	    ╰───╯╰───╯╰──╯╰─╯
//	   buccal
type strip struct {
	chart *chart
	n, nt int       // places along, places across
	z     []float64 // height over the occlusal plane, row by row of equal t; NaN without surface
	high  []float64 // per s: the highest point of the section
	top   []float64 // per s: the highest point of the row of teeth within topReach
	bulk  []float64 // per s: area of the section above top - bulkDepth, mm²
	broad []float64 // per s: breadth of the section broadBelow under the top of the row, mm
	steep []float64 // per s: the steeper side's run from 1 to 3 mm below the crest, mm (0 is a cliff)
}

// Shape of a strip, mm.
const (
	stripCell  = 0.2 // across; along it is spineStep
	stripHalf  = 9.0 // across: a molar's half breadth and 3 mm of gum
	rowHalf    = 6.5 // across: where teeth are looked for
	topReach   = 4.0 // along: half a molar, so that every place sees the top of its own tooth
	bulkDepth  = 4.0 // below the top: what is narrower there is a contact or a space
	stripSlant = 0.3 // contacts may run this much aslant (17°)
)

// unroll draws the strip of a ridge.
func (a *Arch) unroll(m *mesh.Mesh) *strip {
	c := newChart(m, a.frame, stripCell)
	s := &strip{chart: c, n: len(a.Ridge), nt: 2*int(stripHalf/stripCell) + 1}
	s.z = make([]float64, s.n*s.nt)
	for i, p := range a.Ridge {
		q := c.frame.Point(p)
		r := c.frame.Dir(a.Lingual[i])
		for k := range s.nt {
			t := s.across(k)
			s.z[k*s.n+i] = c.sample(q.X+t*r.X, q.Y+t*r.Y)
		}
	}
	s.findTop()
	s.findBulk()
	s.findBroad()
	s.findSteep()
	return s
}

// across returns the distance t of row k.
func (s *strip) across(k int) float64 { return float64(k-s.nt/2) * stripCell }

// row returns the row nearest to distance t.
func (s *strip) row(t float64) int { return s.nt/2 + int(math.Round(t/stripCell)) }

// at returns the height at place i, row k; NaN outside.
func (s *strip) at(i, k int) float64 {
	if i < 0 || i >= s.n || k < 0 || k >= s.nt {
		return math.NaN()
	}
	return s.z[k*s.n+i]
}

func (s *strip) findTop() {
	s.high = make([]float64, s.n)
	for i := range s.high {
		s.high[i] = math.Inf(-1)
		for k := s.row(-rowHalf); k <= s.row(rowHalf); k++ {
			if z := s.at(i, k); z > s.high[i] {
				s.high[i] = z
			}
		}
	}
	s.top = make([]float64, s.n)
	runningExtreme(s.top, s.high, int(topReach/spineStep), math.Inf(-1), math.Max)
}

// findBulk writes the area of each section above top - bulkDepth, the least over
// five slants, smoothed over half a millimetre.
func (s *strip) findBulk() {
	raw := make([]float64, s.n)
	for i := range raw {
		raw[i] = math.Inf(1)
		for slant := -2; slant <= 2; slant++ {
			raw[i] = min(raw[i], s.section(i, float64(slant)/2*stripSlant))
		}
	}
	s.bulk = make([]float64, s.n)
	const w = 2 // places each way: half a millimetre
	for i := range raw {
		var sum, num float64
		for j := max(0, i-w); j <= min(s.n-1, i+w); j++ {
			sum += raw[j]
			num++
		}
		s.bulk[i] = sum / num
	}
}

// broadBelow is how far under its top a crown's breadth is taken, mm: above the
// height of contour, where a front tooth is an edge still and a premolar nearly as
// broad as ever.
const broadBelow = 2.5

// findBroad writes the breadth of each section broadBelow under the top.
func (s *strip) findBroad() {
	s.broad = make([]float64, s.n)
	for i := range s.broad {
		for k := s.row(-rowHalf); k <= s.row(rowHalf); k++ {
			if s.at(i, k) > s.top[i]-broadBelow {
				s.broad[i] += stripCell
			}
		}
	}
}

// section returns the area above top - bulkDepth of the cut through place i that
// leans by slant (places along per distance across).
func (s *strip) section(i int, slant float64) float64 {
	var sum float64
	floor := s.top[i] - bulkDepth
	for k := s.row(-rowHalf); k <= s.row(rowHalf); k++ {
		j := i + int(math.Round(slant*s.across(k)/spineStep))
		if z := s.at(j, k); z > floor {
			sum += (z - floor) * stripCell
		}
	}
	return sum
}

// findSteep writes, per place, the run of the steeper flank: how far across the
// surface goes while it falls from 1 to 3 mm below the highest point of the
// section. Crowns fall within a millimetre, pads of gum over several.
func (s *strip) findSteep() {
	s.steep = make([]float64, s.n)
	for i := range s.steep {
		crest, k0 := math.Inf(-1), -1
		for k := s.row(-rowHalf); k <= s.row(rowHalf); k++ {
			if z := s.at(i, k); z > crest {
				crest, k0 = z, k
			}
		}
		s.steep[i] = 2 * stripHalf
		if k0 < 0 {
			continue
		}
		for _, d := range [2]int{-1, 1} {
			s.steep[i] = min(s.steep[i], s.run(i, k0, d, crest))
		}
	}
}

// run returns how far row k0's flank in direction d goes from 1 to 3 mm below
// crest. A second cusp on the way starts it anew.
func (s *strip) run(i, k0, d int, crest float64) float64 {
	from := k0
	for k := k0; k >= 0 && k < s.nt; k += d {
		z := s.at(i, k)
		switch {
		case math.IsNaN(z):
			return 2 * stripHalf
		case z > crest-1:
			from = k
		case z < crest-3:
			return float64(abs(k-from)) * stripCell
		}
	}
	return 2 * stripHalf
}
