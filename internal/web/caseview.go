package web

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strconv"

	"selvage/finding"
	"selvage/internal/check"
	"selvage/internal/news"
	"selvage/internal/packed"
	"selvage/internal/report"
	"selvage/internal/schedule"
	"selvage/internal/since"
	"selvage/internal/web/way"
	"selvage/internal/work"
	"selvage/limit"
	"selvage/tooth"
)

// caseView is the page of a case: its check.
type caseView struct {
	frame
	Case      work.Case
	Tooth     string // in words and in all three systems; empty until it is known
	Gone      string // that its files were deleted
	Step      string // deleted, files, tooth, busy, answer, refused, failed, cancelled, ready
	Check     work.Check
	Stage     finding.Stage
	Parts     report.Parts
	Phases    []phase
	Look      string // address of the first look at the scan of the prepared tooth
	LookName  string
	Early     bool          // a phase has found something already
	Since     *since.Counts // what changed since the check before; nil: there was none of this stage
	Scans     []scanRow
	Left      []scanRow // left out
	Roles     []choice
	Quadrants []choice
	Quadrant  int // chosen; 0: none yet
	Teeth     []choice
	Material  choice
	Materials []choice
	View      string // of the still that was asked for
	Change    string // what is being changed: tooth or material; empty: nothing
	Signed    *signature
	Query     *way.Query // of the laboratory, that waits; nil: none
	Clock     schedule.Clock
	Cords     int // still in
	Caps      int
	Sulcus    schedule.Sulcus
	Reasons   []string
	Views     []choice // of the model, where it cannot be drawn
	Still     string   // the address of the one that is shown
}

// choice is a button or an option.
type choice struct {
	Value, Name, More string
	Chosen            bool
}

// phase is one part of a running check.
type phase struct {
	Name  string
	State string // done, now, next
	Found []string
	Seen  []string // numbers
	Quiet bool     // it was looked at, and nothing was found
}

// scanRow is one file.
type scanRow struct {
	ID, Name, Size, Role string
	Roles                []choice
}

type signature struct{ By, At string }

// showCase shows the check of a case.
func (s *Server) showCase(w http.ResponseWriter, r *http.Request) error {
	id := r.PathValue("case")
	c, err := s.desk.Case(r.Context(), id)
	if err != nil {
		return err
	}
	if err := s.desk.View(r.Context(), actor(r), id, "check"); err != nil {
		return err
	}
	v, err := s.caseView(r, c)
	if err != nil {
		return err
	}
	return s.render(w, http.StatusOK, "case", v)
}

func (s *Server) caseView(r *http.Request, c work.Case) (caseView, error) {
	v := caseView{frame: s.frame(r), Case: c, Stage: finding.Final, Change: r.URL.Query().Get("change"), View: r.URL.Query().Get("view")}
	v.Tooth = toothWords(v.W, c)
	for _, sc := range c.Scans {
		row := v.row(sc)
		if sc.Out {
			v.Left = append(v.Left, row)
		} else {
			v.Scans = append(v.Scans, row)
		}
	}
	k, current := c.Current()
	switch gone := c.Keeping.Deleted; {
	case gone != nil:
		by, err := s.names(r)
		if err != nil {
			return v, err
		}
		v.Step, v.Gone = "deleted", v.W.T("old.gone", gone.At.Local().Format("2006-01-02"), by(gone.What), by(gone.By))
	case len(c.Used()) == 0:
		v.Step = "files"
	case v.Tooth == "" || v.Change == "tooth":
		v.Step = "tooth"
		v.pad(r)
	case v.Change == "material":
		v.Step = "material"
	case !current:
		v.Step = "ready"
	default:
		v.Check, v.Stage = k, k.Stage
		v.Step = map[work.State]string{work.Waiting: "busy", work.Done: "answer", work.Refused: "refused", work.Failed: "failed", work.Cancelled: "cancelled"}[k.State]
	}
	if sc, ok := largest(c); ok && sc.Size <= lookMost && (v.Step == "tooth" || v.Step == "busy") {
		v.Look, v.LookName = join("case", c.ID, "scan", sc.ID, "look"), sc.Name
	}
	v.materials(c)
	v.Clock = c.Clock()
	v.Cords, v.Caps = v.Clock.Left()
	v.Title = v.W.T("step." + v.Step)
	switch v.Step {
	case "busy":
		v.Phases = s.phases(v.W, c.ID)
		v.Early = slices.ContainsFunc(v.Phases, func(p phase) bool { return len(p.Found) > 0 })
	case "answer":
		if err := s.answer(r.Context(), &v); err != nil {
			return v, err
		}
	}
	var err error
	if v.Query, err = s.queryOf(r, c); err != nil {
		return v, err
	}
	if sig, ok := c.Signature(); ok {
		by, err := s.names(r)
		if err != nil {
			return v, err
		}
		v.Signed = &signature{By: by(sig.By), At: minuteText(sig.At)}
	}
	return v, nil
}

