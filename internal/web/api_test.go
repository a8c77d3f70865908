package web_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"selvage/internal/people"
)

// visitor is another program.
type program struct {
	t     *testing.T
	url   string
	token string
	by    http.RoundTripper
}

// answer is what a program got.
type answer struct {
	status int
	header http.Header
	body   []byte
	json   map[string]any
}

// at reads a part of an answer: "check.state".
func (a answer) at(path string) any {
	var v any = a.json
	for _, k := range strings.Split(path, ".") {
		m, ok := v.(map[string]any)
		if !ok {
			return nil
		}
		v = m[k]
	}
	return v
}

// ask sends a request; headers come in pairs.
func (p *program) ask(method, path, kind string, body []byte, headers ...string) answer {
	p.t.Helper()
	r, err := http.NewRequest(method, p.url+path, bytes.NewReader(body))
	must(p.t, err)
	if p.token != "" {
		r.Header.Set("Authorization", "Bearer "+p.token)
	}
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	for i := 0; i+1 < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	by := p.by
	if by == nil {
		by = http.DefaultTransport
	}
	res, err := by.RoundTrip(r)
	must(p.t, err)
	defer res.Body.Close()
	a := answer{status: res.StatusCode, header: res.Header}
	a.body, err = io.ReadAll(res.Body)
	must(p.t, err)
	_ = json.Unmarshal(a.body, &a.json) // where it is JSON
	return a
}

func (p *program) get(path string) answer { p.t.Helper(); return p.ask("GET", path, "", nil) }

// tell sends JSON.
func (p *program) tell(method, path string, v any, headers ...string) answer {
	p.t.Helper()
	data, err := json.Marshal(v)
	must(p.t, err)
	return p.ask(method, path, "application/json", data, headers...)
}

// bring sends files by field.
func (p *program) bring(path string, files map[string][]byte, headers ...string) answer {
	p.t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for field, data := range files {
		w, err := m.CreateFormFile(field, field+".stl")
		must(p.t, err)
		_, err = w.Write(data)
		must(p.t, err)
	}
	must(p.t, m.Close())
	return p.ask("POST", path, m.FormDataContentType(), b.Bytes(), headers...)
}

// wants fails unless an answer has a status; a refusal must be a problem of RFC 9457.
func (p *program) wants(a answer, status int) answer {
	p.t.Helper()
	if a.status != status {
		p.t.Fatalf("status %d, want %d: %s", a.status, status, a.body)
	}
	if status >= 400 {
		if ct := a.header.Get("Content-Type"); ct != "application/problem+json" || a.at("title") == nil || a.at("status") != float64(status) {
			p.t.Errorf("the refusal is %q: %s", ct, a.body)
		}
	}
	return a
}

// letIn makes a manager, who lets a program in.
func (i *installation) letIn(t *testing.T, role people.Role) (*program, people.Person) {
	t.Helper()
	manager := i.manager(t)
	p, token, err := i.book().AddProgram(t.Context(), manager, "archive "+string(role), role)
	must(t, err)
	return &program{t: t, url: i.url, token: token}, p
}

func (i *installation) book() *people.Book {
	return people.Open(i.desk.Ledger(), []byte("secret"), time.Now)
}

// manager returns the id of the first person, who is made where nobody is known.
func (i *installation) manager(t *testing.T) string {
	t.Helper()
	all, err := i.book().All(t.Context())
	must(t, err)
	if len(all) > 0 {
		return all[0].ID
	}
	p, _, err := i.book().First(t.Context(), "A. Berg", []people.Role{people.Dentist, people.Manager}, "482703")
	must(t, err)
	return p.ID
}

// events counts what happened by kind and actor.
func (i *installation) events(t *testing.T, id string) map[string]int {
	t.Helper()
	all, err := i.desk.Events(t.Context(), id)
	must(t, err)
	out := map[string]int{}
	for _, e := range all {
		out[e.Kind+" "+e.Actor]++
	}
	return out
}

