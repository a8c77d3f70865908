package check

import (
	"context"
	"fmt"
	"runtime/debug"
	"slices"
	"sync"

	"selvage/dentition"
	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/limit"
	"selvage/prep"
	"selvage/prep/path"
	"selvage/r3"
	"selvage/tooth"
)

// Outcome is the report of a check and what pictures are drawn from.
type Outcome struct {
	Report    casefile.Report
	Judgement finding.Judgement
	Facts     finding.Facts
	Limits    limit.Table
	Scene     Scene

	Registered []Registered // of the first restoration
}

// Registered is a motion that was found between two scans of a case.
type Registered struct {
	Role   finding.Role // before: of that scan; bite: of the opposing arch as the record has it
	Motion r3.Rigid     // working frame from the scan as filed
	At     r3.Vec       // the middle of the prepared tooth, working frame
	U      float64      // k = 2 of the motion there, mm
}

// Run checks one case.
//
// The order is that of the gum: files and units, then where the teeth are, then
// the margin, the bite, the room, and what is missing. The error is an
// [*InputError] where the input could not be used at all, the context's where it
// was cancelled, and a program's fault otherwise.
//
// Cancelling returns at once, however large the scans are; see [abandonable].
func Run(ctx context.Context, in Input, progress Progress) (Outcome, error) {
	told, shut := untilGone(in.Parts)
	defer shut()
	in.Parts = told
	return abandonable(ctx, progress, func(p Progress) (Outcome, error) { return run(ctx, in, p) })
}

// abandonable runs f, and returns ctx's error as soon as ctx is done, be f done or not.
//
// The analyses are functions of values and know nothing of contexts. The longest takes
// some tenths of a second on 400,000 triangles and seconds on ten million, so asking ctx
// between them, as f does, is not enough to let a caller go within a tenth of a second.
// What f is at when it is abandoned it finishes, and then it stops; it writes to nothing
// that the caller sees, and progress is not told of it any more.
func abandonable(ctx context.Context, progress Progress, f func(Progress) (Outcome, error)) (Outcome, error) {
	if err := ctx.Err(); err != nil {
		return Outcome{}, err
	}
	type result struct {
		out   Outcome
		err   error
		panic any
	}
	var mu sync.Mutex // held while progress is told, so that it is never told after the return
	gone := false
	tell := progress
	if progress != nil {
		tell = func(phase string, done, total int) {
			mu.Lock()
			defer mu.Unlock()
			if !gone {
				progress(phase, done, total)
			}
		}
	}
	ended := make(chan result, 1)
	go func() {
		var r result
		defer func() {
			if p := recover(); p != nil { // the caller's to meet, as if f had been called by it
				r.panic = fmt.Sprintf("%v\n%s", p, debug.Stack())
			}
			ended <- r
		}()
		r.out, r.err = f(tell)
	}()
	select {
	case r := <-ended:
		if r.panic != nil {
			panic(r.panic)
		}
		return r.out, r.err
	case <-ctx.Done():
		mu.Lock()
		gone = true
		mu.Unlock()
		return Outcome{}, ctx.Err()
	}
}

func run(ctx context.Context, in Input, progress Progress) (Outcome, error) {
	table, err := limits(in.Limits)
	if err != nil {
		return Outcome{}, err
	}
	progress.enter(PhaseRead)
	scans, assumed, err := read(ctx, in)
	if err != nil {
		return Outcome{}, err
	}
	in.Files = nil // as large as everything that was made of them; the collector may have them now
	progress.enter(PhaseOrient)
	c := setOf(scans)
	lost := bringAll(scans, c.working)
	for _, s := range lost {
		s.Fault = "cannot be laid on the working scan; check that it shows the same tooth"
	}
	c.faceArches()
	astray := nameTeeth(in.Case, scans)
	teeth := locate(in.Case, c)
	if err := ctx.Err(); err != nil {
		return Outcome{}, err
	}
	listTeeth(c, teeth)
	var tell *teller
	if in.Parts != nil {
		tell = &teller{in: in, table: table, scans: scans, rs: teeth, c: c}
	}
	tell.tell(PartFiles)
	if err := analyse(ctx, progress, table, teeth, c, tell); err != nil {
		return Outcome{}, err
	}
	progress.enter(PhaseJudge)
	facts := assemble(in, scans, teeth, c)
	j := finding.Judge(facts, table)
	out := Outcome{Judgement: j, Facts: facts, Limits: table, Scene: scene(scans, teeth, j), Registered: motions(teeth)}
	out.Report = report(in, table, scans, teeth, facts, j)
	out.Report.Assumed = append(append(append([]string{}, in.Case.Assumed...), in.Assumed...), append(append(assumed, astray...), doubts(teeth)...)...)
	return out, nil
}

