package prep

import (
	"math"

	"selvage/internal/num"
	"selvage/r3"
)

// widestFill is the widest gap, radians, that Fill closes: a whole side of the tooth.
const widestFill = math.Pi / 2

// Fill returns the wall as it stands round its gaps. A facet that is missing or Outside
// (a hollow, a dent, a place that no scan shows) is put between the nearest sound ones
// on both sides, with the taper of the harmonics in place of its own; so is one of
// which hollow says that it is cut short. facets are those that h was fitted to about the
// preparation's own axis. Gaps wider than a quarter of a
// turn stay open. share is the part of the area that was filled.
//
// A mean over what is seen alone leans towards the sides that are seen whole, and a
// hollow would pass for a wall that holds nothing.
func (h *Taper) Fill(facets []Facet, hollow []bool) (out []Facet, share float64) {
	n := len(facets)
	out = make([]Facet, n)
	sound := func(i int) bool { return facets[i].OK && !h.Outside[i] && !hollow[i] }
	first := -1
	for i := range out {
		if sound(i) {
			out[i] = facets[i]
			if first < 0 {
				first = i
			}
		}
	}
	if first < 0 {
		return out, 0
	}
	var filled, whole float64
	last := first
	for k := 1; k <= n; k++ {
		i := (first + k) % n
		if !sound(i) {
			continue
		}
		gap := (i - last + n) % n
		if gap == 0 {
			gap = n
		}
		if gap > 1 && float64(gap)*2*math.Pi/float64(n) <= widestFill {
			for d := 1; d < gap; d++ {
				j := (last + d) % n
				out[j] = h.between(facets, last, i, j, float64(d)/float64(gap))
				filled += out[j].Area
			}
		}
		last = i
	}
	for i := range out {
		whole += out[i].Area
	}
	if whole == 0 {
		return out, 0
	}
	return out, filled / whole
}

// between is the facet at profile j, the share t of the way from a to b.
func (h *Taper) between(facets []Facet, a, b, j int, t float64) Facet {
	n := float64(len(facets))
	polar := func(i int) (rho, z, dRho, dZ, turned float64) {
		f := &facets[i]
		s, c := math.Sincos(2 * math.Pi * float64(i) / n)
		return f.Middle.X*c + f.Middle.Y*s, f.Middle.Z, f.Half.X*c + f.Half.Y*s, f.Half.Z,
			math.Atan2(-f.Normal.X*s+f.Normal.Y*c, f.Normal.X*c+f.Normal.Y*s)
	}
	r1, z1, dr1, dz1, n1 := polar(a)
	r2, z2, dr2, dz2, n2 := polar(b)
	mix := func(x, y float64) float64 { return x + t*(y-x) }
	phi := 2 * math.Pi * float64(j) / n
	s, c := math.Sincos(phi)
	sn, cn := math.Sincos(phi + mix(n1, n2))
	st, ct := math.Sincos(h.At(phi + mix(n1, n2)))
	rho, out := mix(r1, r2), mix(dr1, dr2)
	return Facet{
		Normal: r3.V(ct*cn, ct*sn, st),
		Area:   mix(facets[a].Area, facets[b].Area),
		Middle: r3.V(rho*c, rho*s, mix(z1, z2)),
		Half:   r3.V(out*c, out*s, mix(dz1, dz2)),
		OK:     true,
	}
}

// hollowFrom is how far below its line angle, in mm and beyond the tooth's usual
// distance, a straight wall must end for a hollow to lie between.
const hollowFrom = 1.0

// secondPlane is how far inside the wall's own line, mm, the line angle stands above a
// second plane or a palatal fossa, not a hollow: behind a hollow the profile comes back
// to the line but for the rounding of the line angle.
const secondPlane = 0.6

// Hollowed reports at which profiles a hollow cuts the wall short: the straight part
// ends farther below the line angle than it does round the tooth. A hollow higher than
// a line is followed across leaves the taper as it is but takes half of the wall.
func (m *Margin) Hollowed() []bool {
	out := make([]bool, len(m.Walls))
	gap := func(i int) float64 {
		p := &m.Fan.Profiles[i]
		return p.Z[m.Walls[i].LineAngle] - p.Z[m.Walls[i].From]
	}
	var gaps []float64
	for i := range m.Walls {
		if m.Walls[i].Found() && m.Walls[i].LineAngle >= 0 {
			gaps = append(gaps, gap(i))
		}
	}
	if len(gaps) < len(out)/2 {
		return out
	}
	usual := num.Median(gaps)
	for i := range m.Walls {
		w := &m.Walls[i]
		if !w.Found() || w.LineAngle < 0 || gap(i) <= usual+hollowFrom {
			continue
		}
		p := &m.Fan.Profiles[i]
		out[i] = w.At(p.Z[w.LineAngle])-p.Rho[w.LineAngle] < secondPlane
	}
	return out
}
