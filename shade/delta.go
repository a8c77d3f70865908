package shade

import "math"

// Delta returns the colour difference ΔE00 (CIEDE2000) of two colours, with the
// parametric factors kL, kC and kH of 1 [Sharma2005]:
//
//	ΔE00² = (ΔL'/SL)² + (ΔC'/SC)² + (ΔH'/SH)² + RT (ΔC'/SC)(ΔH'/SH)
//
// It is symmetric, and 0 for equal colours alone.
func Delta(p, q Lab) float64 {
	// Chroma, with a* stretched so that greys lie as an eye sees them.
	c7 := math.Pow((math.Hypot(p.A, p.B)+math.Hypot(q.A, q.B))/2, 7)
	g := (1 - math.Sqrt(c7/(c7+pow25to7))) / 2
	pa, qa := (1+g)*p.A, (1+g)*q.A
	pc, qc := math.Hypot(pa, p.B), math.Hypot(qa, q.B)
	ph, qh := hue(pa, p.B), hue(qa, q.B)

	dh, mh := hues(ph, qh, pc*qc == 0)
	dL, dC, dH := q.L-p.L, qc-pc, 2*math.Sqrt(pc*qc)*math.Sin(dh/2)
	mL, mC := (p.L+q.L)/2, (pc+qc)/2

	t := 1 - 0.17*math.Cos(mh-rad(30)) + 0.24*math.Cos(2*mh) + 0.32*math.Cos(3*mh+rad(6)) - 0.20*math.Cos(4*mh-rad(63))
	fromMiddle := (mL - 50) * (mL - 50)
	sL := 1 + 0.015*fromMiddle/math.Sqrt(20+fromMiddle)
	sC := 1 + 0.045*mC
	sH := 1 + 0.015*mC*t
	m7 := math.Pow(mC, 7)
	blue := (mh - rad(275)) / rad(25)
	rT := -2 * math.Sqrt(m7/(m7+pow25to7)) * math.Sin(rad(60)*math.Exp(-blue*blue))

	l, c, h := dL/sL, dC/sC, dH/sH
	return math.Sqrt(max(0, l*l+c*c+h*h+rT*c*h))
}

// pow25to7 is 25⁷, from the definition.
const pow25to7 = 6103515625

// DeltaAB returns the older colour difference ΔE*ab, the distance in L*a*b*.
func DeltaAB(p, q Lab) float64 {
	return math.Sqrt((p.L-q.L)*(p.L-q.L) + (p.A-q.A)*(p.A-q.A) + (p.B-q.B)*(p.B-q.B))
}

// hue returns the angle of a colour in the plane of a* and b*, 0 to 2π; 0 for grey.
func hue(a, b float64) float64 {
	if a == 0 && b == 0 {
		return 0
	}
	h := math.Atan2(b, a)
	if h < 0 {
		h += 2 * math.Pi
	}
	return h
}

// half is half a turn, with room for the rounding of two angles. WHY: hues that lie
// exactly opposite count as no more than half a turn apart, and rounding must not decide
// between two means that stand at right angles; the tenth published pair is such a one.
const half = math.Pi + 1e-9

// hues returns the difference of two hues, the short way round, and their mean. Where
// one colour is grey its hue means nothing: the difference is 0 and the mean the sum,
// which is the other's hue.
func hues(p, q float64, grey bool) (d, mean float64) {
	if grey {
		return 0, p + q
	}
	d, mean = q-p, (p+q)/2
	switch {
	case d > half:
		d -= 2 * math.Pi
	case d < -half:
		d += 2 * math.Pi
	}
	if math.Abs(p-q) > half {
		if p+q < 2*math.Pi {
			mean += math.Pi
		} else {
			mean -= math.Pi
		}
	}
	return d, mean
}

func rad(deg float64) float64 { return deg * math.Pi / 180 }
