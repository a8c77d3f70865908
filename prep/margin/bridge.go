package margin

import (
	"math"

	"selvage/prep"
	"selvage/r3"
)

// span places c points from index i on between the captured points a and b.
func span(m *prep.Margin, f r3.Rigid, a, b prep.MarginPoint, i, c int) {
	n := len(m.Points)
	pa, pb := f.Point(a.At), f.Point(b.At)
	ra, rb := math.Hypot(pa.X, pa.Y), math.Hypot(pb.X, pb.Y)
	back := f.Inverse()
	for k := range c {
		q := &m.Points[(i+k)%n]
		t := float64(k+1) / float64(c+1)
		rho := ra + t*(rb-ra)
		s, co := math.Sincos(q.Azimuth)
		q.At = back.Point(r3.V(rho*co, rho*s, pa.Z+t*(pb.Z-pa.Z)))
		q.Confidence = 0
	}
}
