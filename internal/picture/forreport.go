package picture

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/mesh"
	"selvage/r3"
	"selvage/tooth"
)

// Source is what the pictures of a report need beside the report.
type Source struct {
	Scans  []Scan
	Sites  []Site // one per restoration of the report, in its order
	Tip    Tip
	Ground Ground
	// Number gives the finding i of a restoration (-1: of the whole case) the
	// number that the report gives it, from 1; report.Numbering makes one.
	Number func(restoration, i int) int
	// Most is how many findings get pictures, in the order of their numbers; 0: 6.
	Most int
}

// Scan is one mesh of the case, in mm, already in the working scan's frame.
type Scan struct {
	Role finding.Role
	Mesh *mesh.Mesh
}

// Site says where a restoration lies and how it is turned, in the frame of the
// working scan. What is not known stays zero.
type Site struct {
	Center         r3.Vec // middle of the preparation; used where no margin was traced
	Occlusal       r3.Vec // from tissue to opening
	Mesial, Buccal r3.Vec
	Clearance      []float64 // mm per vertex of the scan named by ClearanceOn, NaN where none
	ClearanceOn    finding.Role
	ClearanceLimit float64 // mm; 0: none
}

// usualMost is how many findings get pictures: more than anyone scans again in
// one sitting.
const usualMost = 6

// ForReport makes the pictures of a report, all in the working scan's frame: for
// each restoration the overview, the clearance map and the bite; for each finding
// with a place the spot and, where the scanner helps, how to hold it. Slots are
// "overview-R", "clearance-R", "bite-R" with the restoration's index R from 0,
// and "finding-N", "hold-N" with the finding's number N. Alt is the finding's own
// sentence. A scan or a place that is missing leaves its picture out.
func ForReport(rep casefile.Report, src Source) []Figure {
	var out []Figure
	for r := range rep.Restorations {
		s, ok := src.stage(rep, r)
		if !ok {
			continue
		}
		out = append(out, drawAll(src.jobs(rep, r, s.prepared()))...)
	}
	return out
}

// job draws one figure; ok is false where there is nothing to draw.
type job func() (f Figure, ok bool)

// drawAll runs the jobs on all cores, each into its own slot, and keeps the order.
func drawAll(jobs []job) []Figure {
	done, ok := make([]Figure, len(jobs)), make([]bool, len(jobs))
	inBands(len(jobs), 1, func(i, _, _ int) { done[i], ok[i] = jobs[i]() })
	var out []Figure
	for i, f := range done {
		if ok[i] {
			out = append(out, f)
		}
	}
	return out
}

// jobs lists the pictures of restoration r.
func (src Source) jobs(rep casefile.Report, r int, s Stage) []job {
	index, fdi := strconv.Itoa(r), rep.Restorations[r].Tooth.FDI
	spots, said := src.spots(rep, r)
	named := func(f Figure, ok bool, slot, alt string) (Figure, bool) {
		f.Slot, f.Alt = slot, alt
		return f, ok
	}
	limit := math.NaN()
	if v := src.Sites[r].ClearanceLimit; v > 0 {
		limit = v
	}
	out := []job{
		func() (Figure, bool) {
			f := s.Overview(append(slices.Clone(spots), least(rep, r, spots)...))
			return named(f, true, "overview-"+index, "Tooth "+fdi+" seen along the insertion axis. "+rep.Line)
		},
		func() (Figure, bool) {
			f, ok := s.ClearanceMap(limit)
			return named(f, ok, "clearance-"+index, clearanceAlt(rep.Restorations[r]))
		},
		func() (Figure, bool) {
			f, ok := s.Bite()
			return named(f, ok, "bite-"+index, "Both arches in the bite that was measured, seen from the cheek at tooth "+fdi+".")
		},
	}
	for i, p := range spots {
		out = append(out, func() (Figure, bool) { return named(s.SpotView(p), true, "finding-"+p.Number, said[i].Text) })
		if said[i].Action == finding.ScanAgain || said[i].Action == finding.OpenMargin {
			out = append(out, func() (Figure, bool) {
				f, ok := s.Hold(p)
				return named(f, ok, "hold-"+p.Number, holdAlt(said[i], s.Tooth))
			})
		}
		if said[i].Code == finding.ClearanceLow {
			out = append(out, func() (Figure, bool) {
				f, ok := s.RoomSection(p)
				return named(f, ok, "section-"+p.Number, "Cut through both arches at this spot. "+said[i].Text)
			})
		}
	}
	return out
}

