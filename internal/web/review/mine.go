package review

import (
	"html/template"
	"net/http"
	"slices"

	"selvage/internal/drill"
	"selvage/internal/web/page"
	"selvage/quality"
)

// mineView is what one person sees of their own work, and nobody else.
type mineView struct {
	W      page.Words
	Name   string
	Works  string
	Bar    template.HTML
	Remade string
	Scans  int
	Clean  string
	Took   string
	Growth template.HTML
	Cases  []scanRow
	Drills template.HTML
}

// scanRow is one case that the person scanned.
type scanRow struct {
	Day, Said, Took string
	Checks          int
}

// shownScans is how many of the last cases are listed.
const shownScans = 20

func (s Room) mine(w http.ResponseWriter, r *http.Request) error {
	f, err := s.reader.Facts(r.Context())
	if err != nil {
		return err
	}
	me := s.Person(r)
	v := mineView{W: s.Words(r), Name: me.Name}
	own := slices.DeleteFunc(slices.Clone(f.Works), func(x Work) bool { return !slices.Contains(x.People(), me.ID) })
	g := GroupOf("", own)
	v.Works, v.Bar, v.Remade = Say(v.W, g.Right), Bar(g.Right), Say(v.W, g.Remade)
	v.scans(f.Scanning[me.ID])
	drills, err := s.drills.Of(r.Context(), me.ID)
	if err != nil {
		return err
	}
	v.drills(drills)
	return s.Show(w, r, page.Shown{Name: "quality-mine", Title: v.W.T("mine.title"), View: v})
}

// scans tells how the person's scanning went, case by case.
func (v *mineView) scans(all []Scanning) {
	v.Scans = len(all)
	clean := 0
	var took []float64
	var steps []Step
	for _, x := range all {
		if x.Clean {
			clean++
		}
		took = append(took, x.Took)
		steps = append(steps, Step{Value: x.Share(), Whole: x.Clean})
	}
	v.Clean, v.Took = Say(v.W, quality.NewRate(clean, len(all))), SaySpread(v.W, quality.NewSpread(took), "unit.min")
	if len(all) > 0 {
		v.Growth = GrowthChart(v.W.T("mine.alt", clean, len(all)), v.W.T("mine.x"), v.W.T("mine.y"), steps)
	}
	for _, x := range slices.Backward(all) {
		if len(v.Cases) == shownScans {
			break
		}
		said := v.W.T("mine.clean")
		if !x.Clean {
			said = v.W.T("mine.again")
		}
		row := scanRow{Day: page.Minute(x.Day)[:10], Said: said, Checks: x.Checks, Took: "—"}
		if x.Done {
			row.Took = v.W.T("minutes", oneDigit(v.W, x.Took))
		}
		v.Cases = append(v.Cases, row)
	}
}

// drills tells how training went. It is drawn apart: a training case is no case.
func (v *mineView) drills(all []drill.Drill) {
	var steps []Step
	var last drill.Drill
	for _, d := range all {
		if d.Done() {
			last = d
			steps = append(steps, Step{Value: float64(d.Right()) / float64(len(d.Told)), Whole: d.Right() == len(d.Told)})
		}
	}
	if len(steps) > 0 {
		v.Drills = GrowthChart(v.W.T("mine.drills.alt", len(steps), last.Right(), len(last.Told)), v.W.T("mine.x"), v.W.T("mine.drills.y"), steps)
	}
}
