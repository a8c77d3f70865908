package margin

import (
	"math"
	"slices"

	"selvage/internal/num"
	"selvage/mesh"
	"selvage/prep"
	"selvage/r3"
	"selvage/surface"
)

// place puts the path's samples into space. Beyond the end of a profile the point
// is left at its last sample for now; bridge mends it.
func place(m *prep.Margin, path []int, s []scores) {
	fan := m.Fan
	g := fan.Prep.Frame().Inverse()
	// Headings are taken beside the rounded edge, which the profile cuts.
	near, far := int(0.075/fan.Step), int((windows(fan)*coarseWindow+0.05)/fan.Step)
	for i, j := range path {
		p := &fan.Profiles[i]
		pt := prep.MarginPoint{Azimuth: p.Azimuth, Sample: j}
		switch {
		case p.Len() == 0:
			pt.State = prep.NotCaptured
			pt.At = g.Point(r3.Vec{})
		case j >= p.Len():
			pt.State = prep.NotCaptured
			pt.At = g.Point(p.Point(p.Len() - 1))
		default:
			if p.Gap[j] {
				pt.State = prep.NotCaptured
			}
			pt.At = g.Point(p.Point(j))
			pt.Turn = s[i].at(j)
			var ok1, ok2 bool
			pt.Before, ok1 = p.Heading(j, -far, -near)
			pt.After, ok2 = p.Heading(j, near, far)
			if !ok1 || !ok2 {
				_, pt.Before, pt.After, _ = p.Turn(j, far)
			}
		}
		m.Points[i] = pt
	}
}

// Unclear where the turn, median-filtered over medianReach profiles each way, is
// under clearShare of the tooth's own median; alternatives count as rivals from
// rivalBeyond mm on.
const (
	medianReach = 5
	clearShare  = 0.4
	rivalBeyond = 0.2
	// Under shallow, a turn of 30° as a knife edge has, the noise of single profiles hides
	// the edge, and the median is taken over shallowReach each way, half a millimetre.
	shallow      = 30 * math.Pi / 180
	shallowReach = 12
)

// flatterBy is how much flatter than the root elsewhere a profile may leave the edge,
// radians: 25°. Tissue that lies over a margin has a convex crest too, and falls off to
// the gum from it.
const flatterBy = 25 * math.Pi / 180

// leaving fits how steeply the profiles leave the edge round the tooth: level and one
// wave, which is a root that leans. ok is false where too few points tell.
func leaving(m *prep.Margin, steep []float64) (h num.Harmonic, ok bool) {
	var phi, after []float64
	for i := range m.Points {
		if q := &m.Points[i]; q.State != prep.NotCaptured && q.Turn > 0 {
			if !math.IsNaN(steep[i]) {
				phi, after = append(phi, q.Azimuth), append(after, steep[i])
			}
		}
	}
	h, _, ok = num.FitHarmonicRobust(phi, after, 1)
	return h, ok
}

// leavingAt is how steeply profile i leaves the edge: the steeper of what a short and a
// long look say, since beside a narrow sulcus the long one is past its floor. NaN where
// the profile ends too soon to tell.
func leavingAt(m *prep.Margin, i int) float64 {
	q := &m.Points[i]
	steepest := math.NaN()
	if q.Before != 0 || q.After != 0 {
		steepest = q.After
	}
	step := m.Fan.Step
	if th, ok := m.Fan.Profiles[i].Heading(q.Sample, int(0.05/step), int(windows(m.Fan)*0.2/step)); ok && !(th <= steepest) {
		steepest = th
	}
	return steepest
}

// classify tells readable from unclear and gives each point its confidence:
// the filtered turn against the tooth's median, less the share that the best
// rival on the same profile, at least rivalBeyond away, has of it.
func classify(m *prep.Margin, s []scores) {
	n := len(m.Points)
	turns := make([]float64, 0, n)
	for i := range m.Points {
		if m.Points[i].State != prep.NotCaptured && m.Points[i].Turn > 0 {
			turns = append(turns, m.Points[i].Turn)
		}
	}
	if len(turns) == 0 {
		for i := range m.Points {
			m.Points[i].State = prep.Unclear
		}
		return
	}
	slices.Sort(turns)
	typical := turns[len(turns)/2]
	reach := medianReach
	if typical < shallow {
		reach = shallowReach
	}
	steep := make([]float64, n)
	for i := range steep {
		steep[i] = leavingAt(m, i)
	}
	filtered := steadied(m, reach, func(i int) float64 { return m.Points[i].Turn })
	after := steadied(m, reach, func(i int) float64 { return steep[i] })
	root, leans := leaving(m, steep)
	for i := range m.Points {
		p := &m.Points[i]
		if p.State == prep.NotCaptured {
			continue
		}
		share := min(filtered[i]/typical, 1)
		if math.IsNaN(share) || share < clearShare || leans && after[i] < root.At(p.Azimuth)-flatterBy {
			p.State = prep.Unclear
		}
		p.Confidence = share * (1 - 0.5*rival(&s[i], p.Sample, m.Fan.Step, p.Turn))
	}
}

