package dentition

import (
	"math"

	"selvage/mesh"
	"selvage/r3"
)

// heightMesh makes an open scan of a cast as a scanner would see it: the height
// field against the arch's occlusal direction, down to depth mm below the crests
// and within reach mm of the ridge.
type heightMesh struct {
	c    *chart
	keep []bool
}

func newHeightMesh(s Scan, cell, reach, depth float64) *heightMesh {
	h := &heightMesh{c: newChart(s.Mesh, levelFrame(s.Arch.Occlusal), cell)}
	h.keep = make([]bool, len(h.c.z))
	pts := make([]xy, len(s.Arch.Ridge))
	zs := make([]float64, len(pts))
	for i, p := range s.Arch.Ridge {
		q := h.c.frame.Point(p)
		pts[i], zs[i] = xy{q.X, q.Y}, q.Z
	}
	for k, z := range h.c.z {
		i, d := nearestPoint(pts, h.c.middle(k))
		h.keep[k] = d < reach && z > zs[i]-depth
	}
	return h
}

// mill lowers the field to at most cut, given in mm of the occlusal plane.
func (h *heightMesh) mill(cut func(x, y, z float64) float64) {
	for k, z := range h.c.z {
		p := h.c.middle(k)
		h.c.z[k] = min(z, cut(p.x, p.y, z))
	}
}

// mesh returns the field as a triangle mesh in the frame of the scan.
func (h *heightMesh) mesh() *mesh.Mesh {
	c := h.c
	id := make([]mesh.VertexID, len(c.z))
	m := &mesh.Mesh{}
	back := c.frame.Inverse()
	for k := range c.z {
		id[k] = mesh.None
		if h.keep[k] && !math.IsNaN(c.z[k]) {
			p := c.middle(k)
			id[k] = mesh.VertexID(len(m.Pos))
			m.Pos = append(m.Pos, back.Point(r3.V(p.x, p.y, c.z[k])))
		}
	}
	tri := func(a, b, d mesh.VertexID) {
		if a >= 0 && b >= 0 && d >= 0 {
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, b, d})
		}
	}
	for j := range c.ny - 1 {
		for i := range c.nx - 1 {
			k := j*c.nx + i
			tri(id[k], id[k+1], id[k+c.nx+1])
			tri(id[k], id[k+c.nx+1], id[k+c.nx])
		}
	}
	return m
}

// stump mills a preparation of a tooth into the field: 1.8 mm off the top, walls
// that lean by 8° on the outline of the crown less its reduction, a shelf at
// height mm below the new top, neighbours untouched.
func (h *heightMesh) stump(a Arch, t Tooth, reduction, height float64) {
	m := a.index((t.From + t.To) / 2)
	f := h.c.frame
	centre, along, lingual := f.Point(t.Center), f.Dir(a.Along[m]), f.Dir(a.Lingual[m])
	rx, ry := t.Width/2-1.2, t.Depth/2-1.0
	tan := math.Tan(8 * math.Pi / 180)
	h.mill(func(x, y, z float64) float64 {
		d := r3.V(x, y, centre.Z).Sub(centre)
		s, b := d.Dot(along), d.Dot(lingual)
		rho := math.Hypot(s/rx, b/ry) // 1 on the wall at its foot
		r := math.Hypot(s, b)
		out := 0.0 // distance outside of the wall's foot
		if rho > 0 {
			out = r - r/rho
		}
		top := z - reduction
		foot := centre.Z - reduction - height
		switch {
		case out > 1.2 || math.Abs(s) > t.Width/2+0.1:
			return z
		case out > 0:
			return foot
		default:
			return min(top, foot+(-out)/tan)
		}
	})
}
