package web

import (
	"maps"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"selvage/finding"
	"selvage/internal/check"
	"selvage/internal/drill"
	"selvage/internal/mill"
	"selvage/internal/people"
	"selvage/internal/photo"
	"selvage/internal/prescription"
	"selvage/internal/query"
	"selvage/internal/schedule"
	"selvage/internal/seating"
	"selvage/internal/sheet"
	"selvage/internal/track"
	"selvage/internal/turnaround"
	"selvage/internal/web/review"
	"selvage/internal/work"
	"selvage/limit"
)

// TestCatalogues checks that every language says everything that the others say, with
// as many things filled in, and that every key that a page names is there.
func TestCatalogues(t *testing.T) {
	first, err := load(languages[0])
	if err != nil {
		t.Fatal(err)
	}
	for _, lang := range languages[1:] {
		w, err := load(lang)
		if err != nil {
			t.Fatal(err)
		}
		for k, s := range first.text {
			o, ok := w.text[k]
			if !ok || o == "" {
				t.Errorf("%s lacks %q", lang, k)
			}
			if verbs(o) != verbs(s) {
				t.Errorf("%s: %q fills in %q, %s %q", lang, k, verbs(o), languages[0], verbs(s))
			}
		}
		if len(w.text) != len(first.text) {
			t.Errorf("%s has %d texts, %s %d", lang, len(w.text), languages[0], len(first.text))
		}
	}
	for _, p := range begun(t) {
		if !slices.ContainsFunc(slices.Collect(maps.Keys(first.text)), func(k string) bool { return strings.HasPrefix(k, p) }) {
			t.Errorf("a page makes keys that begin with %q, and no catalogue has any", p)
		}
	}
	for _, k := range named(t) {
		if _, ok := first.text[k]; !ok {
			t.Errorf("a page names %q, which no catalogue has", k)
		}
	}
}

// begun lists the beginnings of the keys that rooms make of parts, from the pages' catalogue
// (w or W) and not from the reports' (words).
func begun(t *testing.T) []string {
	t.Helper()
	var out []string
	re := regexp.MustCompile(`\b[wW]\.T\("([^"]+\.)" ?\+`)
	for _, pattern := range []string{"*.go", "*/*.go"} {
		files, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			data, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range re.FindAllStringSubmatch(string(data), -1) {
				out = append(out, m[1])
			}
		}
	}
	if len(out) < 10 {
		t.Errorf("only %d keys made of parts were found", len(out))
	}
	return out
}

func verbs(s string) string {
	return strings.Join(regexp.MustCompile(`%(\.0f|[sd])`).FindAllString(s, -1), "")
}

// named lists the keys that pages and code name, those that are made of parts included.
func named(t *testing.T) []string {
	t.Helper()
	var keys []string
	files, err := filepath.Glob("pages/*.html")
	if err != nil {
		t.Fatal(err)
	}
	code, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	rooms, err := filepath.Glob("*/*.go")
	if err != nil {
		t.Fatal(err)
	}
	code = append(code, slices.DeleteFunc(rooms, func(f string) bool { return strings.HasSuffix(f, "_test.go") })...)
	re := regexp.MustCompile(`\.T (?:\$?)"([^"]+)"|\.T\("([^"]+)"[,)]`)
	for _, f := range append(files, code...) {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range re.FindAllStringSubmatch(string(data), -1) {
			keys = append(keys, m[1]+m[2])
		}
	}
	problems, err := filepath.Glob("../people/*.go")
	if err != nil {
		t.Fatal(err)
	}
	problem := regexp.MustCompile(`Problem\{Key: "([^"]+)"\}`)
	refused := regexp.MustCompile(`\b(?:key|try|say): +"([^"]+)"`)
	for _, f := range append(problems, code...) {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range problem.FindAllStringSubmatch(string(data), -1) {
			keys = append(keys, "people."+m[1])
		}
		for _, m := range refused.FindAllStringSubmatch(string(data), -1) {
			if !strings.HasSuffix(m[1], ".") {
				keys = append(keys, m[1])
			}
		}
	}
	for _, p := range check.Phases() {
		keys = append(keys, "phase."+p)
	}
	for _, s := range []work.State{work.Waiting, work.Done, work.Refused, work.Failed, work.Cancelled} {
		keys = append(keys, "word."+string(s))
	}
	for _, v := range []finding.Verdict{finding.Clear, finding.ScanAgainNow, finding.AskDentistFirst, finding.NotChecked} {
		keys = append(keys, "word."+string(v))
	}
	for _, m := range append(limit.Materials(), "") {
		keys = append(keys, "material."+string(m))
	}
	for _, r := range append(roles, "", finding.RoleDesign) {
		keys = append(keys, "role."+string(r))
	}
	for _, k := range work.EventKinds() {
		keys = append(keys, "event."+k)
	}
	for _, k := range work.PracticeKinds() {
		keys = append(keys, "event."+k)
	}
	for _, role := range people.ProgramRoles() {
		keys = append(keys, "programs."+string(role), "programs."+string(role)+".more")
	}
	for _, trouble := range []work.Trouble{work.DiskFull, work.ReadOnly} {
		keys = append(keys, "fail."+string(trouble), "fail."+string(trouble)+".try")
	}
	for _, k := range people.EventKinds() {
		keys = append(keys, "event."+k)
	}
	for _, role := range people.Roles() {
		keys = append(keys, "staff."+string(role), "staff."+string(role)+".may")
	}
	for _, k := range people.Keys() {
		keys = append(keys, "key."+k)
	}
	for _, a := range people.Actions() {
		keys = append(keys, "refused."+string(a))
	}
	keys = append(append(keys, reasons...), staysIn...)
	for _, x := range []schedule.Sulcus{schedule.Open, schedule.Closing, schedule.Closed} {
		keys = append(keys, "sulcus."+string(x))
	}
	keys = append(keys, carried()...)
	if len(keys) < 80 {
		t.Fatalf("only %d keys found: the search is wrong", len(keys))
	}
	return keys
}