// typicalTurn is the median turn of the line where it is readable, radians; a right angle
// where it is not.
func typicalTurn(m *prep.Margin) float64 {
	var turns []float64
	for i := range m.Points {
		if readable(m, i) && m.Points[i].Turn > 0 {
			turns = append(turns, m.Points[i].Turn)
		}
	}
	if len(turns) == 0 {
		return math.Pi / 2
	}
	return num.Median(turns)
}

// steadied returns the median of a value over reach profiles each way, of those that are
// captured and have one; NaN where none is.
func steadied(m *prep.Margin, reach int, value func(i int) float64) []float64 {
	n := len(m.Points)
	out := make([]float64, n)
	var win []float64
	for i := range m.Points {
		win = win[:0]
		for d := -reach; d <= reach; d++ {
			if k := (i + d + n) % n; m.Points[k].State != prep.NotCaptured {
				if v := value(k); !math.IsNaN(v) {
					win = append(win, v)
				}
			}
		}
		out[i] = math.NaN()
		if len(win) > 0 {
			slices.Sort(win)
			out[i] = win[len(win)/2]
		}
	}
	return out
}

// rival returns the share that the best candidate elsewhere on the profile has of
// the chosen one's turn, 0 to 1.
func rival(s *scores, j int, step, chosen float64) float64 {
	away := int(rivalBeyond / step)
	var best float64
	for k, t := range s.turn {
		if d := s.lo + k - j; d <= -away || d >= away {
			best = max(best, t)
		}
	}
	if best == 0 {
		return 0
	}
	return min(best/max(chosen, best), 1)
}

// captured compares the line with the rim of the scan: not captured within
// max(0.1 mm, twice the spacing), near the edge within 0.3 mm. The spacing is that of
// the mesh along the line, which a scan with a fine preparation in a coarse arch has of
// its own; the distance is to the open edges, not to their ends alone, between which a
// coarse rim passes nearer by.
func captured(m *prep.Margin) {
	const (
		lost = 0.1
		near = 0.3
		// tracedBy is by how much a point of the line errs, mm, and spacingBy the median
		// spacing along it, as a share.
		tracedBy  = 0.02
		spacingBy = 0.05
	)
	p := m.Fan.Prep
	spacing := p.Spacing
	if s, ok := surface.MedianAlong(p.Mesh, m.Curve()); ok {
		spacing = s
	}
	limit := max(lost, 2*spacing)
	borderU := 2*tracedBy + spacingBy*limit
	rim := rimEdges(p)
	for i := range m.Points {
		q := &m.Points[i]
		d := max(near, limit+borderU) // coarser than 0.15 mm, what is not lost is not near either
		for _, e := range rim {
			d = min(d, e.distance(q.At))
		}
		q.AtLimit = math.Abs(d-limit) < borderU
		q.Traced = readable(m, i)
		switch {
		case d < limit && q.State != prep.NotCaptured && !covered(m, i):
			q.State = prep.NotCaptured
			q.Confidence = 0
		case d < near && q.State == prep.Readable:
			q.State = prep.NearEdge
			q.Confidence *= d / near
		}
	}
}

// covered reports whether surface lies over the line at a point that is unclear: that
// the data ends near it as well is then no matter.
func covered(m *prep.Margin, i int) bool {
	if m.Points[i].State != prep.Unclear {
		return false
	}
	q := m.Fan.Prep.Frame().Point(m.Points[i].At)
	return apart(&m.Fan.Profiles[i], m.Points[i].Sample, math.Hypot(q.X, q.Y), q.Z) > onSurface
}

// segment is an open edge of the scan.
type segment struct{ from, along r3.Vec }

// rimEdges returns the edges at which the scan itself ends, not its cut-out.
func rimEdges(p *prep.Preparation) []segment {
	var out []segment
	for h, pair := range p.Topo.Pair {
		t := p.Mesh.Tri[h/3]
		if a, b := t[h%3], t[(h+1)%3]; pair == mesh.None && p.Rim[a] && p.Rim[b] {
			out = append(out, segment{p.Mesh.Pos[a], p.Mesh.Pos[b].Sub(p.Mesh.Pos[a])})
		}
	}
	return out
}

// distance returns the shortest distance from q to the edge.
func (e segment) distance(q r3.Vec) float64 {
	d := q.Sub(e.from)
	t := 0.0
	if n := e.along.Norm2(); n > 0 {
		t = min(max(d.Dot(e.along)/n, 0), 1)
	}
	return d.AddScaled(-t, e.along).Norm()
}

// bridge gives the points that are not captured a place on the straight line, in
// (ρ, z, azimuth), between their captured neighbours: a proposal that is drawn
// dashed, never a measurement.
func bridge(m *prep.Margin) {
	n := len(m.Points)
	first := -1
	for i := range m.Points {
		if m.Points[i].State != prep.NotCaptured {
			first = i
			break
		}
	}
	if first < 0 {
		return
	}
	f := m.Fan.Prep.Frame()
	for k := 0; k < n; {
		i := (first + k) % n
		if m.Points[i].State != prep.NotCaptured {
			k++
			continue
		}
		c := 0
		for m.Points[(i+c)%n].State == prep.NotCaptured {
			c++
		}
		a, b := m.Points[(i+n-1)%n], m.Points[(i+c)%n]
		span(m, f, a, b, i, c)
		k += c
	}
}
