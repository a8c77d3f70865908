package review

import (
	"encoding/csv"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/seating"
	"selvage/internal/work"
	"selvage/quality"
)

func at(day, hour int) time.Time { return time.Date(2026, 5, day, hour, 0, 0, 0, time.Local) }

// TestRightTheFirstTime holds the definition against cases made for each of its clauses.
func TestRightTheFirstTime(t *testing.T) {
	scan := func(role finding.Role, day int) work.Scan { return work.Scan{Role: role, Added: at(day, 9)} }
	seat := func(o seating.Outcome, minutes, day int) seating.Seated {
		return seating.Seated{Outcome: o, Minutes: minutes, Seen: seating.FaultMargin, At: at(day, 10)}
	}
	for _, tt := range []struct {
		say    string
		scans  []work.Scan
		visits []seating.Seated
		why    []Why
	}{
		{"as made", []work.Scan{scan(finding.RoleWorking, 4)}, []seating.Seated{seat(seating.AsMade, 5, 18)}, nil},
		{"twice on one day", []work.Scan{scan(finding.RoleWorking, 4), scan(finding.RoleWorking, 4)}, []seating.Seated{seat(seating.AsMade, 0, 18)}, nil},
		{"the other jaw and the tooth before it was cut, on a day before", []work.Scan{scan(finding.RoleOpposing, 1), scan(finding.RoleBefore, 1), scan(finding.RoleWorking, 4)}, []seating.Seated{seat(seating.AsMade, 0, 18)}, nil},
		{"the crown", []work.Scan{scan(finding.RoleWorking, 4), scan(finding.RoleDesign, 11)}, []seating.Seated{seat(seating.AsMade, 0, 18)}, nil},
		{"a return visit to scan", []work.Scan{scan(finding.RoleWorking, 4), scan(finding.RoleWorking, 6)}, []seating.Seated{seat(seating.AsMade, 0, 18)}, []Why{ScannedAgain}},
		{"scanned again after it was seated", []work.Scan{scan(finding.RoleWorking, 4), scan(finding.RoleWorking, 20)}, []seating.Seated{seat(seating.AsMade, 0, 18)}, nil},
		{"six minutes", []work.Scan{scan(finding.RoleWorking, 4)}, []seating.Seated{seat(seating.Adjusted, 6, 18)}, []Why{Adjusted}},
		{"made again", []work.Scan{scan(finding.RoleWorking, 4)}, []seating.Seated{seat(seating.Remake, 0, 18)}, []Why{Remade}},
		{"made again later", []work.Scan{scan(finding.RoleWorking, 4)}, []seating.Seated{seat(seating.AsMade, 0, 18), seat(seating.Remake, 0, 28)}, []Why{Remade}},
	} {
		w, ok := workOf(nil, work.Case{ID: "x", Scans: tt.scans, Visits: tt.visits})
		if !ok || !slices.Equal(w.Why, tt.why) || w.Right != (len(tt.why) == 0) {
			t.Errorf("%s: right %v, because %v; want %v", tt.say, w.Right, w.Why, tt.why)
		}
	}
	if _, ok := workOf(nil, work.Case{ID: "x"}); ok {
		t.Error("work counts that nobody tried in")
	}
}

func TestTimes(t *testing.T) {
	c := work.Case{
		Scans:   []work.Scan{{Role: finding.RoleWorking, Added: at(4, 9)}},
		Decided: &work.Signed[work.Decision]{What: work.Decision{Choice: work.Accept}, At: at(4, 9).Add(12 * time.Minute)},
		Sent:    []work.Sending{{At: at(4, 17)}}, Back: []work.Returned{{Day: "2026-05-13", At: at(14, 8)}},
		Visits: []seating.Seated{{Outcome: seating.Remake, At: at(18, 9)}, {Outcome: seating.AsMade, At: at(29, 9)}},
	}
	word, away, seat := times(c)
	if word != 12 || away != 9 || seat != 25 {
		t.Errorf("%g min, %g days, %g days; want 12, 9, 25", word, away, seat)
	}
	c.Decided.At, c.Back, c.Visits = at(5, 9), nil, c.Visits[:1]
	word, away, seat = times(c)
	if !math.IsNaN(word) || !math.IsNaN(away) || !math.IsNaN(seat) {
		t.Errorf("what cannot be told is told: %g, %g, %g", word, away, seat)
	}
}

