package margin

import (
	"slices"

	"selvage/prep"
	"selvage/r3"
)

// place puts the path's samples into space. Beyond the end of a profile the point
// is left at its last sample for now; bridge mends it.
func place(m *prep.Margin, path []int, s []scores) {
	fan := m.Fan
	g := fan.Prep.Frame().Inverse()
	// Headings are taken beside the rounded edge, which the profile cuts.
	near, far := int(0.075/fan.Step), int((coarseWindow+0.05)/fan.Step)
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
)

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
	filtered := make([]float64, n)
	var win []float64
	for i := range m.Points {
		win = win[:0]
		for d := -medianReach; d <= medianReach; d++ {
			q := &m.Points[(i+d+n)%n]
			if q.State != prep.NotCaptured {
				win = append(win, q.Turn)
			}
		}
		if len(win) > 0 {
			slices.Sort(win)
			filtered[i] = win[len(win)/2]
		}
	}
	for i := range m.Points {
		p := &m.Points[i]
		if p.State == prep.NotCaptured {
			continue
		}
		share := min(filtered[i]/typical, 1)
		if share < clearShare {
			p.State = prep.Unclear
		}
		p.Confidence = share * (1 - 0.5*rival(&s[i], p.Sample, m.Fan.Step, p.Turn))
	}
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
// max(0.1 mm, twice the spacing), near the edge within 0.3 mm.
func captured(m *prep.Margin) {
	const (
		lost = 0.1
		near = 0.3
	)
	p := m.Fan.Prep
	var rim []r3.Vec
	for v, r := range p.Rim {
		if r {
			rim = append(rim, p.Mesh.Pos[v])
		}
	}
	limit := max(lost, 2*p.Spacing)
	for i := range m.Points {
		q := &m.Points[i]
		d := near
		for _, r := range rim {
			d = min(d, r.Dist(q.At))
		}
		switch {
		case d < limit && q.State != prep.NotCaptured:
			q.State = prep.NotCaptured
			q.Confidence = 0
		case d < near && q.State == prep.Readable:
			q.State = prep.NearEdge
			q.Confidence *= d / near
		}
	}
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