// lookMost is the size, bytes, of the largest scan that is drawn as it came: larger ones
// would take the time and room that their check needs.
const lookMost = 120e6

// largest is the scan that most likely shows the prepared tooth: the one that is said to,
// else the largest.
func largest(c work.Case) (best work.Scan, ok bool) {
	for _, sc := range c.Used() {
		better := sc.Size > best.Size && best.Role != finding.RoleWorking || sc.Role == finding.RoleWorking
		if better {
			best, ok = sc, true
		}
	}
	return best, ok
}

// answer fills in the parts of the report of the check that is shown.
func (s *Server) answer(ctx context.Context, v *caseView) error {
	in, scenes, err := s.reportOf(ctx, v.W, v.Case, v.Check)
	if err != nil {
		return err
	}
	if before, ok := v.Case.Before(v.Check); ok {
		res, rep, err := s.desk.Result(ctx, before)
		if err != nil {
			return err
		}
		in.Since = since.Compare(res.In(v.W.Lang, rep), in.Report)
		n := since.Count(in.Since)
		v.Since = &n
	}
	v.Parts, err = report.Pieces(in)
	if err != nil {
		return err
	}
	v.views(scenes)
	v.Title = v.Parts.Title
	return nil
}

// reportWords is the report's catalogue in the reader's language.
func reportWords(w Words) *report.Words { return report.In(w.Lang) }

// views names the stills of the first scene.
func (v *caseView) views(scenes []packed.Scene) {
	if len(scenes) == 0 || len(scenes[0].Views) == 0 {
		return
	}
	scene := scenes[0]
	say(v.W, &scene)
	asked := or(v.View, scene.Views[0].Name)
	for _, o := range scene.Views {
		v.Views = append(v.Views, choice{Value: o.Name, Name: o.Word, Chosen: o.Name == asked})
	}
	v.Still = join("case", v.Case.ID, "check", v.Check.ID, "still") + "?view=" + escaped(asked)
}

// reportOf returns what the report of a finished check is made from, with its pictures
// served from here.
func (s *Server) reportOf(ctx context.Context, w Words, c work.Case, k work.Check) (report.Input, []packed.Scene, error) {
	res, rep, err := s.desk.Result(ctx, k)
	if err != nil {
		return report.Input{}, nil, err
	}
	order := c.Order
	in := report.Input{Report: res.In(w.Lang, rep), Case: &order, Facing: res.Facing, Words: reportWords(w), Elsewhere: true}
	if t := s.desk.Limits(); t.Version() == rep.Program.Limits { // else the check was held against an earlier table
		in.Limits = &t
	}
	for _, f := range res.Figures {
		f.Alt = in.Words.Alt(f.Slot, f.Alt, in.Report.Line)
		in.Figures = append(in.Figures, report.Figure{
			Slot: f.Slot, MIME: f.MIME, W: f.W, H: f.H, Alt: f.Alt,
			URL: join("case", c.ID, "check", k.ID, "figure", f.Slot),
		})
	}
	return in, res.Scenes, nil
}

// phases says how far a check is, with what each phase found. The verdict waits for the
// end.
func (s *Server) phases(w Words, id string) []phase {
	n, ok := s.desk.Progress(id)
	at := -1
	if ok {
		at = n.Done
	}
	var out []phase
	for i, p := range check.Phases() {
		f := phase{Name: w.T("phase." + p), State: "next"}
		switch {
		case i < at:
			f.State = "done"
		case i == at:
			f.State = "now"
		}
		known := 0
		for _, part := range n.Parts {
			if phaseOf[part.Name] == p {
				f.add(w, part)
				known++
			}
		}
		f.Quiet = known > 0 && len(f.Found)+len(f.Seen) == 0
		out = append(out, f)
	}
	return out
}

