package margin

import (
	"math"

	"selvage/prep"
	"selvage/r3"
)

// Hand is what a person says of the line, in the frame of the scan that it is traced
// on: single points that it must pass, and stretches drawn as polylines.
type Hand struct {
	Pins  []r3.Vec
	Drawn [][]r3.Vec
}

// Empty reports whether nothing was said.
func (h Hand) Empty() bool { return len(h.Pins) == 0 && len(h.Drawn) == 0 }

// Bounds of what a hand may do, mm.
const (
	// drawnStep is how finely a drawn stretch is followed.
	drawnStep = 0.05
	// besidePin is how far along the line a single point speaks for it: what lies
	// farther away is the tracer's again.
	besidePin = 0.5
	// farPin is the distance from the traced line beyond which a point is no point of
	// this margin.
	farPin = 3.0
)

// target is where a person wants the line at one azimuth.
type target struct {
	rho, z float64
	set    bool
}

// targets lists the wanted place per profile, and the points that are too far from
// the line to belong to it.
func targets(m *prep.Margin, h Hand) (drawn []target, pins []r3.Vec, far int) {
	n := len(m.Points)
	g := m.Fan.Prep.Frame()
	drawn = make([]target, n)
	at := func(q r3.Vec) int {
		return (int(math.Round(math.Atan2(q.Y, q.X)/(2*math.Pi)*float64(n))) + n) % n
	}
	near := func(q r3.Vec) bool {
		return q.Dist(g.Point(m.Points[at(q)].At)) <= farPin
	}
	for _, p := range h.Pins {
		if q := g.Point(p); near(q) {
			pins = append(pins, q)
		} else {
			far++
		}
	}
	for _, line := range h.Drawn {
		for i := 1; i < len(line); i++ {
			a, b := g.Point(line[i-1]), g.Point(line[i])
			steps := max(int(a.Dist(b)/drawnStep), 1)
			for k := range steps + 1 {
				q := a.Lerp(b, float64(k)/float64(steps))
				if !near(q) {
					far++
					continue
				}
				drawn[at(q)] = target{math.Hypot(q.X, q.Y), q.Z, true}
			}
		}
	}
	return drawn, pins, far
}

// Hold moves the traced line to what a person says: onto a drawn stretch wherever
// there is one, and through every pin, fading out over half a millimetre to each side.
// Unclear points that a person has settled become readable with confidence 1; where
// the scan ends they stay not captured, since no hand makes data.
//
// It returns, per point, whether a person set it, and how many of the given places lie
// more than 3 mm from the line and were left out. Call it after [Complete].
func Hold(m *prep.Margin, h Hand) (byHand []bool, far int) {
	n := len(m.Points)
	byHand = make([]bool, n)
	drawn, pins, far := targets(m, h)
	fillGaps(drawn)
	back := m.Fan.Prep.Frame().Inverse()
	for i, t := range drawn {
		if t.set {
			s, c := math.Sincos(m.Points[i].Azimuth)
			m.Points[i].At = back.Point(r3.V(t.rho*c, t.rho*s, t.z))
			byHand[i] = true
		}
	}
	for _, q := range pins {
		pull(m, q, byHand)
	}
	for i := range m.Points {
		if !byHand[i] {
			continue
		}
		p := &m.Points[i]
		p.Sample = nearestSample(&m.Fan.Profiles[i], m.Fan.Prep.Frame().Point(p.At), p.Sample)
		if p.State, p.Merged = p.Own(), false; p.State != prep.NotCaptured {
			p.State, p.Confidence, p.Traced = prep.Readable, 1, true
		}
	}
	return byHand, far
}

// fillGaps closes holes of a few profiles in a drawn stretch: near the axis a step of
// it may skip one.
func fillGaps(t []target) {
	const widest = 3
	n := len(t)
	for i := range t {
		if !t[i].set || t[(i+1)%n].set {
			continue
		}
		for k := 2; k <= widest+1; k++ {
			e := t[(i+k)%n]
			if !e.set {
				continue
			}
			for j := 1; j < k; j++ {
				f := float64(j) / float64(k)
				t[(i+j)%n] = target{t[i].rho + f*(e.rho-t[i].rho), t[i].z + f*(e.z-t[i].z), true}
			}
			break
		}
	}
}

// pull moves the line through q, in the preparation's frame: the nearest profile's
// point comes to q's distance and height, its neighbours follow by a raised cosine
// over besidePin.
func pull(m *prep.Margin, q r3.Vec, byHand []bool) {
	n := len(m.Points)
	g := m.Fan.Prep.Frame()
	back := g.Inverse()
	rho := math.Hypot(q.X, q.Y)
	x := math.Atan2(q.Y, q.X) / (2 * math.Pi) * float64(n)
	k := (int(math.Round(x)) + n) % n
	own := g.Point(m.Points[k].At)
	dr, dz := rho-math.Hypot(own.X, own.Y), q.Z-own.Z
	reach := int(besidePin / max(rho*2*math.Pi/float64(n), 1e-3))
	for d := -reach; d <= reach; d++ {
		i := (k + d + n) % n
		w := (1 + math.Cos(math.Pi*float64(d)/float64(reach+1))) / 2
		p := g.Point(m.Points[i].At)
		r := math.Hypot(p.X, p.Y) + w*dr
		s, c := math.Sincos(m.Points[i].Azimuth)
		m.Points[i].At = back.Point(r3.V(r*c, r*s, p.Z+w*dz))
		byHand[i] = byHand[i] || 2*d >= -reach && 2*d <= reach
	}
}

// nearestSample returns the sample of a profile that lies nearest to q, in the
// preparation's frame; what it was where the profile is empty.
func nearestSample(p *prep.Profile, q r3.Vec, was int) int {
	rho, best := math.Hypot(q.X, q.Y), math.Inf(1)
	for k := range p.Len() {
		if d := math.Hypot(p.Rho[k]-rho, p.Z[k]-q.Z); d < best {
			best, was = d, k
		}
	}
	return was
}
