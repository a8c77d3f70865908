package review

import (
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strconv"
	"sync"
	"time"

	"selvage/internal/drill"
	"selvage/internal/people"
	"selvage/internal/web/page"
	"selvage/quality"
)

// Room is where the practice looks back.
type Room struct {
	page.Site
	reader *Reader
	drills *drill.Book
}

// Add adds the addresses.
func Add(mux *http.ServeMux, site page.Site, drills *drill.Book) {
	s := Room{site, NewReader(site.Desk), drills}
	mux.HandleFunc("GET /quality", s.Page(s.show))
	mux.HandleFunc("GET /quality.csv", s.Page(s.export))
	mux.HandleFunc("GET /quality/mine", s.Page(s.mine))
}

// row is one group or count, in words.
type row struct {
	N                int // in the funnel
	Name             string
	Right, Remade    string
	RightBar, OneBar template.HTML
	Minutes          string
	Stands           string
	Small            bool
}

// part is one table.
type part struct {
	Title, Note string
	Rows        []row
	Open        bool
	Held        bool // its rows are for nobody to see
}

// judgedRow is one finding code with what became of it.
type judgedRow struct {
	Name, Code, False string
	Bar               template.HTML
	Silent, Spoke     int
}

// view is the page.
type view struct {
	W        page.Words
	Persons  bool // who looks may see others' work
	Spans    []page.Choice
	Months   string // that the page looks back; 0: all
	All      Group
	AllText  string
	AllBar   template.HTML
	Remade   string
	Why      []row
	Reasons  []row
	Parts    []part
	Judged   []judgedRow
	Misses   []row // how many remakes, and what became of them
	Times    []row
	Enough   bool // for funnel and sum
	Have     int
	Funnels  []funnelView
	Sum      template.HTML
	SumText  string
	Evidence string
}

// funnelView is one funnel with its list.
type funnelView struct {
	Title string
	Chart template.HTML
	Rows  []row
}

// spans are how far back the page looks, in months; 0: all.
var spans = []int{0, 12, 3}

func (s Room) show(w http.ResponseWriter, r *http.Request) error {
	f, err := s.reader.Facts(r.Context())
	if err != nil {
		return err
	}
	by, err := s.Names(r)
	if err != nil {
		return err
	}
	me := s.Person(r)
	v := view{W: s.Words(r), Persons: me.May(people.Persons)}
	months := span(r)
	for _, m := range spans {
		v.Spans = append(v.Spans, page.Choice{Value: strconv.Itoa(m), Name: v.W.T("span." + strconv.Itoa(m)), Chosen: m == months})
	}
	v.Months = strconv.Itoa(months)
	ever := f.Works
	f = within(f, months, s.Now())
	works := f.Works
	v.All = GroupOf("", works)
	v.AllText, v.AllBar, v.Remade = Say(v.W, v.All.Right), Bar(v.All.Right), Say(v.W, v.All.Remade)
	for _, c := range NotRight(works) {
		v.Why = append(v.Why, row{Name: v.W.T("why." + c.Key), Right: Say(v.W, c.Rate), OneBar: Bar(c.Rate)})
	}
	for _, c := range Reasons(works) {
		v.Reasons = append(v.Reasons, row{Name: v.W.T("fault." + c.Key), Right: Say(v.W, c.Rate), OneBar: Bar(c.Rate)})
	}
	for i, k := range kinds(me, v.Persons, works) {
		p := part{Title: v.W.T("by." + k.name), Open: i == 0, Held: k.held}
		if k.note != "" {
			p.Note = v.W.T(k.note)
		}
		for _, g := range By(works, k.keys) {
			if !k.shows(g.Key) {
				continue
			}
			p.Rows = append(p.Rows, row{
				Name: k.say(v.W, by, g.Key), Right: Say(v.W, g.Right), RightBar: Bar(g.Right), Remade: Say(v.W, g.Remade),
				Minutes: SaySpread(v.W, g.Minutes, "unit.min"), Small: g.Right.Small(),
			})
		}
		v.Parts = append(v.Parts, p)
	}
	v.findings(f)
	v.times(works)
	v.overTime(ever, kinds(me, v.Persons, ever), by)
	return s.Show(w, r, page.Shown{Name: "quality", Title: v.W.T("quality.title"), View: v})
}

// span reads how many months back an address looks.
func span(r *http.Request) int {
	n, _ := strconv.Atoi(r.URL.Query().Get("months")) // anything else is all of it
	if !slices.Contains(spans, n) {
		return 0
	}
	return n
}

// within keeps what was learned of the last months.
func within(f Facts, months int, now time.Time) Facts {
	if months == 0 {
		return f
	}
	return f.Since(now.AddDate(0, -months, 0))
}

