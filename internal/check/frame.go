package check

import (
	"math"

	"selvage/bvh"
	"selvage/dentition"
	"selvage/finding"
	"selvage/mesh"
	"selvage/r3"
	"selvage/register"
	"selvage/surface"
)

// Scans of one case normally share a frame. A preparation scan lies in the working
// scan's where most of its points are within sharedWithin of it.
const (
	sharedWithin = 0.3
	sharedShare  = 0.5
	samples      = 2000
)

// sampled returns about n vertices of m, evenly by index.
func sampled(m *mesh.Mesh, n int) []r3.Vec {
	step := max(len(m.Pos)/n, 1)
	var out []r3.Vec
	for i := 0; i < len(m.Pos); i += step {
		out = append(out, m.Pos[i])
	}
	return out
}

// overlap returns the share of a scan's points within d of a tree.
func overlap(m *mesh.Mesh, t *bvh.Tree, d float64) float64 {
	pts := sampled(m, samples)
	hit := 0
	for _, n := range t.NearestAll(pts, d) {
		if n.Face != mesh.None {
			hit++
		}
	}
	return float64(hit) / float64(len(pts))
}

// bring moves a scan of the working arch into the working scan's frame where it is
// not in it already. It reports false where no motion lays it there.
func bring(s, working *Scan) bool {
	if overlap(s.Mesh, working.Tree, sharedWithin) >= sharedShare {
		return true
	}
	normals := s.Look.Normals
	step := max(len(s.Mesh.Pos)/samples, 1)
	var pts, nrm []r3.Vec
	for i := 0; i < len(s.Mesh.Pos); i += step {
		pts, nrm = append(pts, s.Mesh.Pos[i]), append(nrm, normals[i])
	}
	for _, start := range register.Coarse(s.Mesh, working.Mesh) {
		r, err := register.Align(pts, nrm, working.Tree, start.DstFromSrc, register.Options{})
		if err != nil {
			continue
		}
		moved := s.Mesh.Moved(r.DstFromSrc)
		if overlap(moved, working.Tree, sharedWithin) < sharedShare {
			continue
		}
		s.move(r.DstFromSrc, r.ShiftU(moved.Box().Center()))
		return true
	}
	return false
}

// move takes the scan into the working frame and remembers the motion, so that the
// report can give its places in its own frame.
func (s *Scan) move(g r3.Rigid, u float64) {
	s.Mesh = s.Mesh.Moved(g)
	s.Topo = mesh.NewTopology(s.Mesh)
	s.Tree = bvh.BuildOn(s.Topo)
	s.Look = dentition.Look(s.File, s.Mesh)
	s.Look.Normals = surface.VertexNormals(s.Mesh)
	s.Moved, s.MovedU = true, u
	s.ToWorking = g.After(s.ToWorking)
}

// own returns a point of the working frame in the scan's own.
func (s *Scan) own(p r3.Vec) r3.Vec {
	if !s.Moved {
		return p
	}
	return s.ToWorking.Inverse().Point(p)
}

// ownDir does the same for a direction.
func (s *Scan) ownDir(d r3.Vec) r3.Vec {
	if !s.Moved {
		return d
	}
	return s.ToWorking.Inverse().Dir(d)
}

// bringAll moves what lies in another frame. Scans that cannot be laid on the
// working scan are named.
func bringAll(scans []*Scan, working *Scan) (lost []*Scan) {
	for _, s := range scans {
		if s.Fault == "" && s.Role == finding.RolePreparation && !bring(s, working) {
			lost = append(lost, s)
		}
	}
	return lost
}

// What was cut between two scans of an arch.
const (
	cutLeast = 0.7 // mm along the occlusal direction: more than retraction lowers gum, less than any reduction
	cutMost  = 8.0 // mm: a whole crown
	cutArea  = 6.0 // mm² of it: half of the top of the smallest stump
	// sameArch is the share of the scan from before that must lie on the working scan: of
	// a short row the tooth and the gum about it are a half, on a stranger's a quarter does.
	sameArch = 0.35
	cutWide  = 18.0 // mm: wider than a molar over its corners more than one tooth was cut or lost
)

// cutAway returns the part of the working scan that lies lower than the scan from before
// as if it were a scan of the prepared tooth: where a tooth was cut. It is nil where the
// two share no frame, or nothing that could be one tooth was taken off.
//
// It tells a stump that does not look like one: which a tooth leans over, whose wall is
// low, or whose scan has holes.
func cutAway(before, working *Scan) *dentition.Scan {
	if before == nil || overlap(before.Mesh, working.Tree, sharedWithin) < sameArch {
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

// What a tooth that was cut has left of its old surface: margin to margin a crown takes
// off all of it within untouchedReach of the middle of the top, by more than
// untouchedWithin, which two scans of one surface in one frame differ by.
const (
	untouchedReach  = 2.5 // mm
	untouchedWithin = 0.2 // mm
	untouchedShare  = 0.7
)

// untouched reports whether what stands at a place of the working scan stood there in the
// scan from before: whatever its shape, it is not the tooth that was prepared since. Where
// there is no such scan in the same frame nothing is known, and it is not.
func untouched(at r3.Vec, set *scanSet) bool {
	before, working := set.before, set.working
	if before == nil || overlap(before.Mesh, working.Tree, sharedWithin) < sameArch {
		return false
	}
	same, all := 0, 0
	for _, p := range working.Mesh.Pos {
		if p.Dist2(at) > untouchedReach*untouchedReach {
			continue
		}
		all++
		if _, ok := before.Tree.Nearest(p, untouchedWithin); ok {
			same++
		}
	}
	return all > 0 && float64(same) >= untouchedShare*float64(all)
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
