package occlusion

import (
	"math"
	"testing"

	"selvage/r3"
)

// cusp is a ball of radius 2 mm on the working arch whose top is at the given
// height.
type cusp struct{ x, y, top float64 }

const cuspRadius = 2.0

// row is an arch of cusps on a floor at z = 0.
func row(cusps []cusp, step float64) Scan {
	return scan(field(0.013, 0.007, 15, step, func(x, y float64) float64 {
		z := 0.0
		for _, c := range cusps {
			d2 := (x-c.x)*(x-c.x) + (y-c.y)*(y-c.y)
			if d2 < cuspRadius*cuspRadius {
				z = max(z, c.top-cuspRadius+math.Sqrt(cuspRadius*cuspRadius-d2))
			}
		}
		return z
	}))
}

// ceiling is an opposing arch that is a plane at height z, leaning along x.
func ceiling(z, slope, step float64) Scan {
	return scan(under(field(0, 0, 15, step, func(x, y float64) float64 { return z + slope*x })))
}

// sound has three cusps mesial (x < 0) and three distal of the prepared tooth at the
// origin, all 3 mm high, and the stump of the tooth 1.5 mm high.
var sound = []cusp{{-9, 2, 3}, {-9, -2, 3}, {-13, 0, 3}, {9, 2, 3}, {9, -2, 3}, {13, 0, 3}, {0, 0, 1.5}}

func judged(working, opposing Scan) Result {
	return Judge(Input{
		Working: working, Opposing: opposing, Up: up, Radius: 5,
		Neighbours: []Neighbour{{Side: Mesial, Centre: r3.V(-9, 0, 0)}, {Side: Distal, Centre: r3.V(9, 0, 0)}},
		Buccal:     r3.V(0, 1, 0),
	})
}

func TestJudgeContacts(t *testing.T) {
	r := judged(row(sound, 0.1), ceiling(3.01, 0, 0.5))
	if r.ContactCount.V != 6 || !r.Ahead.Held || !r.Behind.Held || r.Ahead.Contacts != 3 {
		t.Errorf("contacts %v, ahead %+v, behind %+v; want 6, 3, 3", r.ContactCount.V, r.Ahead, r.Behind)
	}
	if r.PenetrationMax.V != 0 || r.PenetrationArea.V != 0 {
		t.Errorf("penetration %.4f mm, %.2f mm²: there is none", r.PenetrationMax.V, r.PenetrationArea.V)
	}
	for _, b := range r.Beside {
		// A ball that comes within 0.01 mm of a plane has 0.1 mm² within 0.018 mm.
		if b.Contacts != 3 || math.Abs(b.Gap.V-0.018) > sag {
			t.Errorf("%v neighbour: %d contacts, gap %.4f", b.Neighbour.Side, b.Contacts, b.Gap.V)
		}
	}
	// The cap within 0.05 mm: 2πR·h with h = 0.04.
	if a := r.Contacts[0].Area; math.Abs(a-2*math.Pi*cuspRadius*0.04) > 0.08 {
		t.Errorf("area of a contact %.3f mm², want %.3f", a, 2*math.Pi*cuspRadius*0.04)
	}
	if math.Abs(r.HoldingSide.V) > 0.05 {
		t.Errorf("holding side %.2f mm: the contacts are even", r.HoldingSide.V)
	}
	if r.Shift.Measured() || r.Shift.Why != "no bite record was scanned" {
		t.Errorf("shift without a record: %+v", r.Shift)
	}
	if r.BeforeGap.Measured() || r.BeforeGap.Why == "" {
		t.Errorf("gap before without a scan: %+v", r.BeforeGap)
	}
}

func TestJudgePenetration(t *testing.T) {
	for _, depth := range []float64{0.06, 0.12, 0.3, 0.8} {
		r := judged(row(sound, 0.1), ceiling(3-depth, 0, 0.5))
		// A patch of 0.1 mm² on a ball is a cap 0.1/2πR high.
		want := depth - bitePatch/(2*math.Pi*cuspRadius)
		if math.Abs(r.PenetrationMax.V-want) > sag {
			t.Errorf("depth %.2f: %.4f, want %.4f", depth, r.PenetrationMax.V, want)
		}
		if area := 6 * 2 * math.Pi * cuspRadius * depth; math.Abs(r.PenetrationArea.V/area-1) > 0.1 {
			t.Errorf("depth %.2f: area %.2f mm², want %.2f", depth, r.PenetrationArea.V, area)
		}
		if r.ContactCount.V != 6 {
			t.Errorf("depth %.2f: %v contacts once taken out, want 6", depth, r.ContactCount.V)
		}
		if r.PenetrationMax.Place == nil || math.Abs(r.PenetrationMax.Place.At.Z-3) > 0.05 {
			t.Errorf("depth %.2f: place %+v is no tip", depth, r.PenetrationMax.Place)
		}
	}
}

