package margin

import "selvage/prep"

// Bounds of what is one place.
const (
	// fringe is the longest part, mm, of a doubtful stretch that takes the state of the rest:
	// the ends of a stretch are known no better than that where its line is proposed.
	fringe = 1.0
	// fringeShare is the most of the rest that such parts together may be.
	fringeShare = 0.5
)

// onePlace gives every doubtful stretch one state where it is mostly of one: beside a hole
// the edge cannot be told although there is surface, and where tissue lies over the line the
// scan ends in its folds. Reported apart, the fringe of a hole would ask for cord, and that
// of tissue for another scan. What was found at each point stays known ([prep.MarginPoint.Own]),
// and how much was changed enters the uncertainty of the length ([prep.Margin.AtLimit]).
func onePlace(m *prep.Margin) {
	n := len(m.Points)
	doubtful := make([]bool, n)
	for i := range m.Points {
		s := m.Points[i].State
		doubtful[i] = s == prep.Unclear || s == prep.NotCaptured
	}
	eachRun(doubtful, func(from, count int) {
		var length, longest [2]float64 // of what is unclear, and of what is not captured
		part, last := 0.0, -1
		for k := range count {
			i := (from + k) % n
			s := 0
			if m.Points[i].State == prep.NotCaptured {
				s = 1
			}
			if s != last {
				part, last = 0, s
			}
			l := m.Segment(i)
			part += l
			length[s] += l
			longest[s] = max(longest[s], part)
		}
		less, state := 0, prep.NotCaptured
		if length[1] < length[0] {
			less, state = 1, prep.Unclear
		}
		if longest[less] > fringe || length[less] > fringeShare*length[1-less] {
			return
		}
		for k := range count {
			p := &m.Points[(from+k)%n]
			p.State, p.Merged = state, p.State != state
		}
	})
}