// doubts says of which prepared teeth the number was taken from the prescription alone.
func doubts(rs []*restoration) []string {
	var out []string
	for _, r := range rs {
		if d := r.prepared.Doubt; d != 0 {
			out = append(out, fmt.Sprintf("the row of teeth does not tell %v from %v; the prescription's number was taken", r.number, d))
		}
	}
	return out
}

// motions lists how scans were laid on the working scan about the first prepared tooth.
func motions(rs []*restoration) []Registered {
	var out []Registered
	if len(rs) == 0 || !rs[0].seen() {
		return nil
	}
	r := rs[0]
	if r.match.SameMouth.Measured() {
		out = append(out, Registered{finding.RoleBefore, r.match.WorkingFromBefore, r.prepared.Center, r.match.U})
	}
	if r.bite.Shift.Measured() && !r.met {
		out = append(out, Registered{finding.RoleBite, r.bite.Implied, r.prepared.Center, r.bite.Shift.U})
	}
	return out
}

func limits(data []byte) (limit.Table, error) {
	if data == nil {
		return limit.Default(), nil
	}
	t, err := limit.Parse(data)
	if err != nil {
		return limit.Table{}, &InputError{What: "limit table: " + err.Error(), Try: "start from a fresh copy: selvage limits --toml", Err: err}
	}
	return t, nil
}

// read decodes, scales, welds and indexes the scans, and settles their roles. A
// broken preparation or working scan, or none at all, is an error; a broken scan of
// another role is a finding.
func read(ctx context.Context, in Input) ([]*Scan, []string, error) {
	if len(in.Files) == 0 {
		return nil, nil, &InputError{What: "no scan was found", Try: "put the exported STL, PLY or OBJ files into the folder"}
	}
	scans := decode(ctx, in.Files)
	if err := ctx.Err(); err != nil {
		return nil, nil, err
	}
	if err := refuseBroken(scans); err != nil {
		return nil, nil, err
	}
	for i, s := range scans {
		if t := in.Files[i].Tooth; t != "" {
			n, err := tooth.Parse(tooth.FDI, t)
			if err != nil {
				return nil, nil, &InputError{File: s.File, What: err.Error(), Err: err}
			}
			s.Tooth = n
		}
	}
	units := in.Units
	if units == "" {
		units = string(in.Case.Units)
	}
	if err := settleUnits(scans, units); err != nil {
		return nil, nil, err
	}
	open := slices.ContainsFunc(scans, func(s *Scan) bool { return s.Role == "" }) // told from the shapes, all of them
	each(len(scans), func(i int) {
		if s := scans[i]; s.Fault == "" {
			named, _ := in.Case.NamedTeeth(s.File)
			s.build(ctx, s.Role != finding.RoleBite || open || len(named) > 0)
		}
	})
	if err := ctx.Err(); err != nil {
		return nil, nil, err
	}
	if err := refuseBroken(scans); err != nil {
		return nil, nil, err
	}
	var n tooth.Number
	if len(in.Case.Restorations) > 0 {
		n = in.Case.Restorations[0].Tooth.Number()
	}
	assumed, err := settleRoles(scans, n)
	if err != nil {
		return nil, nil, err
	}
	if find(scans, finding.RoleWorking) == nil {
		return nil, nil, &InputError{What: "there is no scan of the arch that holds the prepared tooth", Try: "add the working scan"}
	}
	return scans, assumed, nil
}

func refuseBroken(scans []*Scan) error {
	usable := false
	for _, s := range scans {
		if s.Fault == "" {
			usable = true
			continue
		}
		if s.Role == finding.RoleWorking || s.Role == finding.RolePreparation || s.Role == "" {
			return &InputError{File: s.File, What: s.Fault}
		}
	}
	if !usable {
		return &InputError{File: scans[0].File, What: scans[0].Fault}
	}
	return nil
}