// phaseOf says under which phase a part stands.
var phaseOf = map[string]string{
	check.PartFiles: check.PhaseOrient, check.PartMargin: check.PhaseMargin, check.PartBite: check.PhaseBite,
	check.PartGaps: check.PhaseRoom, check.PartRoom: check.PhaseRoom,
}

// foundMost is how many findings stand under a phase: the worst ones.
const foundMost = 2

// add puts what a part found into words; notes wait for the report.
func (f *phase) add(w Words, p news.Part) {
	more := 0
	for _, g := range p.Found {
		switch {
		case g.Action == finding.Note:
		case len(f.Found) < foundMost:
			f.Found = append(f.Found, g.Texts[w.Lang])
		default:
			more++
		}
	}
	if more > 0 {
		f.Found = append(f.Found, w.T("phase.more", more))
	}
	words := reportWords(w)
	for _, m := range p.Seen {
		f.Seen = append(f.Seen, words.T("m."+m.Name)+" "+words.Number(m.Value))
	}
}

func (v *caseView) row(sc work.Scan) scanRow {
	row := scanRow{ID: sc.ID, Name: sc.Name, Size: megabytes(sc.Size), Role: v.W.T("role." + string(sc.Role))}
	row.Roles = append(row.Roles, choice{Value: "", Name: v.W.T("role."), Chosen: sc.Role == ""})
	for _, r := range roles {
		row.Roles = append(row.Roles, choice{Value: string(r), Name: v.W.T("role." + string(r)), Chosen: sc.Role == r})
	}
	return row
}

func megabytes(n int64) string { return fmt.Sprintf("%.1f MB", float64(n)/1e6) }

// pad fills in the two steps of naming a tooth: which quarter of the mouth, then which
// tooth from the middle backwards.
func (v *caseView) pad(r *http.Request) {
	q, _ := strconv.Atoi(r.URL.Query().Get("quarter"))
	if q >= 1 && q <= 4 {
		v.Quadrant = q
	}
	for _, i := range []int{1, 2, 4, 3} { // as one sees the patient: right side left
		v.Quadrants = append(v.Quadrants, choice{Value: strconv.Itoa(i), Name: v.W.T("quarter." + strconv.Itoa(i)), Chosen: i == v.Quadrant})
	}
	if v.Quadrant == 0 {
		return
	}
	for i := 1; i <= 8; i++ {
		n := tooth.Number(v.Quadrant*10 + i)
		v.Teeth = append(v.Teeth, choice{Value: n.String(), Name: v.W.T("tooth." + strconv.Itoa(i)), More: n.String() + " · #" + strconv.Itoa(n.Universal())})
	}
}

func (v *caseView) materials(c work.Case) {
	var chosen limit.Material
	if len(c.Order.Restorations) > 0 {
		chosen = c.Order.Restorations[0].Material
	}
	for _, m := range append(limit.Materials(), "") {
		ch := choice{Value: string(m), Name: v.W.T("material." + string(m)), Chosen: m == chosen}
		v.Materials = append(v.Materials, ch)
		if ch.Chosen {
			v.Material = ch
		}
	}
}

// toothWords names the prepared tooth in words and in the three systems.
func toothWords(w Words, c work.Case) string {
	if len(c.Order.Restorations) == 0 {
		return ""
	}
	return fullTooth(w, c.Order.Restorations[0].Tooth.Number())
}

// fullTooth names a tooth in words and in the three systems; nothing for none.
func fullTooth(w Words, n tooth.Number) string {
	if !n.Valid() {
		return ""
	}
	return fmt.Sprintf("%s · %s (#%s, %s)", w.T("tooth.in", w.T("quarter."+strconv.Itoa(int(n)/10)), w.T("tooth."+strconv.Itoa(int(n)%10))),
		n, strconv.Itoa(n.Universal()), n.Palmer())
}
