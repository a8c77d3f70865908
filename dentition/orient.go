package dentition

import (
	"fmt"
	"math"

	"selvage/mesh"
	"selvage/r3"
)

// Limits of telling how a scan is held.
const (
	// closedShare is the share of the surface's area that its vector area must
	// reach for an open scan (methods, winding). A hemisphere has a half, a row of
	// teeth with its gum a third, a closed cast nothing but its holes.
	closedShare = 0.1
	// minRim is the length in mm below which a boundary loop is a pinhole and no
	// rim: half the way round the smallest tooth.
	minRim = 10.0
	// rimClear is the height in mm by which the surface must on average stand
	// above its rim for the winding to be told with full confidence: half the
	// height of a crown.
	rimClear = 4.0
	// baseCone is how far from each other, in radians, the normals of a base may
	// lie: plaster is trimmed flat, grooves in it are not counted.
	baseCone = 12 * math.Pi / 180
	// baseDepth is how far behind the support plane a base may lie, mm: the depth
	// of retention grooves.
	baseDepth = 3.0
)

// Orient tells the occlusal direction and the winding of a scan.
//
// An open scan is a shell: its vector area depends on the rim alone and points to
// where the scanner was if the winding is sound, else into the tissue. Which of
// the two it is the shape decides: teeth stand above the rim of their gum, seen
// from the scanner, so the mean height of the surface over its rim along the
// occlusal direction is positive,
//
//	occlusal = ± A/|A|  with  ± such that  mean((p - rim) · occlusal) > 0.
//
// A closed cast (vector area under a tenth of the area) takes its winding from the
// sign of its volume; its occlusal direction is opposite the largest flat face
// with the whole cast on one side.
//
// Within about 15° for open scans, as the rim runs; [FindArch] refines it by the
// crests of the teeth. An empty mesh, or one whose direction is undefined, has the
// zero direction and confidence 0. Cost: O(faces).
func Orient(m *mesh.Mesh, topo *mesh.Topology) Orientation {
	area, va := m.Area(), m.VectorArea()
	if area == 0 {
		return Orientation{Why: "the scan has no surface"}
	}
	if va.Norm() < closedShare*area {
		return orientCast(m)
	}
	u := va.UnitOr(r3.Vec{})
	rise, ok := aboveRim(m, topo, u)
	if !ok {
		return Orientation{Occlusal: u, Confidence: 0.3, Why: "the open side of the scan; it has no rim to compare with"}
	}
	o := Orientation{Occlusal: u, Confidence: min(1, math.Abs(rise)/rimClear)}
	o.Why = fmt.Sprintf("the open side of the scan; the surface stands %.1f mm above its rim", rise)
	if rise < 0 {
		o.Occlusal, o.InsideOut = u.Neg(), true
		o.Why = fmt.Sprintf("the triangles wind inside out: seen from their front the surface lies %.1f mm below its rim", -rise)
	}
	return o
}

// aboveRim returns the mean height of the surface (by area) over that of its rim
// (by length) along u. ok is false without a rim.
func aboveRim(m *mesh.Mesh, topo *mesh.Topology, u r3.Vec) (rise float64, ok bool) {
	var rim, length float64
	for _, loop := range topo.Loops() {
		var l, h float64
		for _, e := range loop {
			a, b := m.Pos[m.From(e)], m.Pos[m.To(e)]
			d := a.Dist(b)
			l += d
			h += d * a.Add(b).Scale(0.5).Dot(u)
		}
		if l >= minRim {
			rim += h
			length += l
		}
	}
	if length == 0 {
		return 0, false
	}
	var surf, area float64
	for f := range mesh.FaceID(len(m.Tri)) {
		a := m.AreaVector(f).Norm()
		area += a
		surf += a * m.Centroid(f).Dot(u)
	}
	return surf/area - rim/length, true
}

// orientCast tells the direction of a closed cast.
func orientCast(m *mesh.Mesh) Orientation {
	o := Orientation{Closed: true}
	sign := 1.0
	if m.SignedVolume() < 0 {
		sign, o.InsideOut = -1, true
	}
	base, share := flatBase(m, sign)
	if share == 0 {
		o.Why = "a closed surface without a flat base"
		return o
	}
	o.Occlusal = base.Neg()
	o.Confidence = share
	o.Why = "a closed cast; occlusal is opposite its flat base"
	if o.InsideOut {
		o.Why += "; the triangles wind inside out"
	}
	return o
}

// flatBase returns the outward normal of the largest flat face on the hull of a
// closed mesh, and how clearly it is the largest: 1 - second/first, where the
// second is at least 30° away. sign is -1 if the mesh winds inside out. The share
// is 0 if nothing flat is there.
func flatBase(m *mesh.Mesh, sign float64) (normal r3.Vec, share float64) {
	type face struct{ n, c r3.Vec } // n is the area vector
	faces := make([]face, 0, len(m.Tri))
	for f := range mesh.FaceID(len(m.Tri)) {
		faces = append(faces, face{m.AreaVector(f).Scale(sign), m.Centroid(f)})
	}
	// flat returns the area vectors' sum of the faces that lie in a face of the
	// hull with normal d.
	flat := func(d r3.Vec) r3.Vec {
		top := math.Inf(-1)
		for _, p := range m.Pos {
			top = max(top, p.Dot(d))
		}
		var sum r3.Vec
		for _, f := range faces {
			if f.c.Dot(d) > top-baseDepth-0.1*f.n.Norm() && f.n.Dot(d) > math.Cos(baseCone)*f.n.Norm() {
				sum = sum.Add(f.n)
			}
		}
		return sum
	}
	dirs := sphere(baseDirections)
	sums := make([]r3.Vec, len(dirs))
	best := 0
	for i, d := range dirs {
		sums[i] = flat(d)
		if sums[i].Norm2() > sums[best].Norm2() {
			best = i
		}
	}
	if sums[best].Norm2() == 0 {
		return r3.Vec{}, 0
	}
	n := sums[best].UnitOr(dirs[best])
	for range 3 {
		n = flat(n).UnitOr(n)
	}
	second := 0.0
	for i, d := range dirs {
		if d.Angle(n) > 30*math.Pi/180 {
			second = max(second, sums[i].Norm())
		}
	}
	return n, max(0, 1-second/flat(n).Norm())
}

// baseDirections is the number of directions tried for a base: 200 lie 14° apart,
// so one is always within baseCone of a normal.
const baseDirections = 200

// sphere returns n directions spread evenly (a Fibonacci lattice).
func sphere(n int) []r3.Vec {
	golden := math.Pi * (3 - math.Sqrt(5))
	out := make([]r3.Vec, n)
	for i := range out {
		z := 1 - (2*float64(i)+1)/float64(n)
		s, c := math.Sincos(golden * float64(i))
		r := math.Sqrt(1 - z*z)
		out[i] = r3.V(r*c, r*s, z)
	}
	return out
}
