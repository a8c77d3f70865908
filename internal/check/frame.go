package check

import (
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
	normals := surface.VertexNormals(s.Mesh)
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
	s.Tree = bvh.Build(s.Mesh)
	s.Look = dentition.Look(s.File, s.Mesh)
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