// TestProgramFromScansToReport goes the whole way of another program.
func TestProgramFromScansToReport(t *testing.T) {
	files, err := made()
	must(t, err)
	i := install(t, time.Now)
	p, me := i.letIn(t, people.Sender)
	if a := p.wants(p.get("/api/v1/me"), 200); a.at("id") != me.ID || fmt.Sprint(a.at("may")) != "[see check]" {
		t.Errorf("who am I: %s", a.body)
	}
	news := p.listen(t, "")
	order := map[string]any{"tooth": "26", "material": "lithium-disilicate", "finish_line": "heavy-chamfer"}
	a := p.wants(p.tell("POST", "/api/v1/cases", map[string]any{"name": "A-17", "order": order}, "Idempotency-Key", "visit 17"), 201)
	at := a.header.Get("Location")
	if again := p.wants(p.tell("POST", "/api/v1/cases", map[string]any{"name": "A-17", "order": order}, "Idempotency-Key", "visit 17"), 201); again.header.Get("Location") != at {
		t.Errorf("the same request made two cases: %s and %s", at, again.header.Get("Location"))
	}
	p.wants(p.tell("POST", "/api/v1/cases", map[string]any{"name": "A-18"}, "Idempotency-Key", "visit 17"), 422)
	byField := map[string][]byte{}
	for name, data := range files {
		if field := strings.TrimSuffix(name, ".stl"); field == "working" || field == "opposing" || field == "bite" {
			byField[field] = data
		}
	}
	if len(byField) != 3 {
		t.Fatalf("the made case has other files: %d", len(byField))
	}
	a = p.wants(p.bring(at+"/scans", byField, "Idempotency-Key", "scans 17"), 200)
	check, _ := a.at("check").(string)
	if check == "" || len(a.json["scans"].([]any)) != 3 {
		t.Fatalf("the scans: %s", a.body)
	}
	if again := p.wants(p.bring(at+"/scans", byField, "Idempotency-Key", "scans 17"), 200); again.at("check") != check {
		t.Errorf("the same scans, sent again, were checked anew: %v", again.at("check"))
	}
	checkAt := at + "/checks/" + check
	for end := time.Now().Add(10 * time.Minute); ; time.Sleep(100 * time.Millisecond) {
		a = p.wants(p.get(checkAt), 200)
		if a.at("state") != "waiting" {
			break
		}
		if time.Now().After(end) {
			t.Fatal("the check did not end")
		}
	}
	if a.at("state") != "done" || a.at("current") != true || a.at("verdict") != "scan-again" {
		t.Errorf("the check: %s", a.body)
	}
	rep := p.wants(p.get(checkAt+"/report"), 200)
	if rep.at("verdict") != a.at("verdict") || rep.at("line") != a.at("line") {
		t.Errorf("the report says otherwise: %v", rep.at("line"))
	}
	i.reportFits(t, p, rep.body)
	pics := p.wants(p.get(checkAt+"/pictures"), 200).json["pictures"].([]any)
	one := pics[0].(map[string]any)
	if pic := p.wants(p.get(checkAt+"/pictures/"+one["picture"].(string)), 200); pic.header.Get("Content-Type") != one["type"] || len(pic.body) < 100 {
		t.Errorf("the picture: %s, %d bytes", pic.header.Get("Content-Type"), len(pic.body))
	}
	if a = p.wants(p.get(at), 200); a.at("check.verdict") != "scan-again" || a.at("order.tooth") != "26" || a.at("name") != "A-17" {
		t.Errorf("the case: %s", a.body)
	}
	if list := p.wants(p.get("/api/v1/cases"), 200); strings.Contains(string(list.body), "A-17") || !strings.Contains(string(list.body), check) {
		t.Errorf("the list: %s", list.body)
	}
	happened := i.events(t, strings.TrimPrefix(at, "/api/v1/cases/"))
	if n := happened["viewed "+me.ID]; n < 5 || happened["case-opened "+me.ID] != 1 || happened["scan-added "+me.ID] != 3 || happened["check-asked "+me.ID] != 1 {
		t.Errorf("the ledger: %v", happened)
	}
	news.until(t, `"kind":"check-done"`)
	if strings.Contains(news.all(), "A-17") || strings.Contains(news.all(), "viewed") {
		t.Errorf("the news tell more than they should: %s", news.all())
	}
	p.listen(t, "1").until(t, `"kind":"case-opened"`) // from the beginning
}

// reportFits holds a report against the schema that is served.
func (i *installation) reportFits(t *testing.T, p *program, report []byte) {
	t.Helper()
	schema, err := jsonschema.UnmarshalJSON(bytes.NewReader(p.wants(p.get("/api/report.schema.json"), 200).body))
	must(t, err)
	c := jsonschema.NewCompiler()
	must(t, c.AddResource("report.json", schema))
	s, err := c.Compile("report.json")
	must(t, err)
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(report))
	must(t, err)
	must(t, s.Validate(doc))
}