// least marks the place of the least room, the dentist's one number, unless a
// finding already stands there.
func least(rep casefile.Report, r int, spots []Spot) []Spot {
	m := rep.Restorations[r].Measures.ClearancePatch
	if !m.Measured() || m.At == nil {
		return nil
	}
	at := toWorking(rep, m.Scan).Point(vec(*m.At))
	for _, p := range spots {
		if p.Kind == PinAsk && p.Text != "" && p.At.Dist(at) < samePlace {
			return nil
		}
	}
	return []Spot{{At: at, Kind: PinAsk, Text: valueText(m.Value, &m.U)}}
}

// samePlace in mm: two marks nearer than this would cover each other.
const samePlace = 1.5

func clearanceAlt(r casefile.RestorationReport) string {
	if m := r.Measures.ClearancePatch; m.Measured() {
		return fmt.Sprintf("Room to the opposing teeth over the preparation; least over a patch: %.1f ± %.1f mm.", m.Value, m.U)
	}
	return "Room to the opposing teeth over the preparation."
}

func holdAlt(f casefile.Finding, n tooth.Number) string {
	if f.Approach == nil {
		return "How to hold the scanner tip."
	}
	if f.Approach.TiltDeg < smallTilt*180/math.Pi {
		return "Hold the scanner tip straight over the tooth."
	}
	return fmt.Sprintf("Hold the scanner tip tilted by about %.0f° from straight over the tooth, looking from the %s side.",
		5*math.Round(f.Approach.TiltDeg/5), f.Approach.From.Word(n))
}

// stage sets the scene for restoration r. ok is false without a scan to show.
func (src Source) stage(rep casefile.Report, r int) (s Stage, ok bool) {
	if r >= len(src.Sites) {
		return Stage{}, false
	}
	site, m := src.Sites[r], rep.Restorations[r].Measures
	n, _ := tooth.Parse(tooth.FDI, rep.Restorations[r].Tooth.FDI)
	s = Stage{
		Tooth: n, Center: site.Center, Tip: src.Tip, Ground: src.Ground,
		Occlusal: site.Occlusal, Mesial: site.Mesial, Buccal: site.Buccal,
	}
	role := m.Margin.Scan
	if role == "" {
		role = site.ClearanceOn
	}
	s.Prepared = src.mesh(role)
	if s.Prepared == nil {
		role, s.Prepared = finding.RoleWorking, src.mesh(finding.RoleWorking)
	}
	if s.Prepared == nil {
		role, s.Prepared = finding.RolePreparation, src.mesh(finding.RolePreparation)
	}
	if s.Prepared == nil {
		return Stage{}, false
	}
	if role != finding.RoleWorking {
		s.Around = src.mesh(finding.RoleWorking)
	}
	s.Opposing = src.mesh(finding.RoleOpposing)
	if m.InsertionAxis.Not == "" {
		s.Axis = toWorking(rep, m.InsertionAxis.Scan).Dir(vec(m.InsertionAxis.Value))
	}
	if site.ClearanceOn == role && len(site.Clearance) == len(s.Prepared.Pos) {
		s.Clearance = site.Clearance
	}
	s.setMargin(rep, m.Margin)
	return s, true
}

// setMargin splits the traced margin into stretches and takes the preparation's
// middle and size from it.
func (s *Stage) setMargin(rep casefile.Report, m casefile.Margin) {
	if len(m.Points) < 3 {
		if s.Center == (r3.Vec{}) {
			s.Center = s.Prepared.Box().Center()
		}
		return
	}
	g := toWorking(rep, m.Scan)
	pts := make([]r3.Vec, len(m.Points))
	var mid r3.Vec
	for i, p := range m.Points {
		pts[i] = g.Point(vec(p))
		mid = mid.Add(pts[i])
	}
	s.Center = mid.Scale(1 / float64(len(pts)))
	for _, p := range pts {
		s.Radius = max(s.Radius, p.Sub(s.Center).Reject(s.Axis.UnitOr(s.occlusal())).Norm())
	}
	s.Margin = split(pts, states(m), m.Closed)
}

const (
	// bridged in mm is the longest doubtful stretch that is only drawn dashed,
	// without an arc (methods, §5).
	bridged = 0.5
	// sure is the confidence from which a piece of margin without a stretch of its
	// own is drawn as a full line.
	sure = 0.5
)

