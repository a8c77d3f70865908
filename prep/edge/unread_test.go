package edge

import (
	"math"
	"testing"

	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/prep"
	"selvage/prep/margin"
	"selvage/r3"
)

// TestOverUnreadLine: where the line could not be read, what lies up to 1.5 mm above it may
// be gum and is left out; it widens what is said of the whole way round, and where it is
// most of that nothing is; an edge that is seen is.
func TestOverUnreadLine(t *testing.T) {
	s := meshtest.DefaultStump()
	s.LineAngle = 0.2
	m := meshtest.Rough(meshtest.Lathe(s.Knots(), 0.1, 7, meshtest.Round), 0.005, 3)
	p := prep.CutOut(m, mesh.NewTopology(m), r3.V(0.2, -0.1, 2), r3.V(0, 0, 1), r3.V(1, 0, 0), r3.V(0, 1, 0))
	p.Noise, p.Spacing = 0.005, 0.1
	fan, ok := prep.Cut(p)
	if !ok {
		t.Fatal("axis meets no surface")
	}
	got, ok := margin.Detect(fan, margin.Options{})
	if !ok {
		t.Fatal("no wall found")
	}
	whole := Measure(got, Options{})
	const from, to = 60, 120 // of 720: 30 degrees
	blind := func(from, to int) {
		for i := from; i < to; i++ {
			got.Points[i].Traced = false
		}
	}
	blind(from, to)
	in, unread := inside(got)
	if math.Abs(unread-80.0/720) > 1e-9 { // five degrees more on each side
		t.Errorf("%.3f of the way round was left out, want 80 of 720", unread)
	}
	g := p.Frame()
	var low, high, beside int // in the blind sector below and above 1.5 mm, and low outside it
	for _, v := range in {
		q := g.Point(p.Mesh.Pos[v])
		az := math.Atan2(q.Y, q.X) / (2 * math.Pi) * 720
		z := q.Z - g.Point(got.Points[(int(az)+720)%720].At).Z
		switch {
		case az > from && az < to && z < overUnread-0.05:
			low++
		case az > from && az < to:
			high++
		case z < overUnread-0.05:
			beside++
		}
	}
	if low > 0 || high == 0 || beside == 0 {
		t.Errorf("%d points below 1.5 mm and %d above it over the unread line, %d low ones elsewhere; want none, some, some", low, high, beside)
	}
	part := Measure(got, Options{})
	if !part.Volume.Measured() || part.Volume.U <= whole.Volume.U || math.Abs(part.Volume.V-whole.Volume.V) > part.Volume.U {
		t.Errorf("volume %+v with 30° unread, %+v without", part.Volume, whole.Volume)
	}
	blind(0, 400)
	if r := Measure(got, Options{}); r.Over.Measured() || r.Volume.Measured() || r.Volume.Why == "" || !r.Radius.Measured() || math.Abs(r.Radius.V-s.LineAngle) > r.Radius.U {
		t.Errorf("with most of the line unread: %+v", r)
	}
}
