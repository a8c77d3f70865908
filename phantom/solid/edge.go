package solid

import (
	"math"

	"selvage/r3"
)

// edgePoint returns the point that lies nearest, in least squares, to the tangent
// planes of the surface at the crossings of a cell: the point of the edge or corner in
// it (Ju, Losasso, Schaefer, Warren 2002). A pull towards the crossings' mean settles
// the directions that the planes leave open. It is kept within reach of the mean.
func edgePoint(s Scene, cross []r3.Vec, mean r3.Vec, reach float64) r3.Vec {
	const pull = 0.02
	m := [3][4]float64{{pull, 0, 0, 0}, {0, pull, 0, 0}, {0, 0, pull, 0}}
	for _, c := range cross {
		v := s.At(c)
		n, ok := v.N.Unit()
		if !ok {
			continue
		}
		// n·(x - mean) = n·(c - mean) - value: the plane through the surface near c.
		d := n.Dot(c.Sub(mean)) - v.D
		a := n.Array()
		for i := range 3 {
			for j := range 3 {
				m[i][j] += a[i] * a[j]
			}
			m[i][3] += a[i] * d
		}
	}
	x := solve3(m)
	if l := x.Norm(); l > reach {
		x = x.Scale(reach / l)
	}
	return mean.Add(x)
}

// solve3 solves a positive definite system of three equations by elimination.
func solve3(m [3][4]float64) r3.Vec {
	for i := range 3 {
		p := i
		for k := i + 1; k < 3; k++ {
			if math.Abs(m[k][i]) > math.Abs(m[p][i]) {
				p = k
			}
		}
		m[i], m[p] = m[p], m[i]
		for k := i + 1; k < 3; k++ {
			f := m[k][i] / m[i][i]
			for j := i; j < 4; j++ {
				m[k][j] -= f * m[i][j]
			}
		}
	}
	z := m[2][3] / m[2][2]
	y := (m[1][3] - m[1][2]*z) / m[1][1]
	x := (m[0][3] - m[0][1]*y - m[0][2]*z) / m[0][0]
	return r3.V(x, y, z)
}