// locate finds the prepared tooth of every restoration.
func locate(c casefile.Case, set *scanSet) []*restoration {
	var out []*restoration
	numbers, alone := make([]tooth.Number, len(c.Restorations)), make([]*dentition.Scan, len(c.Restorations))
	for i, o := range c.Restorations {
		numbers[i] = o.Tooth.Number()
		if p := findFor(set.all, numbers[i]); p != nil {
			alone[i] = &p.Look
		}
	}
	var found []dentition.Prepared
	var upper jaws
	both := [...]func(){
		func() { found = dentition.FindAllPrepared(set.working.Look, numbers, alone) },
		func() { upper = set.whichIsUpper() },
	}
	each(len(both), func(i int) { both[i]() })
	for i, o := range c.Restorations {
		r := &restoration{order: o, number: numbers[i], tried: c.Tried(), prepared: found[i]}
		if alone[i] == nil && (!r.seen() || untouched(r.prepared.Center, set)) {
			r.prepared = byCut(r.prepared, set)
		}
		if !r.seen() {
			r.why = r.prepared.Why
		}
		r.settleTeeth(set.working)
		out = append(out, r)
	}
	pair(out)
	handed(set, out, upper)
	return out
}

// faceArches tells the side of a row that is too straight by the one it bites on, else by
// the record of the bite, where that lies in its frame.
func (set *scanSet) faceArches() {
	w := set.working
	if set.opposing != nil {
		o := &set.opposing.Look
		w.Look.Arch, o.Arch = dentition.FaceArches(w.Look.Arch, o.Arch)
	}
	if set.bite != nil && overlap(set.bite.Mesh, w.Tree, sharedWithin) >= recordedShare {
		w.Look.Arch = dentition.FaceRecord(w.Look.Arch, sampled(set.bite.Mesh, samples))
	}
}

// recordedShare is the share of a record, which shows both jaws, that lies on the working
// scan where the two share a frame: a half, less what only one of them shows.
const recordedShare = 0.25

// jawSure is the confidence from which two arches taken for each other are said so.
const jawSure = 0.7

// jaws is which of the two arches is the upper one, where that can be told.
type jaws struct {
	working, ok bool
	sure        float64
}

func (set *scanSet) whichIsUpper() (j jaws) {
	if set.opposing != nil {
		j.working, j.sure, _, j.ok = dentition.WhichIsUpper(set.working.Look, set.opposing.Look)
	}
	return j
}

// handed tells a mirrored scan and a swapped pair of arches.
func handed(set *scanSet, rs []*restoration, upper jaws) {
	for _, r := range rs {
		if r.prepared.Sighting == dentition.WrongSide && set.working.Flipped {
			set.working.Mirrored = finding.Yes
		}
	}
	if set.opposing == nil || len(rs) == 0 {
		return
	}
	if upper.ok && upper.sure >= jawSure && upper.working != (rs[0].number.Jaw() == tooth.Upper) {
		set.working.OtherJaw = finding.Yes
	}
}

// step is one analysis of a restoration. Other restorations than crowns get the bite
// and what is missing, not the shape of the preparation.
type step struct {
	crownOnly bool
	do        func(r *restoration)
}

// analyse runs the analyses of every restoration, entering each phase once. The margin
// and the bite do not read what the other writes, so they run side by side; room needs
// both, and so does looking for gaps.
func analyse(ctx context.Context, progress Progress, t limit.Table, rs []*restoration, c *scanSet, tell *teller) error {
	for _, r := range rs {
		switch {
		case !r.covered():
			r.notCovered()
		case !r.seen():
			r.clearanceWhy, r.reductionWhy, r.coverageWhy = r.why, r.why, r.why
		}
	}
	margin := []step{
		{true, func(r *restoration) { r.trace(r.tracedOn(c)) }},
		{true, func(r *restoration) { r.measurePreparation(c, t) }},
	}
	bite := []step{
		{false, func(r *restoration) { r.matchBefore(c) }},
		{false, func(r *restoration) { r.compareMouth(c, t) }},
		{false, func(r *restoration) { r.judgeBite(c) }},
	}
	progress.enter(PhaseMargin)
	traced := tell.margin()
	chains := []func(){
		func() {
			takeAll(ctx, margin, rs)
			progress.enter(PhaseBite)
			traced()
		},
		func() { takeAll(ctx, bite, rs) },
	}
	each(len(chains), func(i int) { chains[i]() })
	if err := ctx.Err(); err != nil {
		return err
	}
	tell.tell(PartBite)
	progress.enter(PhaseRoom)
	for _, r := range rs {
		if r.seen() {
			r.roomAndCoverage(ctx, c, t)
		}
	}
	tell.tell(PartGaps)
	tell.tell(PartRoom)
	return ctx.Err()
}

