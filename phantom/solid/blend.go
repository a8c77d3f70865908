package solid

import "math"

// sharpest is the least squared sine of half the turn that counts as an edge;
// below it the two surfaces are taken as one.
const sharpest = 1e-8

// Intersect returns the part that lies in both a and b, its convex edge rounded
// by a circle of radius r that touches both surfaces. With θ the angle between
// the gradients (the turn of the edge), c = cos θ/2, s = sin θ/2 and
//
//	u = (a + b + 2r)/2c,  v = (a - b)/2s,
//
// the value is √(u²+v²) - r where |v|·c <= u·s (between the two normals from the
// circle's centre) and max(a, b) elsewhere. The crest of the edge, the middle of
// the arc, is v = 0, where a = b = r(c - 1). Exact for planes; for curved
// surfaces to second order in r over their radius.
func Intersect(a, b Sample, r float64) Sample {
	hi, lo := a, b
	if b.D > a.D {
		hi, lo = b, a
	}
	if r <= 0 || lo.D+hi.D+2*r <= 0 { // no edge, or on the far side of the centre
		return hi
	}
	dot := a.N.Dot(b.N) / math.Sqrt(a.N.Norm2()*b.N.Norm2())
	c2, s2 := (1+dot)/2, (1-dot)/2
	if s2 < sharpest || c2 < sharpest {
		return hi
	}
	c, s := math.Sqrt(c2), math.Sqrt(s2)
	u, v := (a.D+b.D+2*r)/(2*c), (a.D-b.D)/(2*s)
	if math.Abs(v)*c > u*s {
		return hi
	}
	d := math.Hypot(u, v)
	wa := (u/(2*c) + v/(2*s)) / d
	wb := (u/(2*c) - v/(2*s)) / d
	return Sample{d - r, a.N.Scale(wa).AddScaled(wb, b.N)}
}

// Unite returns what lies in a or b, its concave edge filled by a fillet of
// radius r that touches both surfaces.
func Unite(a, b Sample, r float64) Sample {
	return Intersect(a.Neg(), b.Neg(), r).Neg()
}

// Subtract returns what lies in a but not in b, its edge rounded with radius r.
func Subtract(a, b Sample, r float64) Sample { return Intersect(a, b.Neg(), r) }

// Melt returns a soft union that swells by up to k/4 where the two surfaces are
// within k of each other; for tissue, where no exact radius matters.
func Melt(a, b Sample, k float64) Sample {
	h := k - math.Abs(a.D-b.D)
	lo, other := a, b
	if b.D < a.D {
		lo, other = b, a
	}
	if h <= 0 {
		return lo
	}
	w := h / (2 * k) // weight of the other; 1/2 where the values are equal
	return Sample{lo.D - h*h/(4*k), lo.N.Scale(1-w).AddScaled(w, other.N)}
}

// Swell is the soft counterpart of max: the value is raised by up to k/4 where
// the two are within k.
func Swell(a, b Sample, k float64) Sample { return Melt(a.Neg(), b.Neg(), k).Neg() }
