package picture

import (
	"math"

	"selvage/mesh"
	"selvage/r3"
	"selvage/tooth"
)

// The fixture is a row of three teeth as a height field over the plane z = 0:
// an upper right first molar prepared for a crown between two plain domes, in gum.
// +x is mesial, +y buccal, +z out of the tissue. Lengths mm. It is made to be
// looked at, not measured.

// field makes a mesh of z = h(x, y), wound so that +z is outside. Cells in
// which skip is true are left out.
func field(x0, x1, y0, y1, step float64, h func(x, y float64) float64, skip func(x, y float64) bool) *mesh.Mesh {
	nx, ny := int((x1-x0)/step), int((y1-y0)/step)
	m := &mesh.Mesh{}
	for j := 0; j <= ny; j++ {
		for i := 0; i <= nx; i++ {
			x, y := x0+float64(i)*step, y0+float64(j)*step
			m.Pos = append(m.Pos, r3.V(x, y, h(x, y)))
		}
	}
	at := func(i, j int) mesh.VertexID { return mesh.VertexID(j*(nx+1) + i) }
	for j := range ny {
		for i := range nx {
			if skip != nil && skip(x0+(float64(i)+0.5)*step, y0+(float64(j)+0.5)*step) {
				continue
			}
			m.Tri = append(m.Tri, [3]mesh.VertexID{at(i, j), at(i+1, j), at(i+1, j+1)},
				[3]mesh.VertexID{at(i, j), at(i+1, j+1), at(i, j+1)})
		}
	}
	return m
}

// marginRadius is the margin's distance from the axis at azimuth a.
func marginRadius(a float64) float64 { return 4.9 + 0.35*math.Cos(2*a+0.4) + 0.15*math.Cos(4*a) }

// marginHeight is its height above z = 0.
func marginHeight(a float64) float64 { return 0.2 + 0.35*math.Cos(2*a) }

func marginPoint(a float64) r3.Vec {
	r := marginRadius(a)
	return r3.V(r*math.Cos(a), r*math.Sin(a), marginHeight(a))
}

// stump is the height of the prepared tooth at polar (r, a), and false outside the root.
func stump(r, a float64) (float64, bool) {
	rm, z := marginRadius(a), marginHeight(a)
	shelf := 0.9
	switch d := rm - r; {
	case d < -0.35:
		return 0, false
	case d < 0: // root below the line
		return z + 4*d, true
	case d < shelf:
		t := d / shelf
		return z + 0.12*t*t + 0.5*math.Pow(t, 6), true
	default:
		wall := z + 0.62 + (d-shelf)*7
		x, y := r*math.Cos(a), r*math.Sin(a)
		top := 4.6 + 0.35*math.Cos(1.1*x)*math.Cos(1.0*y) - 0.9*math.Exp(-y*y*1.2) + 0.2*math.Cos(2.2*x)
		k := 6.0 // blends wall and top over about a sixth of a mm
		return -math.Log(math.Exp(-k*wall)+math.Exp(-k*top)) / k, true
	}
}

func neighbour(x, y, cx float64) float64 {
	dx, dy := (x-cx)/5.1, y/5.4
	q := math.Pow(math.Abs(dx), 3.2) + math.Pow(math.Abs(dy), 3.2)
	if q >= 1 {
		return -1e9
	}
	z := -1 + 7.2*math.Pow(1-q, 0.28)
	return z + 0.55*math.Cos(1.3*(x-cx))*math.Cos(1.15*y) - 0.8*math.Exp(-2*y*y) - 0.4*math.Exp(-3*(x-cx)*(x-cx))
}

func gumHeight(x, y float64) float64 {
	return 0.5 - 0.012*y*y + 0.5*math.Exp(-math.Pow(math.Abs(x)-5.4, 2)*1.5)*math.Exp(-y*y/30)
}

func rowHeight(x, y float64) float64 {
	r, a := math.Hypot(x, y), math.Atan2(y, x)
	gum := gumHeight(x, y)
	if z, ok := stump(r, a); ok {
		return z
	}
	rm := marginRadius(a)
	if d := r - rm - 0.35; d < 0.7 { // sulcus
		low := marginHeight(a) - 1.4
		t := d / 0.7
		gum = low + (gum-low)*t*t*(3-2*t)
	}
	return max(gum, neighbour(x, y, 10.9), neighbour(x, y, -10.9))
}

// noisy adds repeatable roughness of about 10 µm.
func noisy(h func(x, y float64) float64) func(x, y float64) float64 {
	return func(x, y float64) float64 {
		u := math.Sin(x*127.1+y*311.7) * 43758.5453
		return h(x, y) + 0.01*(2*(u-math.Floor(u))-1)
	}
}

// fixtureStage is the row with a hole at the distal margin, the opposing row, and
// clearances along z.
func fixtureStage() Stage {
	hole := func(x, y float64) bool { return math.Hypot(x+4.9, (y-1.2)*0.6) < 0.75 }
	row := field(-17, 17, -9, 9, 0.1, noisy(rowHeight), hole)
	opp := func(x, y float64) float64 {
		return 6.9 - 0.9*math.Cos(1.2*x+0.5)*math.Cos(1.1*(y-1)) + 0.05*y*y
	}
	up := field(-17, 17, -9, 9, 0.15, noisy(opp), nil)
	s := Stage{
		Tooth: fixtureTooth, Prepared: row, Opposing: up.Flipped(),
		Axis: r3.V(0, 0, 1), Occlusal: r3.V(0, 0, 1), Mesial: r3.V(1, 0, 0), Buccal: r3.V(0, 1, 0),
		Radius: 5.2,
	}
	s.Clearance = make([]float64, len(row.Pos))
	for i, p := range row.Pos {
		s.Clearance[i] = math.NaN()
		if r, a := math.Hypot(p.X, p.Y), math.Atan2(p.Y, p.X); r < marginRadius(a) {
			s.Clearance[i] = 0.8 * (opp(p.X, p.Y) - p.Z)
		}
	}
	const n = 180
	pts, st := make([]r3.Vec, n), make([]State, n)
	for i := range pts {
		a := 2 * math.Pi * float64(i) / n
		pts[i] = marginPoint(a)
		switch {
		case hole(pts[i].X, pts[i].Y):
			st[i] = NotCaptured
		case a > 4.5 && a < 4.8:
			st[i] = Doubtful
		case a > 0.9 && a < 1.0:
			st[i] = Bridged
		}
	}
	s.Margin = split(pts, st, true)
	return s
}

func fixtureSpots() []Spot {
	return []Spot{
		{
			Number: "1", Kind: PinScan, At: marginPoint(math.Pi - 0.24), Normal: r3.V(-0.8, 0.2, 0.5), Extent: 1.6,
			Approach: r3.V(-0.55, 0.15, 0.82), Tilt: 0.6,
		},
		{Number: "2", Kind: PinAsk, At: r3.V(1.2, -2.6, 4.7), Normal: r3.V(0, 0, 1), Text: "0.8 ± 0.1 mm"},
		{Number: "3", Kind: PinNote, At: marginPoint(4.65), Normal: r3.V(0, -0.8, 0.4), Approach: r3.V(0, -0.5, 0.86), Tilt: 0.52},
	}
}

// fixtureTooth is the tooth that the fixture shows: with mesial to +x and buccal to
// +y, seen against +z, that is an upper right one.
const fixtureTooth = tooth.Number(16)