// carried lists the keys of what carries a case that are made of parts.
func carried() []string {
	var keys []string
	for _, f := range sheet.Fields() {
		keys = append(keys, "field."+f.Name)
		if f.Words != "" {
			for _, o := range f.Options {
				keys = append(keys, f.Words+o)
			}
		}
	}
	for _, f := range prescription.Fields() {
		keys = append(keys, "field."+string(f))
	}
	for _, g := range sheet.Groups() {
		keys = append(keys, "group."+g)
	}
	for _, k := range prescription.Whys() {
		keys = append(keys, "clash."+string(k))
	}
	for _, k := range turnaround.Reasons() {
		keys = append(keys, "date."+string(k))
	}
	for _, a := range []prescription.Asker{prescription.Law, prescription.Lab, prescription.Good} {
		keys = append(keys, "asker."+string(a))
	}
	for _, f := range []prescription.Fits{prescription.There, prescription.Close, prescription.Short, prescription.NotKnown} {
		keys = append(keys, "fits."+string(f))
	}
	keys = append(append(keys, anyway...), "rule.us", "rule.eu", "lack."+string(work.ToFollow), "lack."+string(work.SendAnyway))
	for _, s := range track.Standings() {
		if s != track.StandSeated {
			keys = append(keys, "stand."+string(s), "stand."+string(s)+".do")
		}
	}
	keys = append(append(keys, seatedKeys()...), lookedBack()...)
	for _, to := range []query.Role{query.Dentist, query.Assistant} {
		keys = append(keys, "query.to."+string(to))
	}
	for _, x := range prescription.Returns() {
		keys = append(keys, "returns."+string(x))
	}
	for _, c := range mill.Codes() {
		keys = append(keys, "mill."+string(c))
	}
	keys = append(keys, "measure.name.margin", "measure.name.finish_line")
	for _, x := range work.AllShows() {
		keys = append(keys, "photo."+string(x))
	}
	for _, d := range photo.Doubts() {
		keys = append(keys, "photo."+string(d))
	}
	for _, p := range work.Points() {
		keys = append(keys, "point."+string(p))
	}
	for _, b := range work.Blocks() {
		keys = append(keys, "block."+string(b))
	}
	return keys
}

// seatedKeys lists the keys of a visit to seat that are made of parts.
func seatedKeys() []string {
	var keys []string
	for _, s := range seating.Steps() {
		keys = append(keys, "tryin."+string(s), "tryin."+string(s)+".do")
		for _, x := range s.Wrongs() {
			keys = append(keys, "wrong."+string(x))
		}
	}
	for _, r := range []seating.Result{seating.Good, seating.NotGood, seating.LeftOut} {
		keys = append(keys, "tryin."+string(r))
	}
	for _, o := range seating.Outcomes() {
		keys = append(keys, "outcome."+string(o))
	}
	for _, f := range seating.Faults() {
		keys = append(keys, "fault."+string(f))
	}
	for _, p := range seating.Parties() {
		keys = append(keys, "party."+string(p))
	}
	for _, x := range seating.Wheres() {
		keys = append(keys, "found."+string(x))
	}
	for _, o := range seating.Origins() {
		keys = append(keys, "origin."+string(o))
	}
	for _, p := range seating.Payers() {
		keys = append(keys, "payer."+string(p))
	}
	for _, a := range finding.Actions() {
		if a != finding.FillIn {
			keys = append(keys, "said."+string(a))
		}
	}
	return append(keys, "seat.cement", "seat.lot")
}