// paper is a stream that is being read.
type paper struct {
	lines chan string
	got   []string
}

// listen opens the stream of news.
func (p *program) listen(t *testing.T, last string) *paper {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), "GET", p.url+"/api/v1/events", nil)
	must(t, err)
	r.Header.Set("Authorization", "Bearer "+p.token)
	if last != "" {
		r.Header.Set("Last-Event-ID", last)
	}
	res, err := http.DefaultTransport.RoundTrip(r)
	must(t, err)
	if res.StatusCode != 200 || res.Header.Get("Content-Type") != "text/event-stream" {
		t.Fatalf("the stream: %d, %s", res.StatusCode, res.Header.Get("Content-Type"))
	}
	out := &paper{lines: make(chan string, 1000)}
	go func() {
		defer close(out.lines)
		defer res.Body.Close()
		for s := bufio.NewScanner(res.Body); s.Scan(); {
			out.lines <- s.Text()
		}
	}()
	out.until(t, "event: alive")
	return out
}

func (p *paper) until(t *testing.T, words string) {
	t.Helper()
	for end := time.After(20 * time.Second); ; {
		select {
		case line, open := <-p.lines:
			p.got = append(p.got, line)
			if strings.Contains(line, words) {
				return
			}
			if !open {
				t.Fatalf("the stream ended before %q: %q", words, p.got)
			}
		case <-end:
			t.Fatalf("the stream never said %q: %q", words, p.got)
		}
	}
}

func (p *paper) all() string { return strings.Join(p.got, "\n") }

// TestProgramMayNoMore: what a token does not give is refused, and a token that ended
// gives nothing, also where a stream is open.
func TestProgramMayNoMore(t *testing.T) {
	i := install(t, time.Now)
	sender, _ := i.letIn(t, people.Sender)
	reader, who := i.letIn(t, people.Reader)
	gauge, _ := i.letIn(t, people.Monitor)
	at := sender.wants(sender.tell("POST", "/api/v1/cases", map[string]any{"name": "A-1"}), 201).header.Get("Location")
	reader.wants(reader.get(at), 200)
	reader.wants(reader.tell("POST", "/api/v1/cases", map[string]any{}), 403)
	reader.wants(reader.tell("PUT", at+"/order", map[string]any{"tooth": "11"}), 403)
	reader.wants(reader.bring(at+"/scans", map[string][]byte{"scan": []byte("x")}), 403)
	gauge.wants(gauge.get(at), 403)
	gauge.wants(gauge.get("/api/v1/cases"), 403)
	for _, path := range []string{"/", "/people", "/case/" + strings.TrimPrefix(at, "/api/v1/cases/")} {
		if a := sender.get(path); a.status != http.StatusUnauthorized && a.status != http.StatusSeeOther {
			t.Errorf("a token opens the page %s: %d", path, a.status)
		}
	}
	nobody := &program{t: t, url: i.url}
	if a := nobody.wants(nobody.get(at), 401); !strings.Contains(a.header.Get("WWW-Authenticate"), "Bearer") {
		t.Error("a program without a token is not told how to show one")
	}
	forged := &program{t: t, url: i.url, token: reader.token[:len(reader.token)-1] + "0"}
	forged.wants(forged.get(at), 401)
	news := reader.listen(t, "")
	must(t, i.book().EndProgram(t.Context(), i.manager(t), who.ID))
	reader.wants(reader.get(at), 401)
	sender.wants(sender.tell("PUT", at+"/order", map[string]any{"tooth": "11"}), 200)
	for line := range news.lines { // it ends by itself
		if strings.Contains(line, "order-changed") {
			t.Error("a token that ended still hears news")
		}
	}
	for range 20 {
		forged.get(at)
	}
	if a := forged.wants(forged.get(at), 429); a.header.Get("Retry-After") == "" {
		t.Error("who guesses is not told how long to wait")
	}
	sender.wants(sender.get(at), 200) // whoever guesses keeps nobody out
	if n, err := i.desk.Ledger().Verify(t.Context()); err != nil || n == 0 {
		t.Error(n, err)
	}
	kept := i.events(t, "")
	if kept["sign-in-refused selvage"] == 0 || kept["program-added "+i.manager(t)] != 3 {
		t.Errorf("the ledger: %v", kept)
	}
}

