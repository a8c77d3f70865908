package phantom

import (
	"math"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
)

// Hold is one way of holding the scanner over the working arch: what an assistant
// who scans a place again does with it.
type Hold struct {
	Target    r3.Vec  // what the middle of the window looks at, in the frame of the working file
	Direction r3.Vec  // from the target to the window, unit
	Distance  float64 // of the window's eye from the target, mm; 0 for the usual 12
}

// Nobody holds still: while a place is scanned the window wanders by about wander, mm,
// and tilts by about sway.
const (
	wander = 1.5
	sway   = 4 * math.Pi / 180
)

// Again returns the true surface of the working arch in the frame of its file, the
// surface that a perfect scan would show, and for every vertex whether the virtual
// scanner sees it when held in each of the given ways in turn: in at least two of the
// nine poses that a hand passes through about each one it means, by the same rules as
// in the scans themselves (field, depth, shadow, grazing light).
//
// Both are nil where the case has no working scan, or its file has another unit or
// handedness than the mouth. Cost: up to 9 rays a hold and vertex within the field.
func (c *Case) Again(holds ...Hold) (m *mesh.Mesh, sees []bool) {
	if c.exact == nil {
		return nil, nil
	}
	sees = make([]bool, len(c.exact.Pos))
	n, block := normals(c.exact), bvh.Build(c.exact)
	for _, h := range holds {
		for v, ok := range seen(c.exact, n, block, h.poses()) {
			sees[v] = sees[v] || ok
		}
	}
	return c.exact, sees
}

// poses are those that a hand passes through about the one it means.
func (h Hold) poses() []pose {
	d := h.Direction.UnitOr(r3.V(0, 0, 1))
	far := h.Distance
	if far <= 0 {
		far = workingDistance
	}
	e1, e2 := d.Basis()
	var out []pose
	for i := -1.0; i <= 1; i++ {
		for j := -1.0; j <= 1; j++ {
			to := d.AddScaled(i*math.Tan(sway), e1).AddScaled(j*math.Tan(sway), e2).UnitOr(d)
			at := h.Target.AddScaled(i*wander, e2).AddScaled(j*wander, e1)
			out = append(out, pose{at.AddScaled(far, to), to.Neg()})
		}
	}
	return out
}