// findings tells which findings were right, and which were missing.
func (v *view) findings(f Facts) {
	for _, j := range Judgements(f) {
		v.Judged = append(v.Judged, judgedRow{
			Name: v.W.T("code." + string(j.Code)), Code: string(j.Code), False: Say(v.W, j.False), Bar: Bar(j.False), Silent: j.Silent, Spoke: j.Spoke,
		})
	}
	v.Misses = misses(v.W, f.Misses)
}

// misses counts remakes by what the check had said, and could have. The counts add up.
func misses(w page.Words, all []Miss) []row {
	var spoke, silent, unchecked, untold, other int
	for _, m := range all {
		switch {
		case !m.Checked:
			unchecked++
		case len(m.Seen) > 0:
			spoke++
		case m.Missed():
			silent++
		case m.Ours == Untold:
			untold++
		default:
			other++
		}
	}
	out := []row{{Name: w.T("miss.all"), Right: strconv.Itoa(len(all))}}
	if len(all) == 0 {
		return out
	}
	return append(out,
		row{Name: w.T("miss.spoke"), Right: strconv.Itoa(spoke)},
		row{Name: w.T("miss.silent"), Right: strconv.Itoa(silent)},
		row{Name: w.T("miss.unchecked"), Right: strconv.Itoa(unchecked)},
		row{Name: w.T("miss.untold"), Right: strconv.Itoa(untold)},
		row{Name: w.T("miss.other"), Right: strconv.Itoa(other)},
	)
}

// times tells how long things took.
func (v *view) times(works []Work) {
	for _, t := range []struct {
		key, unit string
		of        func(Work) float64
	}{
		{"to-word", "unit.min", func(w Work) float64 { return w.ToWord }},
		{"away", "unit.days", func(w Work) float64 { return w.Away }},
		{"to-seat", "unit.days", func(w Work) float64 { return w.ToSeat }},
		{"adjusting", "unit.min", func(w Work) float64 { return w.Minutes }},
	} {
		var all []float64
		for _, w := range works {
			all = append(all, t.of(w))
		}
		v.Times = append(v.Times, row{Name: v.W.T("took." + t.key), Right: SaySpread(v.W, quality.NewSpread(all), t.unit)})
	}
}

// usual is how many single crowns are made again while all is well: 3.8 % of 3,750
// [McCracken2019]. WHY no rate of the practice's own: a sum that watches itself against
// itself sees nothing.
const usual = 0.038

// watch is the running sum of remakes: odds twice as high, and one false alarm in about a
// thousand pieces of work.
var watch = sync.OnceValue(func() quality.CUSUM {
	const odds, every = 2, 1000
	return quality.Threshold(usual, odds, every)
})

// overTime draws funnels and the running sum, once there are a hundred.
func (v *view) overTime(works []Work, ks []kind, by func(string) string) {
	v.Have = len(works)
	if v.Enough = len(works) >= quality.Many; !v.Enough {
		return
	}
	all := GroupOf("", works).Right
	for _, k := range ks {
		if !k.funnel {
			continue
		}
		f := funnelView{Title: v.W.T("by." + k.name)}
		groups := By(works, k.keys)
		for i, g := range groups {
			f.Rows = append(f.Rows, row{N: i + 1, Name: k.say(v.W, by, g.Key), Right: Say(v.W, g.Right), Stands: v.W.T("stands." + string(Stands(all, g))), Small: g.Right.Small()})
		}
		f.Chart = FunnelChart(v.W, all, groups)
		v.Funnels = append(v.Funnels, f)
	}
	failed := make([]bool, len(works))
	for i, w := range works {
		failed[i] = w.Remade
	}
	points := watch().Run(failed)
	v.Sum = SumChart(v.W, watch(), points)
	v.SumText = v.W.T("sum.calm")
	for i, p := range points {
		if p.Alarm {
			v.SumText = v.W.T("sum.alarm", i+1, page.Minute(works[i].Day)[:10])
		}
	}
}

// tables are what is exported to who may read it.
func (s Room) export(w http.ResponseWriter, r *http.Request) error {
	f, err := s.reader.Facts(r.Context())
	if err != nil {
		return err
	}
	months, name := span(r), "quality.csv"
	if months > 0 {
		name = fmt.Sprintf("quality-%d-months.csv", months)
	}
	f = within(f, months, s.Now())
	by, err := s.Names(r)
	if err != nil {
		return err
	}
	me, words := s.Person(r), s.Words(r)
	tables := []Table{{Name: "all", Groups: []Group{GroupOf("", f.Works)}}}
	for _, k := range kinds(me, me.May(people.Persons), f.Works) {
		if k.held {
			continue
		}
		t := Table{Name: k.name}
		for _, g := range By(f.Works, k.keys) {
			if !k.shows(g.Key) {
				continue
			}
			if k.name == "person" {
				g.Key = k.say(words, by, g.Key)
			}
			t.Groups = append(t.Groups, g)
		}
		tables = append(tables, t)
	}
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	return WriteCSV(w, tables, map[string][]Count{"not-right": NotRight(f.Works), "remade-for": Reasons(f.Works)}, Judgements(f))
}