// TestProgramMistakes: each is one problem with words.
func TestProgramMistakes(t *testing.T) {
	i := install(t, time.Now)
	p, _ := i.letIn(t, people.Sender)
	at := p.wants(p.tell("POST", "/api/v1/cases", map[string]any{}), 201).header.Get("Location")
	for _, tt := range []struct {
		a      answer
		status int
		words  string
	}{
		{p.get("/api/v1/nowhere"), 404, "nothing here"},
		{p.get("/api/v1/cases/nobody"), 404, "nothing here"},
		{p.get(at + "/checks/none/report"), 404, "nothing here"},
		{p.ask("DELETE", at, "", nil), 405, "cannot be done"},
		{p.get("/api/v1/cases?limit=0"), 422, "limit"},
		{p.get("/api/v1/cases?page=2"), 422, "unknown query parameter"},
		{p.tell("PUT", at+"/order", map[string]any{"tooth": "99"}), 422, "FDI"},
		{p.tell("PUT", at+"/order", map[string]any{"tooth": "26", "material": "cheese"}), 422, "not one of"},
		{p.tell("PUT", at+"/order", map[string]any{"tooth": "26", "colour": "A3"}), 422, "unexpected property"},
		{p.tell("POST", at+"/checks", map[string]any{}), 409, "nothing to check"},
		{p.ask("POST", at+"/scans", "text/plain", []byte("hello")), 415, "multipart"},
		{p.ask("POST", at+"/scans", "multipart/form-data; boundary=x", []byte("--x\r\nContent-Disposition: form-data; name=scan; filename=a.stl\r\n\r\nsolid")), 422, "middle"},
		{p.bring(at+"/scans", nil), 422, "no file"},
		{p.bring(at+"/scans", map[string][]byte{"crown": []byte("x")}), 422, "no field"},
		{p.bring(at+"/scans", map[string][]byte{"scan": nil}), 422, "empty"},
		{p.ask("POST", "/api/v1/cases", "application/json", []byte("{")), 400, ""},
		{p.tell("POST", "/api/v1/cases", map[string]any{}, "Idempotency-Key", strings.Repeat("k", 201)), 422, "length"},
		{p.tell("POST", "/api/v1/cases", map[string]any{}, "Sec-Fetch-Site", "cross-site"), 403, "another site"},
	} {
		p.wants(tt.a, tt.status)
		if !strings.Contains(string(tt.a.body), tt.words) {
			t.Errorf("want %q in %s", tt.words, tt.a.body)
		}
	}
	if a := p.ask("GET", "/api/v1/cases/nobody", "", nil, "Accept-Language", "de"); !strings.Contains(string(a.body), "nichts") {
		t.Errorf("the problem in German: %s", a.body)
	}
	c, err := i.desk.Case(t.Context(), strings.TrimPrefix(at, "/api/v1/cases/"))
	if err != nil || len(c.Scans) > 0 || len(c.Order.Restorations) > 0 {
		t.Errorf("a refused request left something: %+v, %v", c, err)
	}
}

// TestProgramAskingTooOften: one program that asks in a loop is slowed, another is not.
func TestProgramAskingTooOften(t *testing.T) {
	now := time.Now() // the clock stands: however slow the computer, all come at once
	i := install(t, func() time.Time { return now })
	busy, _ := i.letIn(t, people.Sender)
	calm, _ := i.letIn(t, people.Reader)
	slowed := 0
	for range 200 {
		if a := busy.get("/api/v1/me"); a.status == http.StatusTooManyRequests {
			busy.wants(a, http.StatusTooManyRequests)
			slowed++
		}
	}
	if slowed == 0 {
		t.Error("200 requests at once were all answered")
	}
	calm.wants(calm.get("/api/v1/me"), 200)
}

// TestProgramFromAnotherComputer: only encrypted.
func TestProgramFromAnotherComputer(t *testing.T) {
	i := install(t, time.Now)
	p, _ := i.letIn(t, people.Reader)
	r := httptest.NewRequest("GET", "http://practice.example/api/v1/cases", nil)
	r.RemoteAddr = "192.0.2.7:4000"
	r.Header.Set("Authorization", "Bearer "+p.token)
	w := httptest.NewRecorder()
	i.handler.ServeHTTP(w, r)
	if w.Code != http.StatusForbidden || w.Header().Get("Content-Type") != "application/problem+json" {
		t.Errorf("in the clear: %d %s", w.Code, w.Body)
	}
	r = httptest.NewRequest("GET", "https://practice.example/api/v1/cases", nil)
	r.RemoteAddr = "192.0.2.7:4000"
	r.Header.Set("Authorization", "Bearer "+p.token)
	w = httptest.NewRecorder()
	i.handler.ServeHTTP(w, r)
	if w.Code != http.StatusOK {
		t.Errorf("encrypted: %d %s", w.Code, w.Body)
	}
}

