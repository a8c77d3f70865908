package check

import (
	"math"

	"selvage/coverage"
	"selvage/curve"
	"selvage/finding"
	"selvage/limit"
	"selvage/measure"
	"selvage/occlusion"
	"selvage/prep/reduction"
	"selvage/r3"
	"selvage/register"
)

func (s *Scan) forOcclusion() occlusion.Scan {
	return occlusion.Scan{Mesh: s.Mesh, Tree: s.Tree, Normals: s.Look.Normals, Sigma: s.noise(), Spacing: s.Spacing}
}

// toothRadius is how far across the axis the prepared tooth reaches, gum included.
func (r *restoration) toothRadius() float64 {
	if r.prepared.Radius > 0 {
		return r.prepared.Radius
	}
	return 6 // half of a molar and its sulcus
}

// judgeBite says what is known of the bite. Where the two arches do not meet at
// all as filed and a record shows how they do, the opposing arch is brought there
// by the record.
func (r *restoration) judgeBite(c *scanSet) {
	in := occlusion.Input{
		Working: c.working.forOcclusion(), Up: r.prepared.Occlusal,
		Tooth: r.prepared.Center, Radius: r.toothRadius(), Neighbours: r.neighbours(), Buccal: r.prepared.Buccal,
		Others: r.triedTeeth(),
	}
	if c.opposing == nil {
		return
	}
	in.Opposing = c.opposing.forOcclusion()
	if c.bite != nil {
		b := c.bite.forOcclusion()
		in.Record = &b
	}
	if c.before != nil && r.match.SameMouth.Measured() && !r.stranger {
		in.Before = &occlusion.Before{Scan: c.before.forOcclusion(), WorkingFromBefore: r.match.WorkingFromBefore, U: math.Hypot(r.match.U, r.changed())}
	}
	r.bite = occlusion.Judge(in)
	if !r.bite.Gap.Measured() && r.bite.Shift.Measured() && !c.opposing.Moved {
		c.opposing.move(r.bite.Implied, r.bite.Shift.U)
		r.met = true
		in.Opposing = c.opposing.forOcclusion()
		r.bite = occlusion.Judge(in)
	}
}

// measureRoom measures clearance, where there is an opposing arch and a margin to
// bound the preparation.
func (r *restoration) measureRoom(c *scanSet) {
	switch {
	case c.opposing == nil:
		r.clearanceWhy = "no scan of the opposing arch"
	case r.margin == nil:
		r.clearanceWhy = orText(r.why, "no margin was traced")
	}
	if r.clearanceWhy != "" {
		return
	}
	r.clearance = occlusion.Clear(r.clearanceInput(c))
	if !r.clearance.PatchMin.Measured() {
		r.clearanceWhy = r.clearance.PatchMin.Why
	}
}

// gumBeside is how far beyond the sulcus the gum is pushed aside by retraction, mm:
// what lies within it has changed since the scan from before.
const gumBeside = 2.0

// matchBefore lays the scan from before on the working scan.
func (r *restoration) matchBefore(c *scanSet) {
	if c.before == nil {
		r.reductionWhy = "no scan from before the preparation"
		return
	}
	start := r3.Still()
	var err error
	r.match, err = reduction.Register(c.working.Tree, c.before.Tree, c.before.Look.Normals, r.prepared.Center, r.prepared.Occlusal, r.toothRadius()+gumBeside, start)
	if err == nil && r.match.SameMouth.Measured() && r.match.SameMouth.V < sameFrame {
		return
	}
	best, bestErr := r.match, err
	for _, p := range register.Coarse(c.before.Mesh, c.working.Mesh) {
		m, err := reduction.Register(c.working.Tree, c.before.Tree, c.before.Look.Normals, r.prepared.Center, r.prepared.Occlusal, r.toothRadius()+gumBeside, p.DstFromSrc)
		if err == nil && m.SameMouth.Measured() && (bestErr != nil || !best.SameMouth.Measured() || m.SameMouth.V < best.SameMouth.V) {
			best, bestErr = m, nil
		}
	}
	r.match = best
	if bestErr != nil {
		r.reductionWhy = "the scan from before cannot be laid on the working scan"
	}
}

