package margin

import (
	"math"

	"selvage/internal/num"
	"selvage/measure"
	"selvage/mesh"
	"selvage/prep"
	"selvage/r3"
	"selvage/surface"
)

// Bounds of the colour of a tooth, CIELAB under D65, and of what counts.
//
// Dentine, enamel, white and metal cores lie between 0 and 12 on the axis from green
// to red, gum and blood from 25 on; pastes that are meant to be told from tooth are
// blue or green. Redness is held against the preparation's own median besides, since
// scanners differ in white balance.
const (
	redFrom   = 18.0 // a* from which a point is no tooth
	redAbove  = 14.0 // and by how much it must exceed the median
	greenFrom = -15.0
	blueFrom  = -12.0
	redScan   = 16.0 // median a* above which the scan's colours tell nothing
	// clearOfLine is how far inside the margin a point must lie, mm: colours of gum are
	// smeared over the line by the scanner's picture, which is coarser than its points.
	clearOfLine = 0.25
	// leastStain is the area, mm², under which a patch is a speck of colour noise.
	leastStain = 0.2
)

// Coloured measures the area inside the margin that has the colour of tissue, blood
// or contrast paste: in mm², at the middle of the largest patch. Not measured where
// the scan holds no colours, or where the preparation is as red as gum throughout, so
// that the colours tell nothing.
//
// A point counts if most of its neighbours do; patches under 0.2 mm² are noise. White
// powder has the colour of a tooth and is not seen. Cost: O(vertices).
func Coloured(m *prep.Margin) measure.Value {
	p := m.Fan.Prep
	if p.Mesh.Color == nil {
		return measure.Not("the scan holds no colours")
	}
	in := insideLine(m)
	lab := make([][3]float64, len(in))
	var reds []float64
	for v := range in {
		if in[v] {
			lab[v] = cieLab(p.Mesh.Color[v])
			reds = append(reds, lab[v][1])
		}
	}
	if len(reds) == 0 {
		return measure.Not("nothing inside the margin is to be seen")
	}
	usual := num.Median(reds)
	if usual > redScan {
		return measure.Not("the whole preparation is as red as gum, so its colours tell nothing")
	}
	stained := make([]bool, len(in))
	for v := range in {
		c := lab[v]
		stained[v] = in[v] && (c[1] > max(redFrom, usual+redAbove) || c[1] < greenFrom || c[2] < blueFrom)
	}
	area, at, n := patches(p, steady(p.Mesh, stained))
	u := max(0.1, 2*p.Spacing*math.Sqrt(area))
	out := measure.Of(area, u, measure.MM2)
	if area > 0 {
		out = out.At(measure.Place{At: at, Normal: n, Scan: p.Scan})
	}
	return out
}

// insideLine marks the vertices within the margin's outline, not far below its level,
// and clearOfLine from it across the axis.
func insideLine(m *prep.Margin) []bool {
	p := m.Fan.Prep
	g := p.Frame()
	n := len(m.Points)
	const below = 0.3 // mm: a shelf may fall to the margin's far side
	out := make([]bool, len(p.Mesh.Pos))
	for v, pos := range p.Mesh.Pos {
		q := g.Point(pos)
		k := (int(math.Round(math.Atan2(q.Y, q.X)/(2*math.Pi)*float64(n))) + n) % n
		if !readable(m, k) {
			continue
		}
		e := g.Point(m.Points[k].At)
		out[v] = math.Hypot(q.X, q.Y) < math.Hypot(e.X, e.Y)-clearOfLine && q.Z > e.Z-below
	}
	return out
}

// steady keeps the marks that most neighbours share: the colour of single points is
// noise.
func steady(m *mesh.Mesh, mark []bool) []bool {
	like, all := make([]int, len(mark)), make([]int, len(mark))
	for _, t := range m.Tri {
		for i := range 3 {
			a, b := t[i], t[(i+1)%3]
			all[a]++
			if mark[b] {
				like[a]++
			}
		}
	}
	out := make([]bool, len(mark))
	for v := range mark {
		out[v] = mark[v] && 2*like[v] > all[v]
	}
	return out
}

// patches adds up the connected patches of leastStain and more, and returns the middle
// of the largest with the normal there.
func patches(p *prep.Preparation, mark []bool) (sum float64, at, normal r3.Vec) {
	area := surface.VertexAreas(p.Mesh)
	group := make([]int, len(mark)) // 0: none yet
	next := make([][]mesh.VertexID, len(mark))
	for _, t := range p.Mesh.Tri {
		for i := range 3 {
			a, b := t[i], t[(i+1)%3]
			if mark[a] && mark[b] {
				next[a], next[b] = append(next[a], b), append(next[b], a)
			}
		}
	}
	largest := 0.0
	for s := range mark {
		if !mark[s] || group[s] != 0 {
			continue
		}
		stack := []mesh.VertexID{mesh.VertexID(s)}
		group[s] = s + 1
		a, c, n := 0.0, r3.Vec{}, r3.Vec{}
		for len(stack) > 0 {
			v := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			a += area[v]
			c = c.AddScaled(area[v], p.Mesh.Pos[v])
			n = n.AddScaled(area[v], p.Normals[v])
			for _, w := range next[v] {
				if group[w] == 0 {
					group[w] = s + 1
					stack = append(stack, w)
				}
			}
		}
		if a < leastStain {
			continue
		}
		sum += a
		if a > largest {
			largest, at, normal = a, c.Scale(1/a), n.UnitOr(p.Axis)
		}
	}
	return sum, at, normal
}

// cieLab returns L*, a*, b* of an sRGB colour under D65 (IEC 61966-2-1, CIE 15).
func cieLab(c mesh.RGB) [3]float64 {
	var l [3]float64
	for i, v := range c {
		x := float64(v) / 255
		if x <= 0.04045 {
			l[i] = x / 12.92
		} else {
			l[i] = math.Pow((x+0.055)/1.055, 2.4)
		}
	}
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124564*l[0] + 0.3575761*l[1] + 0.1804375*l[2]) / 0.95047)
	y := f(0.2126729*l[0] + 0.7151522*l[1] + 0.0721750*l[2])
	z := f((0.0193339*l[0] + 0.1191920*l[1] + 0.9503041*l[2]) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}
