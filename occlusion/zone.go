package occlusion

import (
	"math"
	"slices"

	"selvage/curve"
	"selvage/internal/num"
	"selvage/mesh"
	"selvage/r3"
)

// Zone is a part of the preparation that the material tables treat apart.
type Zone int

// The zones of a preparation.
const (
	Functional    Zone = iota // the side of the holding cusp; on front teeth the one that meets the antagonist
	NonFunctional             // the other side
	Central                   // the fossa between, or the incisal edge
)

// String returns the word of the trade.
func (z Zone) String() string {
	return [...]string{"functional", "non-functional", "central"}[z]
}

// prepHeight bounds how far above its margin a preparation reaches: the longest
// crown of the dimension table is 11 mm.
const prepHeight = 15.0

// zones gives every vertex its zone.
//
// Back teeth are divided in thirds of the occlusal table's width along the direction
// of the holding cusp; the table is what faces the axis within 60° in the upper half
// above the margin's centroid.
// Front teeth are divided by where the surface looks: along the axis within 45° is
// the edge, else the side. Without a direction all is central.
func zones(m *mesh.Mesh, normal []r3.Vec, ring *curve.Ring, holding r3.Vec, front bool) []Zone {
	zone := make([]Zone, len(m.Pos))
	h, ok := holding.Reject(ring.Axis).Unit()
	if !ok {
		for v := range zone {
			zone[v] = Central
		}
		return zone
	}
	if front {
		for v, n := range normal {
			zone[v] = frontZone(n, ring.Axis, h)
		}
		return zone
	}
	lo, hi := table(m, normal, ring, h)
	third := (hi - lo) / 3
	for v, p := range m.Pos {
		switch s := p.Sub(ring.Centre).Dot(h); {
		case s > hi-third:
			zone[v] = Functional
		case s < lo+third:
			zone[v] = NonFunctional
		default:
			zone[v] = Central
		}
	}
	return zone
}

func frontZone(n, axis, h r3.Vec) Zone {
	switch {
	case n.Dot(axis) > math.Sqrt2/2:
		return Central
	case n.Dot(h) >= 0:
		return Functional
	default:
		return NonFunctional
	}
}

// table returns the extent of the occlusal table along h, from the ring's centre.
func table(m *mesh.Mesh, normal []r3.Vec, ring *curve.Ring, h r3.Vec) (lo, hi float64) {
	level := func(p r3.Vec) float64 { return p.Sub(ring.Centre).Dot(ring.Axis) }
	top := 0.0
	for _, p := range m.Pos {
		top = max(top, level(p))
	}
	var s []float64
	for v, p := range m.Pos {
		if level(p) > top/2 && normal[v].Dot(ring.Axis) > 0.5 {
			s = append(s, p.Sub(ring.Centre).Dot(h))
		}
	}
	if len(s) == 0 {
		return 0, 0
	}
	slices.Sort(s)
	return num.QuantileSorted(s, 0.02), num.QuantileSorted(s, 0.98)
}
