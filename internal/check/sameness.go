package check

import (
	"selvage/dentition"
	"selvage/finding"
	"selvage/prep/reduction"
	"selvage/r3"
	"selvage/surface"
	"selvage/tooth"
)

const (
	// crownSure is the confidence of a label from which a point counts as its tooth's.
	crownSure = 0.5
	// crownPoints is about how many points of all crowns are compared: some hundreds on
	// each tooth of a quadrant.
	crownPoints = 3000
)

// compareMouth holds the crowns that were not prepared against the scan from before.
func (r *restoration) compareMouth(c *scanSet) {
	if c.before == nil || len(r.teeth) == 0 || !r.match.SameMouth.Measured() {
		return
	}
	r.same = reduction.Same(r.crowns(c.working), c.before.Tree, r.match.WorkingFromBefore.Inverse())
}

// crowns returns the teeth of the working scan that are not prepared, in order along
// the arch.
func (r *restoration) crowns(s *Scan) []reduction.Crown {
	labels := dentition.Label(s.Look, r.teeth, r.prepared)
	prepared := map[tooth.Number]bool{r.number: true}
	for _, n := range r.others {
		prepared[n] = true
	}
	slot := map[tooth.Number]int{}
	for _, t := range r.teeth {
		if !prepared[t.Number] {
			slot[t.Number] = len(slot)
		}
	}
	var ids []int
	for v, n := range labels.Tooth {
		if _, ok := slot[n]; ok && labels.Confidence[v] >= crownSure {
			ids = append(ids, v)
		}
	}
	out := make([]reduction.Crown, len(slot))
	normal := surface.SmoothNormals(s.Mesh, 3) // as for the registration of the two
	for i := 0; i < len(ids); i += max(1, len(ids)/crownPoints) {
		v := ids[i]
		if normal[v] == (r3.Vec{}) {
			continue
		}
		k := slot[labels.Tooth[v]]
		out[k].Pts, out[k].Normals = append(out[k].Pts, s.Mesh.Pos[v]), append(out[k].Normals, normal[v])
	}
	return out
}

// sameMouth is what the two scans of the working arch say of the mouth.
func (r *restoration) sameMouth() (finding.Match, bool) {
	m := finding.Match{A: finding.RoleBefore, B: finding.RoleWorking, RMS: r.match.SameMouth, Tooth: r.same.Tooth}
	if r.same.RMS.Measured() {
		m.RMS = r.same.RMS
	}
	return m, m.RMS.Measured()
}