// TestScanningOf: the checks count until one asks for no scan; those before the gum was
// opened do not.
func TestScanningOf(t *testing.T) {
	check := func(stage finding.Stage, v finding.Verdict, minute int) work.Check {
		return work.Check{State: work.Done, Stage: stage, Verdict: v, Ended: at(4, 9).Add(time.Duration(minute) * time.Minute)}
	}
	c := work.Case{Scans: []work.Scan{{Added: at(4, 9)}}, Checks: []work.Check{
		check(finding.Preparation, finding.AskDentistFirst, 1), check(finding.Final, finding.ScanAgainNow, 3), check(finding.Final, finding.AskDentistFirst, 7), check(finding.Final, finding.ScanAgainNow, 9),
	}}
	s, ok := scanningOf(c)
	if !ok || s.Clean || s.Checks != 2 || s.Took != 7 || s.Share() != 0.5 {
		t.Errorf("%+v", s)
	}
	if s, _ := scanningOf(work.Case{Scans: c.Scans, Checks: c.Checks[:2]}); s.Share() != 0 || !math.IsNaN(s.Took) {
		t.Errorf("every check asked for a scan: %+v", s)
	}
	if s, _ := scanningOf(work.Case{Scans: c.Scans, Checks: c.Checks[2:]}); s.Share() != 1 || !s.Clean || s.Took != 7 {
		t.Errorf("the first check asked for none: %+v", s)
	}
	if _, ok := scanningOf(work.Case{Scans: c.Scans, Checks: c.Checks[:1]}); ok {
		t.Error("a case without a full check counts")
	}
}

// TestMisses: a finding is silent on a remake only where there was a check, it belongs to
// what was seen, and a party named what the files show.
func TestMisses(t *testing.T) {
	rep := casefile.Report{Restorations: []casefile.RestorationReport{{Findings: []casefile.Finding{{Code: finding.MarginUnclear, Action: finding.ScanAgain}}}}}
	miss := func(seen []seating.Fault, origins ...seating.Origin) Miss {
		w := Work{Seen: seen, Origins: origins}
		m := Miss{Ours: ours(w)}
		m.hold(w, rep)
		return m
	}
	spoke := miss([]seating.Fault{seating.FaultMargin}, seating.OfScan)
	if spoke.Missed() || !slices.Equal(spoke.Seen, []finding.Code{finding.MarginUnclear}) || !slices.Contains(spoke.Silent, finding.MarginNotCaptured) {
		t.Errorf("it spoke: %+v", spoke)
	}
	silent := miss([]seating.Fault{seating.FaultOcclusion}, seating.OfMaking, seating.OfBite)
	if !silent.Missed() || !slices.Contains(silent.Silent, finding.BiteDiffers) {
		t.Errorf("it was silent: %+v", silent)
	}
	for say, m := range map[string]Miss{
		"the laboratory's":        miss([]seating.Fault{seating.FaultOcclusion}, seating.OfMaking),
		"nobody can tell":         miss([]seating.Fault{seating.FaultOcclusion}, seating.CannotTell),
		"nobody said":             miss([]seating.Fault{seating.FaultOcclusion}),
		"no finding is of shades": miss([]seating.Fault{seating.FaultShade}, seating.OfScan),
		"there was no check":      {Ours: InFiles, Silent: []finding.Code{finding.Undercut}},
	} {
		if m.Missed() {
			t.Errorf("%s, and it counts as missed: %+v", say, m)
		}
	}
	all := []Miss{spoke, silent, {}, {Checked: true, Ours: Untold}, {Checked: true, Ours: Elsewhere}, {Checked: true, Ours: InFiles}}
	for i, r := range misses(english{}, all) {
		if want := []string{"6", "1", "1", "1", "1", "2"}[i]; r.Right != want { // what is counted of them adds up
			t.Errorf("%s: %s, want %s", r.Name, r.Right, want)
		}
	}
	f := Facts{Misses: []Miss{spoke, silent}}
	for i := range 4 {
		f.Taps = append(f.Taps, Tap{Code: finding.MarginUnclear, Right: i > 0}, Tap{Code: finding.Undercut, Right: true})
	}
	got := map[finding.Code]Judged{}
	for _, j := range Judgements(f) {
		got[j.Code] = j
	}
	if j := got[finding.MarginUnclear]; j.False.Hits != 1 || j.False.Of != 4 || j.Spoke != 1 || j.Silent != 0 {
		t.Errorf("margin-unclear: %+v", j)
	}
	if j := got[finding.BiteDiffers]; j.False.Of != 0 || j.Silent != 1 {
		t.Errorf("bite-differs: %+v", j)
	}
	if _, ok := got[finding.MarginNotCaptured]; ok {
		t.Error("margin-not-captured is blamed for a remake of which its sibling spoke")
	}
}