func TestJudgeOpenBite(t *testing.T) {
	r := judged(row(sound, 0.1), ceiling(3.4, 0, 0.5))
	if r.ContactCount.V != 0 || math.Abs(r.Gap.V-0.408) > sag || r.Ahead.Held || r.Behind.Held {
		t.Errorf("open by 0.4: %v contacts, gap %.4f, held %v %v", r.ContactCount.V, r.Gap.V, r.Ahead.Held, r.Behind.Held)
	}
	r = judged(row(sound, 0.1), ceiling(5.5, 0, 0.5))
	if math.Abs(r.Gap.V-2.508) > sag {
		t.Errorf("open by 2.5: gap %.4f", r.Gap.V)
	}
	r = judged(row(sound, 0.1), ceiling(12, 0, 0.5))
	if r.Gap.Measured() || r.Gap.Why == "" {
		t.Errorf("9 mm apart: %+v", r.Gap)
	}
}

// The last tooth of the arch: cusps ahead of it alone.
func TestJudgeUnsupported(t *testing.T) {
	r := Judge(Input{
		Working: row(sound[:3], 0.1), Opposing: ceiling(3, 0, 0.5), Up: up, Radius: 5,
		Neighbours: []Neighbour{{Side: Mesial, Centre: r3.V(-9, 0, 0)}},
	})
	if !r.Ahead.Held || r.Behind.Held || r.Behind.Why == "" {
		t.Errorf("ahead %+v, behind %+v", r.Ahead, r.Behind)
	}
}

// The prepared tooth itself does not count, nor does the opposing tooth over it.
func TestJudgeLeavesThePreparedToothOut(t *testing.T) {
	high := append([]cusp{{0, 0, 3.5}}, sound[:6]...)
	r := judged(row(high, 0.1), ceiling(3.01, 0, 0.5))
	if r.PenetrationMax.V != 0 || r.ContactCount.V != 6 {
		t.Errorf("penetration %.3f, contacts %v: the prepared tooth is judged with", r.PenetrationMax.V, r.ContactCount.V)
	}
}

func TestJudgeUnderNoise(t *testing.T) {
	const sigma = 0.01
	w, o := row(sound, 0.1), ceiling(3, 0, 0.1)
	for seed := range uint64(2) {
		r := judged(scan(noisy(w.Mesh, sigma, seed)), scan(noisy(o.Mesh, sigma, seed+50)))
		if r.ContactCount.V != 6 || r.PenetrationMax.V > 0.02 {
			t.Errorf("seed %d: %v contacts, penetration %.4f", seed, r.ContactCount.V, r.PenetrationMax.V)
		}
	}
}

func TestJudgeMovesWithTheCase(t *testing.T) {
	w, o := row(sound, 0.15), ceiling(2.93, 0.002, 0.15)
	a := judged(w, o)
	b := Judge(Input{
		Working: scan(w.Mesh.Moved(odd)), Opposing: scan(o.Mesh.Moved(odd)),
		Up: odd.Dir(up), Tooth: odd.T, Radius: 5,
		Neighbours: []Neighbour{{Side: Mesial, Centre: odd.Point(r3.V(-9, 0, 0))}, {Side: Distal, Centre: odd.Point(r3.V(9, 0, 0))}},
		Buccal:     odd.Dir(r3.V(0, 1, 0)),
	})
	// Vertices at one height enter a patch in the order of the last digit, and its
	// area grows by a vertex at a time: 0.02 mm², of 0.1 mm², of a cap 0.008 mm high.
	const tie = 0.002
	if a.ContactCount.V != b.ContactCount.V || math.Abs(a.PenetrationMax.V-b.PenetrationMax.V) > tie ||
		math.Abs(a.PenetrationArea.V-b.PenetrationArea.V) > 1e-6 {
		t.Errorf("before %v, %.8f, %.6f; after %v, %.8f, %.6f", a.ContactCount.V, a.PenetrationMax.V, a.PenetrationArea.V,
			b.ContactCount.V, b.PenetrationMax.V, b.PenetrationArea.V)
	}
}

func TestJudgeNothing(t *testing.T) {
	empty := scan(field(0, 0, 0.1, 0.1, func(x, y float64) float64 { return math.NaN() }))
	r := judged(empty, ceiling(3, 0, 0.3))
	if r.PenetrationMax.Measured() || r.ContactCount.Measured() || r.Gap.Measured() {
		t.Errorf("an empty working arch: %+v", r)
	}
	r = judged(row(sound, 0.3), empty)
	if r.PenetrationMax.Measured() || r.ContactCount.Measured() || r.Gap.Measured() {
		t.Errorf("an empty opposing arch: %+v", r)
	}
}

// before is the arch with a whole tooth at the origin, in its own frame.
func TestJudgeBefore(t *testing.T) {
	whole := append([]cusp{{0, 0, 3}}, sound[:6]...)
	b := row(whole, 0.1)
	b.Mesh = b.Mesh.Moved(odd)
	b = scan(b.Mesh)
	for _, gap := range []float64{0.02, 0.3, -0.25} {
		r := Judge(Input{
			Working: row(sound, 0.1), Opposing: ceiling(3+gap, 0, 0.5), Up: up, Radius: 5,
			Before: &Before{Scan: b, WorkingFromBefore: odd.Inverse()},
		})
		want := gap + bitePatch/(2*math.Pi*cuspRadius)
		if math.Abs(r.BeforeGap.V-want) > sag {
			t.Errorf("gap %.2f: %.4f, want %.4f", gap, r.BeforeGap.V, want)
		}
	}
}