// TestPagesAreNamedOnce: of two templates of one name the second would silently take the
// place of the first.
func TestPagesAreNamedOnce(t *testing.T) {
	files, err := filepath.Glob("pages/*.html")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	in := map[string]string{}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`{{define "([^"]+)"`).FindAllStringSubmatch(string(data), -1) {
			if was, twice := in[m[1]]; twice {
				t.Errorf("%q is defined in %s and in %s", m[1], was, f)
			}
			in[m[1]] = f
		}
	}
}

// TestShippedLimitsHaveNames: every shipped limit, and all it can be for, has a name in every
// language.
func TestShippedLimitsHaveNames(t *testing.T) {
	for _, lang := range languages {
		w, err := load(lang)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range limit.Default().Rows() {
			keys := []string{"limit." + string(r.ID)}
			for _, p := range []string{string(r.For.Cement), string(r.For.Zone), r.For.Class} {
				if p != "" {
					keys = append(keys, "limit.for."+p)
				}
			}
			for _, k := range keys {
				if strings.HasPrefix(w.T(k), "[") {
					t.Errorf("%s has no %s", lang, k)
				}
			}
		}
	}
}

// TestShippedMethodsHaveNames: the shipped ways to open the sulcus are called in English as
// their table calls them, and in German by a name of their own.
func TestShippedMethodsHaveNames(t *testing.T) {
	for _, lang := range languages {
		w, err := load(lang)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range schedule.Default() {
			if got := w.T("method." + m.Key); (got == m.Name) != (lang == "en") || strings.HasPrefix(got, "[") {
				t.Errorf("%s: %s is called %q", lang, m.Key, got)
			}
		}
	}
}

// TestProblemsInGerman: a problem is said in the reader's language, with its name in it.
func TestProblemsInGerman(t *testing.T) {
	w, err := load("de")
	if err != nil {
		t.Fatal(err)
	}
	got := w.problem(&work.Problem{What: "this case is held: %s", About: "ein Streit", Try: "release it first"})
	if want := "dieser Fall wird aufgehoben: ein Streit; ihn erst freigeben"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// lookedBack lists the keys of what is looked back at that are made of parts.
func lookedBack() []string {
	var keys []string
	for _, c := range finding.Codes() {
		keys = append(keys, "code."+string(c))
	}
	for _, y := range review.Whys() {
		keys = append(keys, "why."+string(y))
	}
	for _, k := range []string{"laboratory", "material", "tooth", "depth", "person"} {
		keys = append(keys, "by."+k)
	}
	for _, k := range review.AllStands() {
		keys = append(keys, "stands."+string(k))
	}
	for _, k := range []string{"to-word", "away", "to-seat", "adjusting"} {
		keys = append(keys, "took."+k)
	}
	for _, p := range drill.Places() {
		keys = append(keys, "place."+string(p), "place."+string(p)+".look")
	}
	for _, a := range drill.Answers() {
		keys = append(keys, "do."+string(a))
	}
	return append(keys, "unit.min", "unit.days", "span.0", "span.3", "span.12")
}

func TestLanguageOfABrowser(t *testing.T) {
	for _, tt := range []struct{ header, cookie, want string }{
		{"", "", "en"},
		{"de-AT,de;q=0.9,en;q=0.8", "", "de"},
		{"fr, de;q=0.5", "", "de"},
		{"xx", "", "en"},
		{"de", "en", "en"},
	} {
		r := httptest.NewRequest("GET", "/", nil)
		r.Header.Set("Accept-Language", tt.header)
		if tt.cookie != "" {
			r.Header.Set("Cookie", "language="+tt.cookie)
		}
		if got := wordsFor(r).Lang; got != tt.want {
			t.Errorf("%q with cookie %q: %s, want %s", tt.header, tt.cookie, got, tt.want)
		}
	}
}