// TestFamiliesAreOfFindings: every family is of codes that exist, each once.
func TestFamiliesAreOfFindings(t *testing.T) {
	for _, f := range seating.Faults() {
		codes := Family(f)
		for i, c := range codes {
			if _, ok := c.Usual(); !ok || slices.Contains(codes[:i], c) {
				t.Errorf("%s: %s is no code, or named twice", f, c)
			}
		}
	}
}

// TestGroups: the largest comes first, and work of two people counts for both.
func TestGroups(t *testing.T) {
	works := []Work{
		{Right: true, Laboratory: "b", Brought: []string{"p1"}, Decided: []string{"p2", "p1"}},
		{Right: true, Laboratory: "b"},
		{Remade: true, Seen: []seating.Fault{seating.FaultMargin, seating.FaultFit}, Why: []Why{Remade}, Laboratory: "a", Decided: []string{"p2"}},
	}
	labs := By(works, one(func(w Work) string { return w.Laboratory }))
	if labs[0].Key != "b" || labs[0].Right.Hits != 2 || labs[1].Remade.Hits != 1 {
		t.Errorf("by laboratory: %+v", labs)
	}
	people := By(works, Work.People)
	if len(people) != 3 || people[0].Key != "p2" || people[0].Right.Of != 2 {
		t.Errorf("by person: %+v", people)
	}
	if r := Reasons(works); len(r) != 2 || r[0].Rate.Hits != 1 || r[0].Rate.Of != 3 {
		t.Errorf("reasons: %+v", r)
	}
	if n := NotRight(works); n[0].Rate.Hits != 1 || n[1].Rate.Hits != 0 {
		t.Errorf("not right: %+v", n)
	}
}

// TestSince: work counts from the day on which it was first tried in, a dentist's word from
// the day on which it was said.
func TestSince(t *testing.T) {
	f := Facts{
		Works:  []Work{{Case: "a", Day: at(3, 9)}, {Case: "b", Day: at(5, 9)}},
		Taps:   []Tap{{Code: finding.Undercut, Day: at(3, 9)}, {Code: finding.Undercut, Right: true, Day: at(5, 9)}},
		Misses: []Miss{{Case: "a", Day: at(3, 9)}, {Case: "b", Day: at(5, 9)}},
	}
	got := f.Since(at(4, 0))
	if len(got.Works) != 1 || len(got.Taps) != 1 || len(got.Misses) != 1 || got.Works[0].Case != "b" || !got.Taps[0].Right || got.Misses[0].Case != "b" {
		t.Errorf("%+v", got)
	}
	if len(f.Works) != 2 || f.Works[0].Case != "a" {
		t.Error("what it was taken from changed")
	}
}

// english is a catalogue that shows keys and what is filled in.
type english struct{}

func (english) T(key string, args ...any) string {
	for _, a := range args {
		key += "|" + strings.TrimSpace(strings.Trim(strings.ReplaceAll(stringOf(a), "\n", " "), " "))
	}
	return key
}
func (english) Language() string { return "en" }

func stringOf(a any) string {
	switch v := a.(type) {
	case string:
		return v
	case int:
		return string(rune('0'+v/100%10)) + string(rune('0'+v/10%10)) + string(rune('0'+v%10))
	}
	return "?"
}