// states gives every margin point its state.
func states(m casefile.Margin) []State {
	out := make([]State, len(m.Points))
	for i := range out {
		if i < len(m.Confidence) && m.Confidence[i] < sure {
			out[i] = Bridged
		}
	}
	for _, st := range m.Stretches {
		state := Doubtful
		switch {
		case st.State == finding.NotCaptured:
			state = NotCaptured
		case st.LengthMM <= bridged:
			state = Bridged
		}
		if st.From < 0 || st.To < 0 || st.From >= len(out) || st.To >= len(out) {
			continue // a report from elsewhere: never index by what it claims
		}
		for i := st.From; ; i = (i + 1) % len(out) {
			out[i] = state
			if i == st.To {
				break
			}
		}
	}
	return out
}

// split cuts a curve into runs of one state; neighbouring runs share their ends.
func split(pts []r3.Vec, st []State, closed bool) []Stretch {
	n := len(pts)
	start := 0
	if closed { // begin where the state changes, so that no run is cut in two
		for i := range n {
			if st[i] != st[(i+n-1)%n] {
				start = i
				break
			}
		}
	}
	var out []Stretch
	for k := 0; k < n; {
		i := (start + k) % n
		run := Stretch{State: st[i]}
		for k < n && st[(start+k)%n] == run.State {
			run.Points = append(run.Points, pts[(start+k)%n])
			k++
		}
		if k < n || closed {
			run.Points = append(run.Points, pts[(start+k)%n])
		}
		out = append(out, run)
	}
	return out
}

// spots lists the findings of restoration r that have a place and a number within
// Most, by number, and beside each the finding itself. Findings of the whole case
// go with the first restoration.
func (src Source) spots(rep casefile.Report, r int) (spots []Spot, said []casefile.Finding) {
	most := src.Most
	if most == 0 {
		most = usualMost
	}
	type item struct {
		n int
		f casefile.Finding
	}
	var items []item
	take := func(restoration int, list []casefile.Finding) {
		for i, f := range list {
			n := i + 1
			if src.Number != nil {
				n = src.Number(restoration, i)
			}
			if f.At != nil && n >= 1 && n <= most {
				items = append(items, item{n, f})
			}
		}
	}
	take(r, rep.Restorations[r].Findings)
	if r == 0 {
		take(-1, rep.Findings)
	}
	for n := 1; n <= most; n++ {
		for _, it := range items {
			if it.n == n {
				spots = append(spots, spotOf(rep, it.f, n))
				said = append(said, it.f)
			}
		}
	}
	return spots, said
}

func spotOf(rep casefile.Report, f casefile.Finding, n int) Spot {
	g := toWorking(rep, f.Scan)
	p := Spot{Number: strconv.Itoa(n), At: g.Point(vec(*f.At)), Opposing: f.Scan == finding.RoleOpposing}
	if f.Normal != nil {
		p.Normal = g.Dir(vec(*f.Normal))
	}
	if f.Approach != nil {
		p.Approach = g.Dir(vec(f.Approach.Direction))
		p.Tilt = f.Approach.TiltDeg * math.Pi / 180
	}
	switch f.Action {
	case finding.ScanAgain, finding.OpenMargin:
		p.Kind = PinScan
	case finding.AskDentist:
		p.Kind = PinAsk
	default:
		p.Kind = PinNote
	}
	if f.Measured != nil && f.Unit == "mm" {
		p.Extent = math.Abs(*f.Measured)
		if f.Action == finding.AskDentist {
			p.Text = valueText(*f.Measured, f.U)
		}
	}
	return p
}

func valueText(v float64, u *float64) string {
	if u == nil {
		return fmt.Sprintf("%.1f mm", v)
	}
	if *u < 0.1 {
		return fmt.Sprintf("%.2f ± %.2f mm", v, *u)
	}
	return fmt.Sprintf("%.1f ± %.1f mm", v, *u)
}

// mesh returns the scan of a role, nil if there is none.
func (src Source) mesh(role finding.Role) *mesh.Mesh {
	for _, s := range src.Scans {
		if s.Role == role && s.Mesh != nil {
			return s.Mesh
		}
	}
	return nil
}

// toWorking is the motion that the report gives for a scan, or none.
func toWorking(rep casefile.Report, role finding.Role) r3.Rigid {
	for _, s := range rep.Scans {
		if s.Role == role && s.ToWorking != nil {
			m := s.ToWorking.Rows
			return r3.Rigid{
				R: r3.Mat{r3.V(m[0][0], m[0][1], m[0][2]), r3.V(m[1][0], m[1][1], m[1][2]), r3.V(m[2][0], m[2][1], m[2][2])},
				T: r3.V(m[0][3], m[1][3], m[2][3]),
			}
		}
	}
	return r3.Still()
}

func vec(a [3]float64) r3.Vec { return r3.V(a[0], a[1], a[2]) }
