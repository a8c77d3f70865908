package mesh

import (
	"math"

	"selvage/r3"
)

// Area returns the sum of the areas of the faces. Cost: O(faces).
func (m *Mesh) Area() float64 {
	var sum float64
	for f := range FaceID(len(m.Tri)) {
		sum += m.AreaVector(f).Norm()
	}
	return sum
}

// VectorArea returns the sum of the area vectors of the faces,
//
//	A = ½ Σ (b-a)×(c-a),
//
// which depends on the boundary alone: zero for a closed surface, and for an
// open scan that is wound outward a vector towards where the scanner was.
// Cost: O(faces).
func (m *Mesh) VectorArea() r3.Vec {
	var sum r3.Vec
	for f := range FaceID(len(m.Tri)) {
		sum = sum.Add(m.AreaVector(f))
	}
	return sum
}

// SignedVolume returns the volume that a closed mesh encloses, positive where
// the winding is outward,
//
//	V = ⅙ Σ (a-o)·((b-o)×(c-o)),
//
// with o the middle of the bounding box, so that a mesh far from the origin
// loses no digits. For an open mesh it is the volume of the cone of its
// faces over o, which is no property of the surface. Cost: O(faces).
func (m *Mesh) SignedVolume() float64 {
	if len(m.Tri) == 0 {
		return 0
	}
	o := m.Box().Center()
	var sum float64
	for f := range FaceID(len(m.Tri)) {
		a, b, c := m.Corners(f)
		sum += a.Sub(o).Dot(b.Sub(o).Cross(c.Sub(o)))
	}
	return sum / 6
}

// MedianEdge returns the median length of the edges of the faces (the lower
// middle one of an even number), 0 without any. An inner edge counts for each
// of its two faces, so a rim weighs half; on a scan that is below the
// digits that matter. Cost: O(faces) expected, 12 bytes per face.
func (m *Mesh) MedianEdge() float64 {
	if len(m.Tri) == 0 {
		return 0
	}
	d2 := make([]float64, 0, 3*len(m.Tri))
	for f := range FaceID(len(m.Tri)) {
		a, b, c := m.Corners(f)
		d2 = append(d2, a.Dist2(b), b.Dist2(c), c.Dist2(a))
	}
	return math.Sqrt(nth(d2, (len(d2)-1)/2))
}

// nth returns the value that sorting x would put at index k, reordering x. It is
// Hoare's selection with the median of three as pivot; the scan that would make
// it quadratic would have to be built for it, and the value is the same anyhow.
func nth(x []float64, k int) float64 {
	lo, hi := 0, len(x)-1
	for lo < hi {
		p := middle(x[lo], x[lo+(hi-lo)/2], x[hi])
		i, j := lo, hi
		for i <= j {
			for x[i] < p {
				i++
			}
			for x[j] > p {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return x[k]
		}
	}
	return x[k]
}

// middle returns the median of three.
func middle(a, b, c float64) float64 { return max(min(a, b), min(max(a, b), c)) }