// TestNoBareShare: of few, no share is said; of some, no point; of many, both.
func TestNoBareShare(t *testing.T) {
	for _, tt := range []struct {
		hits, of int
		want     string
	}{
		{0, 0, "rate.none"}, {3, 9, "rate.few|003|009"}, {8, 10, "rate.some|008|010|49|94"}, {80, 100, "rate.many|080|100|80|71|87"},
	} {
		if got := Say(english{}, quality.NewRate(tt.hits, tt.of)); got != tt.want {
			t.Errorf("%d of %d: %s, want %s", tt.hits, tt.of, got, tt.want)
		}
	}
	if got := SaySpread(english{}, quality.NewSpread([]float64{1, 2, 3}), "unit.min"); got != "spread.few|003" {
		t.Errorf("of three: %s", got)
	}
	if s := string(Bar(quality.NewRate(3, 9))); strings.Contains(s, "span") {
		t.Error("an interval of nine is drawn")
	}
	if s := string(Bar(quality.NewRate(30, 60))); !strings.Contains(s, "span") || strings.Contains(s, "tick") {
		t.Error("of sixty the interval alone is drawn")
	}
}

// TestCSVIsPlain: it holds counts and intervals, and no name that a sheet runs.
func TestCSVIsPlain(t *testing.T) {
	var b strings.Builder
	works := []Work{{Right: true, Laboratory: "=cmd()"}}
	err := WriteCSV(&b, []Table{{Name: "laboratory", Groups: By(works, one(func(w Work) string { return w.Laboratory }))}},
		map[string][]Count{"not-right": NotRight(works)}, []Judged{{Code: finding.Undercut, False: quality.NewRate(1, 2), Silent: 3}})
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(b.String()))
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if rows[1][1] != "'=cmd()" || rows[1][2] != "1" || rows[1][3] != "1" || rows[1][4] != "0.207" {
		t.Errorf("%v", rows[1])
	}
	if !strings.Contains(b.String(), "finding-silent-and-remade,undercut,,3") {
		t.Errorf("%s", b.String())
	}
}

// TestChartsHoldWhatTheyShow reads numbers back from the drawings.
func TestChartsHoldWhatTheyShow(t *testing.T) {
	all := quality.NewRate(160, 200)
	groups := []Group{{Key: "a", Right: quality.NewRate(100, 110)}, {Key: "b", Right: quality.NewRate(40, 80)}, {Key: "c", Right: quality.NewRate(5, 6)}}
	s := string(FunnelChart(english{}, all, groups))
	if strings.Count(s, `class="dot"`)+strings.Count(s, `class="ring"`) != 2 || !strings.Contains(s, "rotate(45)") {
		t.Errorf("two groups are drawn, the bad one as a diamond:\n%s", s)
	}
	for right, want := range map[int]Stand{30: FarDown, 70: Down, 80: Within, 90: Up, 100: FarUp} {
		if got := Stands(all, Group{Right: quality.NewRate(right, 100)}); got != want {
			t.Errorf("%d of 100 where all have 80 %%: %s, want %s", right, got, want)
		}
	}
	if got := Stands(all, groups[2]); got != Few {
		t.Errorf("five of six: %s", got)
	}
	for _, share := range []quality.Rate{quality.NewRate(120, 120), quality.NewRate(0, 120)} {
		s = string(FunnelChart(english{}, share, []Group{{Key: "a", Right: share}}))
		if strings.Contains(s, "NaN") || strings.Contains(s, "Inf") || strings.Count(s, `class="tick-y"`) < 2 {
			t.Errorf("where all end alike:\n%s", s)
		}
	}
	c := quality.CUSUM{P0: 0.1, Ratio: 2, H: 1}
	s = string(SumChart(english{}, c, c.Run([]bool{true, true, false})))
	if strings.Count(s, "<polygon") != 1 || !strings.Contains(s, "sum.alt|003|001") {
		t.Errorf("one alarm:\n%s", s)
	}
	s = string(GrowthChart("x<y", "a", "b", make([]Step, 7)))
	if strings.Count(s, "<circle") != 7 || strings.Contains(s, "x<y") {
		t.Errorf("seven points:\n%s", s)
	}
}
