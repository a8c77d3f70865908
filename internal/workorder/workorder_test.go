package workorder_test

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"selvage/internal/casefile"
	"selvage/internal/prescription"
	"selvage/internal/workorder"
	"selvage/limit"
	"selvage/measure"
	"selvage/shade"
	"selvage/tooth"
)

// tool returns the path of a program that reads a sheet back. WHY skipped: who builds the
// program elsewhere has it not; the gate installs it and says CI.
func tool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s is not installed", name)
		}
		t.Skipf("%s is not installed", name)
	}
	return path
}

func ask(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(tool(t, name), args...).Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

func is(b bool) *bool { return &b }

// signed is a whole order, signed, with its check.
func signed(t testing.TB) workorder.Input {
	t.Helper()
	c := casefile.Case{
		Name: "C-1007", Rule: "us-fl",
		Dates:        casefile.Dates{Written: "2026-05-04", Prepared: "2026-05-04", Due: "2026-05-13", Seat: "2026-05-18"},
		Prescriber:   casefile.Prescriber{Name: "Dr. Ada Berg", Licence: "D-77", Address: "1 Mill Lane, Anytown", Phone: "555 0100", Contact: "Reception, 8 to 12"},
		Laboratory:   casefile.Laboratory{Name: "North Bench", Address: "2 Mill Lane, Anytown", Licence: "L-9"},
		Patient:      casefile.Patient{Reference: "P-1007", Name: "Not To Be Printed"},
		Alerts:       []casefile.Alert{casefile.Nickel, casefile.Latex},
		Disinfection: casefile.Disinfection{NothingSent: is(true)}, Subcontract: casefile.SubcontractAsk,
		Restorations: []casefile.Restoration{{
			Tooth: casefile.CodeOf(tooth.Number(26)), Kind: casefile.Crown, Material: limit.LithiumDisilicate, Grade: "low translucency",
			Cement: limit.Adhesive, FinishLine: limit.HeavyChamfer, MarginDepth: casefile.AtGum, MadeBy: casefile.ByLaboratory,
			Shade:    casefile.Shade{Guide: "guide of ours", Body: "2M2", Stump: "ND3", BeforeDrying: is(true), Measured: &shade.Lab{L: 74, A: 1.5, B: 18}},
			Contacts: casefile.Contacts{Mesial: "firm", Distal: "light"}, Occlusion: casefile.Occlusion{Centric: "light", Excursions: "free"},
			IfSpaceShort: casefile.Call, Notes: "Match the neighbour; surface not too glossy.",
		}},
	}
	hash, err := prescription.Hash(c)
	if err != nil {
		t.Fatal(err)
	}
	in := workorder.Input{
		Order: c, Version: 2, Hash: hash, Program: "test",
		Signed: &workorder.Signature{By: "Dr. Ada Berg", At: time.Date(2026, 5, 4, 10, 30, 0, 0, time.UTC)},
	}
	rep := casefile.Report{
		Verdict: "clear", Line: "Nothing to scan again. For the dentist to review.",
		Scans: []casefile.Scan{{Role: "working", File: "upper.stl", SHA256: strings.Repeat("0123456789abcdef", 4)}},
	}
	m := casefile.Measures{ClearancePatch: casefile.Of(measure.Of(1.234, 0.11, measure.MM)), ReductionAxial: casefile.NotMeasured("no scan from before the preparation")}
	rep.Restorations = []casefile.RestorationReport{{Tooth: casefile.NamesOf(26), Measures: m}}
	in.Check(rep)
	grey := image.NewGray(image.Rect(0, 0, 60, 40))
	for i := range grey.Pix {
		grey.Pix[i] = byte(i)
	}
	grey.SetGray(0, 0, color.Gray{Y: 9})
	var b bytes.Buffer
	if err := png.Encode(&b, grey); err != nil {
		t.Fatal(err)
	}
	in.Show("overview-0", "image/png", b.Bytes(), "Seen along the insertion axis.")
	in.Show("section-1", "image/svg+xml", []byte("<svg/>"), "Not for paper.")
	return in
}

// printed prints an order and returns where it lies.
func printed(t *testing.T, in workorder.Input) string {
	t.Helper()
	data, err := workorder.PDF(in)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "order.pdf")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// page returns the text of a sheet as poppler reads it.
func page(t *testing.T, path, n string) string {
	return ask(t, "pdftotext", "-layout", "-f", n, "-l", n, path, "-")
}

func TestOrderReadBack(t *testing.T) {
	in := signed(t)
	path := printed(t, in)
	one := page(t, path, "1")
	for _, want := range []string{
		"Laboratory Procedure Prescription", // Florida's title
		"C-1007", "version 2", "P-1007", "26", "14", "UL6", "FDI (ISO 3950)", "Universal", "Palmer", "upper left first molar",
		"lithium disilicate", "low translucency", "heavy chamfer", "level with the gum", "adhesive", "2M2", "ND3", "guide of ours", "L* 74.0, a* 1.5, b* 18.0",
		"firm", "light", "free", "call us", "Match the neighbour; surface not too glossy.",
		"Wed 2026-05-13", "Mon 2026-05-18", "Dr. Ada Berg", "D-77", "1 Mill Lane, Anytown", "North Bench", "2 Mill Lane, Anytown", "L-9",
		"nickel", "No physical item accompanies this order.", "only if asked first", "upper.stl", "working arch", strings.Repeat("0123456789abcdef", 4),
		"Signed electronically by Dr. Ada Berg, 2026-05-04 10:30", in.Hash, "64B5-17.006", "1 / 2",
	} {
		if !strings.Contains(one, want) {
			t.Errorf("the first sheet does not say %q:\n%s", want, one)
		}
	}
	for _, never := range []string{"Not To Be Printed", "latex", "Not in this order"} {
		if strings.Contains(one, never) {
			t.Errorf("the first sheet says %q", never)
		}
	}
	two := page(t, path, "2")
	for _, want := range []string{"Measurement sheet", "1.23 ± 0.11 mm", "not measured: no scan from before", "Seen along the insertion axis.", "C-1007"} {
		if !strings.Contains(two, want) {
			t.Errorf("the second sheet does not say %q:\n%s", want, two)
		}
	}
	if strings.Contains(two, "Not for paper") {
		t.Error("a drawing that paper cannot hold was announced")
	}
	if out := ask(t, "pdfinfo", path); !strings.Contains(out, "letter") {
		t.Errorf("under a rule of the United States the paper is not letter:\n%s", out)
	}
}

// TestCodeReadBack scans the two-dimensional code from the sheet as it is rendered, in
// colour and in grey at the resolution of a fax.
func TestCodeReadBack(t *testing.T) {
	in := signed(t)
	path := printed(t, in)
	for _, how := range [][]string{{"-r", "150", "-png"}, {"-r", "100", "-gray", "-png"}} {
		base := filepath.Join(t.TempDir(), "sheet")
		ask(t, "pdftoppm", append(how, "-f", "1", "-l", "1", "-singlefile", path, base)...)
		got := strings.TrimSpace(ask(t, "zbarimg", "--quiet", "--raw", base+".png"))
		if got != in.Code() {
			t.Errorf("%v: the code says %q, want %q", how, got, in.Code())
		}
	}
	for _, want := range []string{"C-1007", "FDI 26", "version 2", in.Hash[:32]} {
		if !strings.Contains(in.Code(), want) {
			t.Errorf("the code lacks %q", want)
		}
	}
	if strings.Contains(in.Code(), "Printed") || strings.Contains(in.Code(), "Berg") {
		t.Error("the code names somebody")
	}
}

func TestDraftLeavesALineForInk(t *testing.T) {
	in := signed(t)
	in.Signed, in.Version, in.Hash = nil, 0, ""
	in.Order.Rule, in.Order.Disinfection = "eu", casefile.Disinfection{}
	in.Order.Restorations[0].Shade = casefile.Shade{}
	in.Missing = []workorder.Missing{
		{Lack: prescription.Lack{Field: prescription.ShadeBody, Tooth: 26}, Said: "to follow · A. Berg"},
		{Lack: prescription.Lack{Field: prescription.Disinfected}},
	}
	path := printed(t, in)
	one := page(t, path, "1")
	for _, want := range []string{"Laboratory work order", "Draft, not signed", "Signature ____", "Disinfected with ____", "shade: to follow · A. Berg; disinfection: not stated.", "Not signed. The work is not to begin before it is."} {
		if !strings.Contains(one, want) {
			t.Errorf("the draft does not say %q:\n%s", want, one)
		}
	}
	if strings.Contains(one, "version") {
		t.Error("a draft has a version")
	}
	if out := ask(t, "pdfinfo", path); !strings.Contains(out, "A4") {
		t.Errorf("the paper is not A4:\n%s", out)
	}
}

func TestGermanOrder(t *testing.T) {
	in := signed(t)
	in.Lang, in.Order.Rule = "de", "eu"
	one := page(t, printed(t, in), "1")
	for _, want := range []string{"Auftrag an das Labor", "Lithiumdisilikat", "tiefe Hohlkehle", "Zu diesem Auftrag gehört kein Gegenstand.", "Elektronisch unterschrieben von Dr. Ada Berg", "Mi 2026-05-13"} {
		if !strings.Contains(one, want) {
			t.Errorf("it does not say %q:\n%s", want, one)
		}
	}
	if strings.Contains(one, "[") {
		t.Errorf("a word is missing:\n%s", one)
	}
}

// TestOrderStaysOnOneSheet writes as much as the page lets one write.
func TestOrderStaysOnOneSheet(t *testing.T) {
	in := signed(t)
	long := strings.TrimSpace(strings.Repeat("a long remark about the surface ", 12))
	in.Order.Restorations[0].Notes, in.Order.Restorations[0].Shade.Character = long, long
	for _, f := range prescription.Fields()[:12] {
		in.Missing = append(in.Missing, workorder.Missing{Lack: prescription.Lack{Field: f}, Said: "sent anyway · A. Berg: agreed by telephone"})
	}
	for range 5 {
		in.Files = append(in.Files, in.Files[0])
	}
	path := printed(t, in)
	one := page(t, path, "1")
	if !strings.Contains(one, "Signed electronically") || strings.Count(strings.Join(strings.Fields(one), " "), "a long remark") != 24 {
		t.Errorf("the signature or a remark is not on the first sheet:\n%s", one)
	}
	if strings.Contains(page(t, path, "2"), "Signed electronically") {
		t.Error("the order runs over to the second sheet")
	}
}

func TestNameOnlyWhereTheLawAsks(t *testing.T) {
	in := signed(t)
	in.Order.Rule, in.Order.Patient.Name = "us-sc", "Printed Here"
	if one := page(t, printed(t, in), "1"); !strings.Contains(one, "Printed Here") {
		t.Errorf("South Carolina wants the patient's name:\n%s", one)
	}
}

func TestSameOrderSameBytes(t *testing.T) {
	a, err := workorder.PDF(signed(t))
	if err != nil {
		t.Fatal(err)
	}
	b, err := workorder.PDF(signed(t))
	if err != nil || !bytes.Equal(a, b) {
		t.Errorf("the same order gives other bytes (%v)", err)
	}
}

func TestOrderNeedsATooth(t *testing.T) {
	if _, err := workorder.PDF(workorder.Input{}); err == nil {
		t.Error("an order of nothing is printed")
	}
	if _, err := workorder.PDF(workorder.Input{Order: signed(t).Order, Lang: "xx"}); err == nil {
		t.Error("a language that nobody wrote is printed")
	}
}

func BenchmarkPDF(b *testing.B) {
	in := signed(b)
	for b.Loop() {
		if _, err := workorder.PDF(in); err != nil {
			b.Fatal(err)
		}
	}
}