// TestDescription: the document that programs read is valid OpenAPI 3.1, by the schema
// that the OpenAPI Initiative publishes, its own schemas by JSON Schema 2020-12. What
// is wrong in it is noticed.
func TestDescription(t *testing.T) {
	i := install(t, time.Now)
	i.manager(t)
	nobody := &program{t: t, url: i.url} // whoever writes a program has no token yet
	text := nobody.wants(nobody.get("/api/openapi.json"), 200).body
	oas := compiled(t, "testdata/openapi-3.1.schema.json")
	check := func(edit ...string) error {
		v, err := jsonschema.UnmarshalJSON(strings.NewReader(strings.NewReplacer(edit...).Replace(string(text))))
		must(t, err)
		return errors.Join(oas.Validate(v), schemasIn(t, v))
	}
	if err := check(); err != nil {
		t.Errorf("the document is not valid: %v", err)
	}
	for _, wrong := range [][]string{{`"3.1.0"`, `"3.0.3"`}, {`"parameters"`, `"parametres"`}, {`"type":"string"`, `"type":"strong"`}, {`"responses"`, `"answers"`}} {
		if check(wrong...) == nil {
			t.Errorf("%q is taken for valid", wrong)
		}
	}
}

func compiled(t *testing.T, path string) *jsonschema.Schema {
	t.Helper()
	s, err := jsonschema.NewCompiler().Compile(path)
	must(t, err)
	return s
}

// schemasIn holds every schema of a document against JSON Schema 2020-12, which the
// schema of OpenAPI itself leaves open.
func schemasIn(t *testing.T, v any) (err error) {
	t.Helper()
	meta, cerr := jsonschema.NewCompiler().Compile("https://json-schema.org/draft/2020-12/schema")
	must(t, cerr)
	found := 0
	var walk func(any)
	walk = func(v any) {
		switch v := v.(type) {
		case []any:
			for _, x := range v {
				walk(x)
			}
		case map[string]any:
			for k, x := range v {
				all, named := x.(map[string]any)
				switch {
				case k == "schema":
					found, err = found+1, errors.Join(err, meta.Validate(x))
				case k == "schemas" && named:
					for _, y := range all {
						found, err = found+1, errors.Join(err, meta.Validate(y))
					}
				default:
					walk(x)
				}
			}
		}
	}
	walk(v)
	if found < 30 {
		t.Errorf("only %d schemas found: the search is wrong", found)
	}
	return err
}

// TestGauges: this computer and a monitor's token read how the program fares, another
// computer does not; nothing of a case is in it.
func TestGauges(t *testing.T) {
	i := install(t, time.Now)
	sender, _ := i.letIn(t, people.Sender)
	at := sender.wants(sender.tell("POST", "/api/v1/cases", map[string]any{"name": "A-17"}), 201).header.Get("Location")
	sender.wants(sender.get(at), 200)
	here := &program{t: t, url: i.url}
	a := here.get("/metrics")
	for _, want := range []string{
		`selvage_requests_total{route="GET /api/v1/cases/{case}",status="200"} 1`, `selvage_events_total{kind="case-opened"} 1`,
		"selvage_checks_waiting 0", "selvage_check_seconds_count 0", `selvage_disk_trouble{why="full"} 0`, "selvage_backup_timestamp_seconds 0", "go_goroutines",
	} {
		if a.status != 200 || !strings.Contains(string(a.body), want) {
			t.Errorf("the gauges do not say %s (%d)", want, a.status)
		}
	}
	if s := string(a.body); strings.Contains(s, "A-17") || strings.Contains(s, strings.TrimPrefix(at, "/api/v1/cases/")) {
		t.Error("the gauges name a case")
	}
	monitor, _ := i.letIn(t, people.Monitor)
	for who, want := range map[*program]int{monitor: 200, sender: 403, here: 401} {
		r := httptest.NewRequest("GET", "https://practice.example/metrics", nil)
		r.RemoteAddr = "192.0.2.7:4000"
		if who.token != "" {
			r.Header.Set("Authorization", "Bearer "+who.token)
		}
		w := httptest.NewRecorder()
		i.handler.ServeHTTP(w, r)
		if w.Code != want {
			t.Errorf("from another computer with %q: %d, want %d", who.token, w.Code, want)
		}
	}
}
