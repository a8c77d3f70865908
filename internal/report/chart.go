package report

import (
	"math"

	"selvage/finding"
	"selvage/r3"
	"selvage/tooth"
)

// chart says where mesial and buccal point in a drawing of a tooth seen from its
// biting side, as on a dental chart: the patient's right is on the left, the
// front teeth are at the top of an upper arch and at the bottom of a lower one.
// x to the right, y up.
type chart struct{ mesial, buccal [2]float64 }

// chartOf returns the chart directions at tooth n. A back tooth looks forward
// along mesial and a front tooth along buccal; a canine stands between.
func chartOf(n tooth.Number) chart {
	up, out := 1.0, 1.0 // towards the front; towards the patient's cheek on this side
	if n.Jaw() == tooth.Lower {
		up = -1
	}
	if n.Side() == tooth.Right {
		out = -1
	}
	back := chart{mesial: [2]float64{0, up}, buccal: [2]float64{out, 0}}
	front := chart{mesial: [2]float64{-out, 0}, buccal: [2]float64{0, up}}
	switch p := n.Position(); {
	case p == 1 || p == 2:
		return front
	case p == 3:
		h := math.Sqrt2 / 2
		return chart{
			mesial: [2]float64{h * (back.mesial[0] + front.mesial[0]), h * (back.mesial[1] + front.mesial[1])},
			buccal: [2]float64{h * (back.buccal[0] + front.buccal[0]), h * (back.buccal[1] + front.buccal[1])},
		}
	default:
		return back
	}
}

// at returns the drawing's direction for parts towards mesial and buccal.
func (c chart) at(mesial, buccal float64) (x, y float64) {
	return mesial*c.mesial[0] + buccal*c.buccal[0], mesial*c.mesial[1] + buccal*c.buccal[1]
}

// toward returns the direction of a side of the tooth; ok is false for the biting
// surface and for no side.
func (c chart) toward(s tooth.Surface) (x, y float64, ok bool) {
	for i, o := range tooth.Sectors() {
		if o == s {
			a := float64(i) * math.Pi / 4 // from mesial by way of buccal
			x, y = c.at(math.Cos(a), math.Sin(a))
			return x, y, true
		}
	}
	return 0, 0, false
}

// turned returns mesial and buccal in space for restoration r: as given, or from
// where the gaps to the adjacent teeth were measured. ok is false if neither says.
func (in Input) turned(r int, n tooth.Number, axis, middle r3.Vec) (mesial, buccal r3.Vec, ok bool) {
	if r < len(in.Facing) {
		back := in.fromWorking(in.Report.Restorations[r].Measures.Margin.Scan)
		m, okM := back.Apply(in.Facing[r].Mesial).Unit()
		b, okB := back.Apply(in.Facing[r].Buccal).Unit()
		if okM && okB {
			return m, b, true
		}
	}
	m := in.Report.Restorations[r].Measures
	var way r3.Vec
	if g := m.GapMesial; g.At != nil && g.Scan == m.Margin.Scan {
		way = way.Add(vec(*g.At).Sub(middle).UnitOr(r3.Vec{}))
	}
	if g := m.GapDistal; g.At != nil && g.Scan == m.Margin.Scan {
		way = way.Sub(vec(*g.At).Sub(middle).UnitOr(r3.Vec{}))
	}
	mesial, ok = way.Reject(axis).Unit()
	if !ok {
		return r3.Vec{}, r3.Vec{}, false
	}
	// Seen against the axis the drawing is right-handed; so must be (mesial, buccal).
	c := chartOf(n)
	buccal = axis.Cross(mesial)
	if c.mesial[0]*c.buccal[1]-c.mesial[1]*c.buccal[0] < 0 {
		buccal = buccal.Neg()
	}
	return mesial, buccal, true
}

// fromWorking is the rotation from the working scan's frame into that of a scan.
func (in Input) fromWorking(role finding.Role) r3.Mat {
	for _, s := range in.Report.Scans {
		if s.Role == role && s.ToWorking != nil {
			m := s.ToWorking.Rows
			return r3.Mat{r3.V(m[0][0], m[0][1], m[0][2]), r3.V(m[1][0], m[1][1], m[1][2]), r3.V(m[2][0], m[2][1], m[2][2])}.T()
		}
	}
	return r3.Identity()
}

func vec(a [3]float64) r3.Vec { return r3.V(a[0], a[1], a[2]) }