// sameFrame is the distance of unchanged teeth above which another start than the
// files' own frame is tried: three times what one mouth shows in a year (0.05-0.18
// mm, job.md [S115]) is still under the 0.45 that tells mouths apart.
const sameFrame = 0.45

func (r *restoration) measureReduction(c *scanSet, t limit.Table) {
	switch {
	case r.reductionWhy != "":
	case r.margin == nil:
		r.reductionWhy = orText(r.why, "no margin was traced")
	case r.otherMouth(t):
		r.reductionWhy = "the scan from before shows another mouth"
	}
	if r.reductionWhy != "" {
		return
	}
	r.reduction = reduction.Measure(reduction.Input{
		Prep: r.source.Mesh, Topo: r.source.Topo, Margin: curve.Polyline{Pts: r.margin.Curve(), Closed: true}, Axis: r.direction(),
		Before: c.before.Tree, WorkingFromBefore: r.match.WorkingFromBefore, Holding: r.holding(), Front: r.number.Front(), Scan: string(r.source.Role),
		Options: reduction.Options{
			PrepSigma: r.source.noise(), BeforeSigma: c.before.noise(), RegisterU: math.Hypot(math.Hypot(r.match.U, r.changed()), r.source.MovedU),
		},
	})
}

// otherMouth reports whether the scan from before is proven to show another mouth, by the
// limits by which the finding is raised. What was cut of a tooth cannot be told from
// another person's.
func (r *restoration) otherMouth(t limit.Table) bool {
	m, ok := r.sameMouth()
	if !ok {
		return false
	}
	v, id := m.Tooth, limit.SameTooth
	if !v.Measured() {
		v, id = m.RMS, limit.SameMouth
	}
	row, ok := t.Find(id, limit.Selector{})
	return ok && row.Flag.Set && v.V-v.U > row.Flag.V
}

// changed is what the teeth that should not have changed differ by, mm, beyond what
// scanning one mouth twice leaves: a scan from before that fits no better says no better
// what was cut.
func (r *restoration) changed() float64 {
	const sameScans = 0.05 // noise, facets and gum of two scans of one day
	if v := r.match.SameMouth; v.Measured() {
		return max(v.V-sameScans, 0)
	}
	return 0
}

// assessCoverage looks for what is missing.
func (r *restoration) assessCoverage(c *scanSet) {
	if !r.seen() {
		r.coverageWhy = r.prepared.Why
		return
	}
	r.coverage = coverage.Assess(r.coverageInput(c))
	r.coverageWhy = r.coverage.Why
}

func (r *restoration) coverageInput(c *scanSet) coverage.Input {
	in := coverage.Input{
		Number: r.number, Working: c.working.forCoverage(), Arch: c.working.Look.Arch, Prepared: r.prepared,
		Teeth: r.teeth, Others: r.others,
	}
	if p := findFor(c.all, r.number); p != nil {
		in.Preparation = p.forCoverage()
	}
	if c.opposing != nil {
		in.Opposing = c.opposing.forCoverage()
	}
	if r.axis.OK {
		in.Axis = r.axis.Axis
	}
	if r.margin != nil {
		in.Margin = r.margin.Curve()
	}
	return in
}

func (s *Scan) forCoverage() *coverage.Surface {
	return &coverage.Surface{Role: string(s.Role), Mesh: s.Mesh, Topo: s.Topo, Tree: s.Tree}
}

// scanSet holds the scans of a case by role.
type scanSet struct {
	all                             []*Scan
	working, opposing, bite, before *Scan

	quick bool // how to hold the scanner is not asked for
}

func setOf(scans []*Scan) *scanSet {
	return &scanSet{
		all: scans, working: find(scans, finding.RoleWorking), opposing: find(scans, finding.RoleOpposing),
		bite: find(scans, finding.RoleBite), before: find(scans, finding.RoleBefore),
	}
}

// orWhy returns v, or a value that was not measured for the given reason where v
// has neither number nor reason.
func orWhy(v measure.Value, why string) measure.Value {
	if v.Measured() || v.Why != "" {
		return v
	}
	if why == "" {
		why = "not measured in this version"
	}
	return measure.Not(why)
}
