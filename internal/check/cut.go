package check

import (
	"math"

	"selvage/dentition"
	"selvage/mesh"
	"selvage/r3"
)

// What was cut between two scans of an arch.
const (
	cutLeast = 0.7  // mm along the occlusal direction: more than retraction lowers gum, less than any reduction
	cutMost  = 8.0  // mm: a whole crown
	cutArea  = 6.0  // mm² of it: half of the top of the smallest stump
	cutWide  = 18.0 // mm: wider than a molar over its corners more than one tooth was cut or lost
)

// cutAway returns the part of the working scan that lies lower than the scan from before
// as if it were a scan of the prepared tooth: where a tooth was cut. It is nil where the
// two share no frame, or nothing that could be one tooth was taken off.
//
// It tells a stump that does not look like one: which a tooth leans over, whose wall is
// low, or whose scan has holes.
func cutAway(before, working *Scan) *dentition.Scan {
	if before == nil || overlap(before.Mesh, working.Tree, sharedWithin) < sharedShare {
		return nil
	}
	up := working.Look.Arch.Occlusal
	if up == (r3.Vec{}) {
		return nil
	}
	m := working.Mesh
	cut := make([]bool, len(m.Pos))
	for v, p := range m.Pos {
		top := p.AddScaled(cutMost, up)
		h, ok := before.Tree.Ray(top, up.Neg(), 0, cutMost-cutLeast)
		// What another part of the working scan hides from above stands under a bulge.
		cut[v] = ok && h.T > 0 && !working.Tree.Occluded(top, up.Neg(), 0, cutMost-0.05)
	}
	part, _, _ := mesh.Submesh(m, func(f mesh.FaceID) bool {
		t := m.Tri[f]
		return cut[t[0]] && cut[t[1]] && cut[t[2]]
	})
	labels, n := mesh.NewTopology(part).Components()
	area := make([]float64, n)
	best := 0
	for f := range part.Tri {
		l := int(labels[f])
		if area[l] += part.AreaVector(mesh.FaceID(f)).Norm(); area[l] > area[best] {
			best = l
		}
	}
	if n == 0 || area[best] < cutArea {
		return nil
	}
	patch, _, _ := mesh.Submesh(part, func(f mesh.FaceID) bool { return int(labels[f]) == best })
	if across(patch, up) > cutWide {
		return nil
	}
	return &dentition.Scan{Name: working.File, Mesh: patch}
}

// across returns the widest way across a mesh, square to up, over 16 directions.
func across(m *mesh.Mesh, up r3.Vec) float64 {
	const directions = 16
	e1, e2 := up.Basis()
	most := 0.0
	for k := range directions {
		s, c := math.Sincos(math.Pi * float64(k) / directions)
		d := e1.Scale(c).AddScaled(s, e2)
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range m.Pos {
			x := p.Dot(d)
			lo, hi = min(lo, x), max(hi, x)
		}
		most = max(most, hi-lo)
	}
	return most
}

// byCut looks for the prepared tooth where the arch was cut since the scan from before,
// and returns it if it stands there at the place of its number, else what was found by
// its shape.
func byCut(p dentition.Prepared, set *scanSet) dentition.Prepared {
	if set.working.Look.Arch.Extent == dentition.NoArch {
		return p
	}
	if cut := cutAway(set.before, set.working); cut != nil {
		if q := dentition.FindPrepared(set.working.Look, p.Number, cut); q.Sighting == dentition.Seen {
			return q
		}
	}
	return p
}
