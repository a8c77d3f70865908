package exchange_test

import (
	"archive/zip"
	"bytes"
	"crypto/ed25519"
	"encoding/json"
	"image"
	"image/png"
	"io"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"filippo.io/age"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/exchange"
	"selvage/internal/meshtest"
	"selvage/measure"
	"selvage/meshio"
	"selvage/meshio/stl"
	"selvage/r3"
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// key is the private key of RFC 8032, section 7.1, test 1.
var key = ed25519.NewKeyFromSeed([]byte{
	0x9d, 0x61, 0xb1, 0x9d, 0xef, 0xfd, 0x5a, 0x60, 0xba, 0x84, 0x4a, 0xf4, 0x92, 0xec, 0x2c, 0xc4,
	0x44, 0x49, 0xc5, 0x69, 0x7b, 0x32, 0x69, 0x19, 0x70, 0x3b, 0xac, 0x03, 0x1c, 0xae, 0x7f, 0x60,
})

// scanned are two scans as they were exported; the header of one says too much.
func scanned(t testing.TB) []exchange.Scan {
	t.Helper()
	var b bytes.Buffer
	must(t, stl.Encode(&b, meshtest.Sphere(3, 3)))
	named := slices.Clone(b.Bytes())
	copy(named, append([]byte("Jane Roe, born 1970-01-01"), make([]byte, 80)...)[:80])
	return []exchange.Scan{
		{Name: "JANE ROE upper.STL", Role: finding.RoleWorking, Units: casefile.Millimetre, Data: named},
		{Name: "lower.stl", Role: finding.RoleOpposing, Units: casefile.Millimetre, Data: b.Bytes()},
	}
}

func contents(t testing.TB, scrub bool) exchange.Contents {
	t.Helper()
	c := casefile.Case{Name: "C-1007", Patient: casefile.Patient{Reference: "P-1007", Name: "Jane Roe"}, Restorations: []casefile.Restoration{{Tooth: casefile.CodeOf(26), Kind: casefile.Crown}}}
	rep := casefile.Report{Line: "Nothing to scan again.", Verdict: "clear"}
	m := casefile.Measures{
		InsertionAxis: casefile.AxisMeasure{Value: [3]float64{0, 0, 1}, UDeg: 0.4, Scan: finding.RoleWorking},
		Margin:        casefile.Margin{Closed: true, LengthMM: 20, U: 0.1, Points: [][3]float64{{3, 0, 0}, {0, 3, 0}, {-3, 0, 0}, {0, -3, 0}}, Confidence: []float64{1, 1, 1, 1}, Scan: finding.RoleWorking},
		FinishLine:    casefile.FinishLine{Not: "none"},
	}
	v := reflect.ValueOf(&m).Elem()
	for i := range v.NumField() {
		if f, ok := v.Field(i).Addr().Interface().(*casefile.Measure); ok {
			*f = casefile.NotMeasured("not here")
		}
	}
	m.ClearancePatch = casefile.Of(measure.Of(1.2, 0.1, measure.MM))
	rep.Restorations = []casefile.RestorationReport{{Tooth: casefile.NamesOf(26), Measures: m}}
	for _, b := range []*casefile.Measure{&rep.Bite.ResidualUM, &rep.Bite.ShiftMM, &rep.Bite.PenetrationMM, &rep.Bite.Contacts} {
		*b = casefile.NotMeasured("not here")
	}
	var picture bytes.Buffer
	must(t, png.Encode(&picture, image.NewGray(image.Rect(0, 0, 8, 8))))
	return exchange.Contents{
		Order: c, Version: 2, Hash: strings.Repeat("ab", 32), Report: &rep, WorkOrder: []byte("%PDF-"), Page: []byte("<html>"),
		Items:    exchange.ScanItems(exchange.Teeth(c), scanned(t), scrub),
		Pictures: []exchange.Picture{{PNG: picture.Bytes(), Caption: "Seen along the path of draw."}},
		Surfaces: []exchange.RoleSurface{{Role: finding.RoleWorking, Mesh: meshtest.Sphere(3, 3)}},
		Buccal:   r3.V(0, 1, 0), Made: time.Date(2026, 5, 4, 10, 0, 0, 0, time.UTC), Program: "test",
	}
}

func packed(t testing.TB, scrub bool, key ed25519.PrivateKey) ([]byte, exchange.Parcel) {
	t.Helper()
	p, err := exchange.Pack(contents(t, scrub))
	must(t, err)
	var b bytes.Buffer
	_, err = p.Write(&b, key)
	must(t, err)
	return b.Bytes(), p
}

func verified(t testing.TB, data []byte) exchange.Opened {
	t.Helper()
	o, err := exchange.Verify(bytes.NewReader(data), int64(len(data)))
	must(t, err)
	return o
}

// unzip returns the files of an archive.
func unzip(t testing.TB, data []byte) map[string][]byte {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	must(t, err)
	out := map[string][]byte{}
	for _, f := range z.File {
		r, err := f.Open()
		must(t, err)
		out[f.Name], err = io.ReadAll(r)
		must(t, err)
	}
	return out
}

func TestParcelHoldsWhatALaboratoryNeeds(t *testing.T) {
	data, p := packed(t, false, key)
	o := verified(t, data)
	if len(o.Wrong) > 0 || !o.Sealed.Equal(key.Public()) || o.Manifest.Parcel != p.ID() {
		t.Fatalf("a fresh parcel: %+v", o)
	}
	files := unzip(t, data)
	for _, want := range []string{
		"case_26_working.stl", "case_26_opposing.stl", "case_26_work-order.pdf", "case_26_report.json", "case_26_report.html",
		"case_26_margin.obj", "case_26_margin.csv", "case_26_geometry.json", "pictures/case_26_1.png", "case.json", "view.html", "receipt.html", "manifest.json", "seal.json",
	} {
		if len(files[want]) == 0 {
			t.Errorf("%s is not in it", want)
		}
	}
	for i, s := range scanned(t) {
		if name := []string{"case_26_working.stl", "case_26_opposing.stl"}[i]; !bytes.Equal(files[name], s.Data) {
			t.Errorf("%s is not as it was exported", name)
		}
	}
	for name, text := range files {
		if name != "case_26_working.stl" && (bytes.Contains(text, []byte("Jane")) || bytes.Contains(text, []byte("JANE")) || strings.Contains(strings.ToLower(name), "jane")) {
			t.Errorf("%s names the patient", name)
		}
	}
	c, err := casefile.Parse(files["case.json"])
	must(t, err)
	if c.Scans[0].File != "case_26_working.stl" || c.Units != casefile.Millimetre || c.Patient.Reference != "P-1007" {
		t.Errorf("case.json: %+v", c)
	}
	var g struct {
		Teeth []struct {
			File string `json:"file"`
			Axis struct {
				Value [3]float64 `json:"value"`
			} `json:"insertion_axis"`
			Margin struct {
				Points [][3]float64 `json:"points"`
			} `json:"margin"`
		} `json:"teeth"`
	}
	must(t, json.Unmarshal(files["case_26_geometry.json"], &g))
	if len(g.Teeth) != 1 || g.Teeth[0].File != "case_26_working.stl" || g.Teeth[0].Axis.Value != [3]float64{0, 0, 1} || len(g.Teeth[0].Margin.Points) != 4 {
		t.Errorf("geometry: %+v", g)
	}
	for _, page := range []string{"view.html", "receipt.html"} {
		text := string(files[page])
		if strings.Contains(text, "http:") || strings.Contains(text, "https:") || strings.Contains(text, "[view.") || !strings.Contains(text, "default-src 'none'") {
			t.Errorf("%s loads something, or lacks a word", page)
		}
	}
	if again, _ := packed(t, false, key); !bytes.Equal(again, data) {
		t.Error("the same parcel gives other bytes")
	}
}

// TestWhateverIsChangedIsFound alters, drops and adds files one by one.
func TestWhateverIsChangedIsFound(t *testing.T) {
	data, _ := packed(t, false, key)
	files := unzip(t, data)
	rebuilt := func(files map[string][]byte) []byte {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for name, text := range files {
			f, err := z.Create(name)
			must(t, err)
			_, err = f.Write(text)
			must(t, err)
		}
		must(t, z.Close())
		return b.Bytes()
	}
	if o := verified(t, rebuilt(files)); len(o.Wrong) > 0 {
		t.Fatalf("packed again by another program: %v", o.Wrong)
	}
	for name := range files {
		changed := map[string][]byte{}
		for n, text := range files {
			changed[n] = text
		}
		text := slices.Clone(files[name])
		text[len(text)/2] ^= 1
		changed[name] = text
		d := rebuilt(changed)
		if o, err := exchange.Verify(bytes.NewReader(d), int64(len(d))); err == nil && len(o.Wrong) == 0 {
			t.Errorf("one bit of %s was changed and nothing is wrong", name)
		}
		delete(changed, name)
		d = rebuilt(changed)
		o, err := exchange.Verify(bytes.NewReader(d), int64(len(d)))
		if name == "seal.json" { // then it is a sound parcel that nobody sealed
			if err != nil || o.Sealed != nil {
				t.Errorf("without a seal: %v", err)
			}
		} else if err == nil && len(o.Wrong) == 0 {
			t.Errorf("%s was taken out and nothing is wrong", name)
		}
	}
	files["more.stl"] = []byte("x")
	if o := verified(t, rebuilt(files)); len(o.Wrong) != 1 || !strings.Contains(o.Wrong[0], "more.stl") {
		t.Errorf("a file was put in: %v", o.Wrong)
	}
}

// TestForgedManifest has somebody change a scan and the manifest with it: only the seal
// tells.
func TestForgedManifest(t *testing.T) {
	c := contents(t, false)
	c.Items[1].Data = append(slices.Clone(c.Items[1].Data), 0)
	p, err := exchange.Pack(c)
	must(t, err)
	var b bytes.Buffer
	_, err = p.Write(&b, nil)
	must(t, err)
	honest, _ := packed(t, false, key)
	files, sealed := unzip(t, b.Bytes()), unzip(t, honest)["seal.json"]
	var forged bytes.Buffer
	z := zip.NewWriter(&forged)
	for name, text := range files {
		f, err := z.Create(name)
		must(t, err)
		_, err = f.Write(text)
		must(t, err)
	}
	f, err := z.Create("seal.json")
	must(t, err)
	_, err = f.Write(sealed)
	must(t, err)
	must(t, z.Close())
	if o := verified(t, forged.Bytes()); len(o.Wrong) == 0 || o.Sealed != nil {
		t.Errorf("a forged manifest under an honest seal: %+v", o)
	}
}

func TestHostileArchives(t *testing.T) {
	for name, manifest := range map[string]string{
		"climbs":   `{"schema":"selvage.manifest/1","files":[{"name":"../../x","sha256":""}]}`,
		"absolute": `{"schema":"selvage.manifest/1","files":[{"name":"/x","sha256":""}]}`,
		"twice":    `{"schema":"selvage.manifest/1","files":[{"name":"x"},{"name":"x"}]}`,
		"another":  `{"schema":"other/1"}`,
		"no json":  `{`,
	} {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		f, err := z.Create("manifest.json")
		must(t, err)
		_, err = f.Write([]byte(manifest))
		must(t, err)
		must(t, z.Close())
		if _, err := exchange.Verify(bytes.NewReader(b.Bytes()), int64(b.Len())); err == nil {
			t.Errorf("%s: it is taken for a parcel", name)
		}
	}
	if _, err := exchange.Verify(strings.NewReader("no zip"), 6); err == nil {
		t.Error("no archive is taken for one")
	}
}

func TestEncryptedToARecipientAlone(t *testing.T) {
	id, err := age.GenerateX25519Identity()
	must(t, err)
	data, _ := packed(t, false, nil)
	var b bytes.Buffer
	w, err := exchange.Encrypt(&b, []string{id.Recipient().String()})
	must(t, err)
	_, err = w.Write(data)
	must(t, err)
	must(t, w.Close())
	if !exchange.Encrypted(b.Bytes()) || exchange.Encrypted(data) {
		t.Error("it is not told whether a parcel is encrypted")
	}
	got, err := exchange.Decrypt(b.Bytes(), strings.NewReader("# the laboratory's\n"+id.String()+"\n"))
	if err != nil || !bytes.Equal(got, data) {
		t.Errorf("decrypted it is another (%v)", err)
	}
	other, err := age.GenerateX25519Identity()
	must(t, err)
	if _, err := exchange.Decrypt(b.Bytes(), strings.NewReader(other.String())); err == nil {
		t.Error("another key opens it")
	}
	if _, err := exchange.Encrypt(&b, []string{"age1nonsense"}); err == nil {
		t.Error("what is no recipient is taken for one")
	}
}

// TestScrubbingLeavesGeometry takes free text out of every file of the decoders' corpora.
func TestScrubbingLeavesGeometry(t *testing.T) {
	said := 0
	for _, dir := range []string{"../../meshio/stl/testdata", "../../meshio/ply/testdata", "../../meshio/obj/testdata", "../../meshio/testdata"} {
		for _, e := range meshtest.Corpus(t, dir) {
			was, _, err := meshio.Decode(e.Data)
			if err != nil {
				continue
			}
			if exchange.HeaderText(e.Data) != "" {
				said++
			}
			clean := exchange.Scrub(e.Data)
			is, _, err := meshio.Decode(clean)
			if err != nil {
				t.Errorf("%s: scrubbed it cannot be read: %v", e.File, err)
				continue
			}
			if !reflect.DeepEqual(was.Pos, is.Pos) || !reflect.DeepEqual(was.Tri, is.Tri) || !reflect.DeepEqual(was.Color, is.Color) {
				t.Errorf("%s: scrubbed it is another mesh", e.File)
			}
			if text := exchange.HeaderText(clean); text != "" {
				t.Errorf("%s: scrubbed it still says %q", e.File, text)
			}
		}
	}
	if said < 10 {
		t.Errorf("only %d files said something: the search is wrong", said)
	}
}

func TestScrubbedParcelNamesTheOriginal(t *testing.T) {
	data, p := packed(t, true, nil)
	files := unzip(t, data)
	if bytes.Contains(files["case_26_working.stl"], []byte("Jane")) {
		t.Error("the header still names the patient")
	}
	for _, f := range p.Manifest().Files {
		scrubbed := f.Name == "case_26_working.stl"
		if (f.Original != "") != scrubbed || scrubbed && f.Original == f.SHA256 {
			t.Errorf("%s: original %q", f.Name, f.Original)
		}
	}
}

func TestReceipts(t *testing.T) {
	good := `{"schema":"selvage.receipt/1","parcel":"ab","answer":"query","reason":"margin-unclear","text":"distal","by":"T.","at":"2026-05-04T11:00:00Z"}`
	r, err := exchange.ParseReceipt([]byte(good))
	if err != nil || r.Answer != exchange.Query || r.Reason != exchange.MarginDoubt {
		t.Fatalf("%+v, %v", r, err)
	}
	for _, bad := range [][2]string{
		{`"query"`, `"perhaps"`},
		{`"margin-unclear"`, `"because"`},
		{`"by":"T."`, `"by":" "`},
		{`2026-05-04T11:00:00Z`, `today`},
		{`selvage.receipt/1`, `other/1`},
		{`"text":"distal"`, `"due":"2026-02-30"`},
		{`{`, ``},
	} {
		if _, err := exchange.ParseReceipt([]byte(strings.Replace(good, bad[0], bad[1], 1))); err == nil {
			t.Errorf("%s: it is taken for a receipt", bad[1])
		}
	}
}

func TestWordsInEveryLanguage(t *testing.T) {
	en, err := exchange.Words("en")
	must(t, err)
	de, err := exchange.Words("de")
	must(t, err)
	for k := range en {
		if de[k] == "" {
			t.Errorf("de lacks %q", k)
		}
	}
	var keys []string
	for _, a := range exchange.Answers() {
		keys = append(keys, "answer."+string(a))
	}
	for _, r := range exchange.ReceiptReasons() {
		keys = append(keys, "reason."+string(r))
	}
	for _, k := range keys {
		if en[k] == "" {
			t.Errorf("no word for %q", k)
		}
	}
	if len(en) != len(de) {
		t.Errorf("en has %d words, de %d", len(en), len(de))
	}
}
