package workorder_test

import (
	"bytes"
	"flag"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
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
	in.Photos = []workorder.Picture{{JPEG: taken(t, 1), Caption: "shade, with the tab"}}
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
	for _, want := range []string{"Measurement sheet", "1.23 ± 0.11 mm", "not measured: no scan from before", "Seen along the insertion axis.", "C-1007", "Photographs", "shade, with the tab"} {
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
	in.Reasons = map[string]string{"no scan from before the preparation": "kein Scan davor"}
	path := printed(t, in)
	one := page(t, path, "1")
	two := page(t, path, "2")
	for _, want := range []string{"1,23 ± 0,11 mm", "nicht gemessen: kein Scan davor", "Fotos"} {
		if !strings.Contains(two, want) {
			t.Errorf("the second sheet does not say %q:\n%s", want, two)
		}
	}
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

func TestInkWhereTheLawAsks(t *testing.T) {
	for rule, want := range map[string]bool{"us-oh": true, "us-fl": false} {
		in := signed(t)
		in.Order.Rule = rule
		one := page(t, printed(t, in), "1")
		if !strings.Contains(one, "Signed electronically") || strings.Contains(one, "Signature ____") != want {
			t.Errorf("%s: a line for ink is %v:\n%s", rule, !want, one)
		}
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

// taken is a photograph of 12 by 8 squares whose upper left quarter is black when it stands
// upright, stored turned or mirrored with the orientation that says so.
func taken(t testing.TB, orientation int) []byte {
	t.Helper()
	const w, h = 120, 80
	// at says where the point x, y of the upright picture lies in the stored one.
	wide, tall := w, h
	if orientation > 4 {
		wide, tall = h, w
	}
	at := func(x, y int) (int, int) {
		switch orientation {
		case 2:
			return w - 1 - x, y
		case 3:
			return w - 1 - x, h - 1 - y
		case 4:
			return x, h - 1 - y
		case 5:
			return y, x
		case 6:
			return y, w - 1 - x
		case 7:
			return h - 1 - y, w - 1 - x
		case 8:
			return h - 1 - y, x
		}
		return x, y
	}
	img := image.NewGray(image.Rect(0, 0, wide, tall))
	for y := range h {
		for x := range w {
			c := color.Gray{Y: 220}
			if x < w/2 && y < h/2 {
				c.Y = 0
			}
			i, j := at(x, y)
			img.SetGray(i, j, c)
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	exif := []byte("\xff\xe1\x00\x22Exif\x00\x00MM\x00\x2a\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x00\x00\x00\x00\x00\x00\x00")
	exif[29] = byte(orientation)
	return slices.Concat(b.Bytes()[:2], exif, b.Bytes()[2:])
}

// TestPhotographsStandUpright prints photographs of every orientation and looks at the
// rendered sheet: each has its dark quarter at the upper left.
func TestPhotographsStandUpright(t *testing.T) {
	for o := 1; o <= 8; o++ {
		in := signed(t)
		in.Pictures, in.Report = nil, nil
		in.Photos = []workorder.Picture{{JPEG: taken(t, o), Caption: "shade"}}
		img := rendered(t, printed(t, in), "2", "50")
		// The photograph is where much of its grey lies in a row and in a column.
		rows, columns := map[int]int{}, map[int]int{}
		for y := range img.Bounds().Dy() {
			for x := range img.Bounds().Dx() {
				if v := img.GrayAt(x, y).Y; v > 210 && v < 230 {
					rows[y]++
					columns[x]++
				}
			}
		}
		box := image.Rectangle{}
		for y, n := range rows {
			for x, m := range columns {
				if n > 40 && m > 30 {
					box = box.Union(image.Rect(x, y, x+1, y+1))
				}
			}
		}
		if box.Dx() < 100 || box.Dy() < 60 || box.Dx() < box.Dy() {
			t.Errorf("orientation %d: the photograph lies in %v", o, box)
			continue
		}
		for i, want := range []bool{true, false, false, false} {
			x, y := box.Min.X+box.Dx()*(1+2*(i%2))/4, box.Min.Y+box.Dy()*(1+2*(i/2))/4
			if dark := img.GrayAt(x, y).Y < 100; dark != want {
				t.Errorf("orientation %d: quarter %d is dark: %v", o, i, dark)
			}
		}
	}
}

// rendered is a sheet as poppler draws it, in grey.
func rendered(t *testing.T, path, n, dpi string) *image.Gray {
	t.Helper()
	base := filepath.Join(t.TempDir(), "sheet")
	ask(t, "pdftoppm", "-r", dpi, "-gray", "-png", "-f", n, "-l", n, "-singlefile", path, base)
	f, err := os.Open(base + ".png")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	out := image.NewGray(img.Bounds())
	draw.Draw(out, out.Bounds(), img, img.Bounds().Min, draw.Src)
	return out
}

var update = flag.Bool("update", false, "keep what the sheets look like now")

// How much of a sheet may look otherwise: letters are drawn a little otherwise from one
// version of poppler to the next.
const (
	tile    = 6  // pixels: about a letter's width
	differs = 24 // of 255, in the mean of a tile
	share   = 0.01
)

// TestSheetsLookAsKept compares the rendered sheets with those that somebody looked at.
func TestSheetsLookAsKept(t *testing.T) {
	german := signed(t)
	german.Lang, german.Order.Rule = "de", "eu"
	draft := signed(t)
	draft.Signed, draft.Version, draft.Hash, draft.Order.Disinfection = nil, 0, "", casefile.Disinfection{}
	house := signed(t)
	house.Order.Restorations = slices.Clone(house.Order.Restorations)
	house.Order.Restorations[0].MadeBy = casefile.InHouse
	for name, in := range map[string]workorder.Input{"signed": signed(t), "german": german, "draft": draft, "house": house} {
		path := printed(t, in)
		for _, n := range []string{"1", "2"} {
			got := rendered(t, path, n, "60")
			kept := filepath.Join("testdata", name+"-"+n+".png")
			if *update {
				var b bytes.Buffer
				if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, got); err != nil {
					t.Fatal(err)
				}
				if err := os.MkdirAll("testdata", 0o755); err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(kept, b.Bytes(), 0o644); err != nil {
					t.Fatal(err)
				}
				continue
			}
			data, err := os.ReadFile(kept)
			if err != nil {
				t.Fatal(err)
			}
			want, err := png.Decode(bytes.NewReader(data))
			if err != nil {
				t.Fatal(err)
			}
			if s := unlike(got, want); s > share {
				t.Errorf("%s, sheet %s: %.1f %% of it look otherwise; look at it, then go test ./internal/workorder -update", name, n, 100*s)
			}
		}
	}
}

// unlike is the share of a sheet's tiles that look otherwise; 1 where the size is another.
func unlike(a *image.Gray, b image.Image) float64 {
	if a.Bounds() != b.Bounds() {
		return 1
	}
	all, other := 0, 0
	for y := 0; y+tile <= a.Bounds().Dy(); y += tile {
		for x := 0; x+tile <= a.Bounds().Dx(); x += tile {
			sum := 0
			for j := range tile {
				for i := range tile {
					sum += int(a.GrayAt(x+i, y+j).Y) - int(color.GrayModel.Convert(b.At(x+i, y+j)).(color.Gray).Y)
				}
			}
			if all++; sum > differs*tile*tile || -sum > differs*tile*tile {
				other++
			}
		}
	}
	return float64(other) / float64(all)
}

// TestComparingSeesAChange: a shade that is another is seen.
func TestComparingSeesAChange(t *testing.T) {
	a, b := signed(t), signed(t)
	b.Order.Restorations = slices.Clone(b.Order.Restorations)
	b.Order.Restorations[0].Notes = strings.Repeat("another remark ", 20)
	x, y := rendered(t, printed(t, a), "1", "60"), rendered(t, printed(t, b), "1", "60")
	if s := unlike(x, y); s <= share {
		t.Errorf("%.2f %% look otherwise where a remark is another", 100*s)
	}
	if s := unlike(x, x); s != 0 {
		t.Errorf("a sheet is unlike itself by %.2f %%", 100*s)
	}
}

// BenchmarkPhotographs prints an order with two photographs of twelve megapixels, and six
// drawn pictures.
func BenchmarkPhotographs(b *testing.B) {
	in := signed(b)
	noise := image.NewRGBA(image.Rect(0, 0, 4000, 3000))
	for i := range noise.Pix {
		noise.Pix[i] = byte(i*7919>>5) | 0x80
		if i%4 == 3 {
			noise.Pix[i] = 0xff
		}
	}
	var j bytes.Buffer
	if err := jpeg.Encode(&j, noise, nil); err != nil {
		b.Fatal(err)
	}
	in.Photos = []workorder.Picture{{JPEG: j.Bytes()}, {JPEG: j.Bytes()}}
	var p bytes.Buffer
	if err := png.Encode(&p, noise.SubImage(image.Rect(0, 0, 960, 720))); err != nil {
		b.Fatal(err)
	}
	for range 6 {
		in.Show("overview-0", "image/png", p.Bytes(), "drawn")
	}
	b.ReportMetric(float64(2*j.Len()+6*p.Len())/1e6, "MB/pictures")
	for b.Loop() {
		if _, err := workorder.PDF(in); err != nil {
			b.Fatal(err)
		}
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
