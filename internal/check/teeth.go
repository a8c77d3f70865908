package check

import (
	"fmt"

	"selvage/dentition"
	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/limit"
	"selvage/prep/reduction"
	"selvage/r3"
	"selvage/surface"
	"selvage/tooth"
)

// nameTeeth gives the arches the names that a person gave their teeth, and says which
// lie on no tooth.
func nameTeeth(c casefile.Case, scans []*Scan) (astray []string) {
	for _, s := range scans {
		if s.Fault != "" {
			continue
		}
		numbers, at := c.NamedTeeth(s.File)
		for i, n := range numbers {
			p := s.ToWorking.Point(r3.V(at[i][0], at[i][1], at[i][2]))
			if !s.Look.Arch.Name(n, p) {
				astray = append(astray, fmt.Sprintf("the point that names tooth %v in %s lies on no tooth and is left out", n, s.File))
			}
		}
	}
	return astray
}

// numberSure is the confidence from which a tooth's number is said; below it the list
// says that it may be another.
const numberSure = 0.7

// listTeeth lists the teeth of every scan that shows one arch, in the frame of its file.
func listTeeth(c *scanSet, rs []*restoration) {
	if len(rs) == 0 {
		return
	}
	first := rs[0]
	jaw := first.number.Jaw()
	jobs := []func(){
		func() {
			teeth := first.teeth
			if !first.seen() {
				teeth = dentition.FindTeeth(c.working.Look.Arch, jaw, dentition.Anchor{})
			}
			c.working.list(teeth)
			for i, t := range c.working.Teeth {
				for _, r := range rs {
					c.working.Teeth[i].Prepared = t.Prepared || r.seen() && r.number.String() == t.Tooth
				}
			}
		},
		func() {
			if c.opposing != nil {
				other := tooth.Upper
				if jaw == tooth.Upper {
					other = tooth.Lower
				}
				c.opposing.list(dentition.FindTeeth(c.opposing.Look.Arch, other, dentition.Anchor{}))
			}
		},
		func() {
			if c.before == nil {
				return
			}
			var anchor dentition.Anchor
			a := c.before.Look.Arch
			if first.seen() && overlap(c.before.Mesh, c.working.Tree, sharedWithin) >= sharedShare {
				anchor = dentition.Anchor{Number: first.number, Place: a.Place(first.prepared.Center), Whole: true}
			}
			c.before.list(dentition.FindTeeth(a, jaw, anchor))
		},
	}
	each(len(jobs), func(i int) { jobs[i]() })
}

// list writes the teeth of a scan down.
func (s *Scan) list(teeth []dentition.Tooth) {
	for _, t := range teeth {
		s.Teeth = append(s.Teeth, casefile.FoundTooth{
			Tooth: t.Number.String(), At: s.own(t.Center).Array(), WidthMM: t.Width,
			Confidence: t.Confidence, Unsure: t.Confidence < numberSure, ByHand: t.ByHand,
		})
	}
}

const (
	// crownSure is the confidence of a label from which a point counts as its tooth's.
	crownSure = 0.5
	// crownPoints is about how many points of all crowns are compared: some hundreds on
	// each tooth of a quadrant.
	crownPoints = 3000
)

// compareMouth holds the crowns that were not prepared against the scan from before. On
// one of another mouth nothing is measured: not what was cut, not what a neighbour lost,
// not how the jaws met.
func (r *restoration) compareMouth(c *scanSet, t limit.Table) {
	if c.before == nil || !r.match.SameMouth.Measured() {
		return
	}
	if len(r.teeth) > 0 {
		r.same = reduction.Same(r.crowns(c.working), c.before.Tree, r.match.WorkingFromBefore.Inverse())
	}
	if m, ok := r.sameMouth(); ok && apart(m, t) {
		r.stranger, r.reductionWhy = true, "the scan from before is not of this mouth"
	}
}

// apart reports whether two scans are proven to be of two mouths.
func apart(m finding.Match, t limit.Table) bool {
	value, id := m.Tooth, limit.SameTooth
	if !value.Measured() {
		value, id = m.RMS, limit.SameMouth
	}
	row, ok := t.Find(id, limit.Selector{})
	return ok && row.Flag.Set && value.V-value.U > row.Flag.V
}

// crowns returns the teeth of the working scan that are not prepared, in order along
// the arch.
func (r *restoration) crowns(s *Scan) []reduction.Crown {
	labels := dentition.LabelUpTo(crownSure, s.Look, r.teeth, r.prepared)
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
	normal := surface.SmoothNormalsOf(s.Mesh, s.Look.Normals, 3) // as for the registration of the two
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
