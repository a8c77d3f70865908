package prep_test

import (
	"math"
	"testing"

	"selvage/prep"
	"selvage/r3"
)

// TestFillKeepsTheMean takes a wall whose taper is 5° + 3°·cos 2ν, hides a fifth of it
// and makes a hollow of another part: the area-weighted mean of what is filled is that
// of the whole wall, and stays so turned by any angle.
func TestFillKeepsTheMean(t *testing.T) {
	const n, deg = 720, math.Pi / 180
	facets := make([]prep.Facet, n)
	for i := range facets {
		phi := 2 * math.Pi * float64(i) / n
		s, c := math.Sincos(phi)
		st, ct := math.Sincos((5 + 3*math.Cos(2*phi)) * deg)
		facets[i] = prep.Facet{
			Normal: r3.V(ct*c, ct*s, st), Area: 0.1, Middle: r3.V(4*c, 4*s, 0), Half: r3.V(-0.1*c, -0.1*s, 1), OK: true,
		}
	}
	whole := append([]prep.Facet(nil), facets...)
	hollow := make([]bool, n)
	for i := range n / 5 {
		facets[(660+i)%n] = prep.Facet{} // about the widest taper
	}
	for i := 300; i < 330; i++ {
		facets[i].Area, hollow[i] = 0.03, true
	}
	h, ok := prep.FitTaper(facets, r3.V(0, 0, 1))
	if !ok {
		t.Fatal("no fit")
	}
	got, share := h.Fill(facets, hollow)
	mean := func(fs []prep.Facet) float64 {
		var sum, area float64
		for _, f := range fs {
			sum, area = sum+f.Area*math.Asin(f.Normal.Z), area+f.Area
		}
		return sum / area / deg
	}
	if d := mean(got) - mean(whole); math.Abs(d) > 0.01 {
		t.Errorf("mean taper %.3f°, want %.3f°", mean(got), mean(whole))
	}
	if math.Abs(share-(0.2+30.0/n)) > 0.005 {
		t.Errorf("share filled %.3f, want %.3f", share, 0.2+30.0/n)
	}
	for i := range got {
		if got[i].Middle.Dist(whole[i].Middle) > 0.02 || got[i].Normal.Angle(whole[i].Normal) > 0.3*deg {
			t.Fatalf("facet %d is %v, want %v", i, got[i], whole[i])
		}
	}
}

// TestCentroidOfNoisyLine: points at equal steps of azimuth about a place 0.6 mm off lie
// closer together on one side; their noise must not draw the centroid there.
func TestCentroidOfNoisyLine(t *testing.T) {
	m := &prep.Margin{Points: make([]prep.MarginPoint, 720)}
	off := r3.V(0, 0.6, 0)
	for i := range m.Points {
		phi := 2 * math.Pi * float64(i) / 720
		s, c := math.Sincos(phi)
		// The circle of radius 4 about the origin, seen from off.
		b := off.Y * s
		rho := -b + math.Sqrt(b*b+16-off.Y*off.Y)
		rho += 0.03 * float64(i*i%7-3) / 2
		m.Points[i].At = off.Add(r3.V(rho*c, rho*s, 0))
	}
	if got := m.Centroid(); got.Norm() > 0.05 {
		t.Errorf("centroid %v, want the origin", got)
	}
}