// takeAll takes every step with each restoration in order, until ctx is done.
func takeAll(ctx context.Context, steps []step, rs []*restoration) {
	for _, r := range rs {
		for _, s := range steps {
			if ctx.Err() != nil {
				return
			}
			if r.seen() && (r.covered() || !s.crownOnly) {
				s.do(r)
			}
		}
	}
}

// roomAndCoverage measures room and reduction beside looking for gaps: none reads what
// another writes. The longest come first.
func (r *restoration) roomAndCoverage(ctx context.Context, c *scanSet, t limit.Table) {
	jobs := []step{
		{true, func(r *restoration) { r.measureRoom(c); r.measureMovement(c, t) }},
		{false, func(r *restoration) { r.looks(c) }},
		{true, func(r *restoration) { r.measureNeighbours(c) }},
		{true, func(r *restoration) { r.measureReduction(c, t) }},
		{true, func(r *restoration) { r.shadeUndercut() }},
		{false, func(r *restoration) { r.assessCoverage(c) }},
	}
	each(len(jobs), func(i int) { takeAll(ctx, jobs[i:i+1], []*restoration{r}) })
}

// covered reports whether this version measures the restoration in full.
func (r *restoration) covered() bool {
	return r.order.Kind == "" || r.order.Kind == casefile.Crown
}

// notCovered says so for everything that is measured on crowns alone.
func (r *restoration) notCovered() {
	r.why = fmt.Sprintf("this version measures crowns; for a %s only files, coverage and bite are checked", r.order.Kind)
	r.clearanceWhy, r.reductionWhy = r.why, r.why
	if !r.seen() {
		r.coverageWhy = "no prepared tooth was found, so nothing tells what is needed"
	}
}

// tracedOn is the scan of the tooth alone where there is one, else the working scan.
func (r *restoration) tracedOn(c *scanSet) *Scan {
	if p := findFor(c.all, r.number); p != nil {
		return p
	}
	return c.working
}

// measurePreparation measures what was traced, or traces on the working scan where the
// scan of the tooth alone shows no margin or is older than the last cut.
func (r *restoration) measurePreparation(c *scanSet, t limit.Table) {
	s := r.source
	if s != c.working && (r.margin == nil || outdated(r.prep, r.margin, s, c.working) == s) {
		r.why = ""
		r.trace(c.working)
	}
	r.measurePrep(t)
	r.measurePath(c)
}

// measurePath sweeps the margin's outline past the neighbours, which the working
// scan shows.
func (r *restoration) measurePath(c *scanSet) {
	if r.margin == nil || !r.axis.OK {
		return
	}
	m := r.margin
	if r.source != c.working {
		fan := *m.Fan
		p := prep.CutOut(c.working.Mesh, c.working.Topo, r.prep.Center, r.prep.Axis, r.prep.Mesial, r.prep.Buccal)
		p.Noise, p.Spacing, p.Scan = c.working.noise(), c.working.Spacing, string(finding.RoleWorking)
		fan.Prep = p
		m = &prep.Margin{Points: m.Points, Walls: m.Walls, Fan: &fan}
	}
	r.path = path.Measure(m, r.prepared.Mesially.Present, r.prepared.Distally.Present)
}

// assemble puts the facts of the case together.
func assemble(in Input, scans []*Scan, rs []*restoration, c *scanSet) finding.Facts {
	f := finding.Facts{Stage: in.Stage, Order: orderFacts(in.Case)}
	if f.Stage == "" {
		f.Stage = finding.Final
	}
	for _, s := range scans {
		f.Scans = append(f.Scans, scanFacts(s))
	}
	for _, r := range rs {
		f.Restorations = append(f.Restorations, r.facts(c))
		if m, ok := r.sameMouth(); ok && len(f.Mouth) == 0 {
			f.Mouth = append(f.Mouth, m)
		}
	}
	if len(rs) > 0 {
		f.Bite = rs[0].biteFacts(c, in.Case)
	}
	return f
}
