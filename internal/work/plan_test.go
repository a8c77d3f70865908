package work_test

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/jpeg"
	"slices"
	"strings"
	"testing"
	"time"

	"selvage/internal/casefile"
	"selvage/internal/photo"
	"selvage/internal/prescription"
	"selvage/internal/turnaround"
	"selvage/internal/work"
	"selvage/limit"
)

// monday is ten in the morning of a Monday.
var monday = time.Date(2026, 5, 4, 10, 0, 0, 0, time.UTC)

// profiled is a desk of a practice with one laboratory, and a case in it.
func profiled(t *testing.T) (*work.Desk, string) {
	t.Helper()
	d := open(t, t.TempDir())
	return d, profile(t, d)
}

// profile gives a desk a practice and a laboratory, and makes a case.
func profile(t *testing.T, d *work.Desk) (id string) {
	t.Helper()
	ctx := context.Background()
	ok(t, d.SetPractice(ctx, "m", prescription.Practice{
		Name: "Mill Lane", Address: "1 Mill Lane", Phone: "555", Rule: "us-fl", Region: "US",
		Prescribers: []prescription.Prescriber{{Name: "Dr. A", Licence: "D-1"}},
	}))
	ok(t, d.SetLaboratory(ctx, "m", prescription.Laboratory{
		Name: "Lab", Address: "2 Mill Lane", Licence: "L-1", CutOff: "15:00", Days: 5, Back: 2, FilesOnly: true, Contacts: "light", IfShort: casefile.Call,
	}))
	id, err := d.NewCase(ctx, "a", "C-1", "")
	ok(t, err)
	ok(t, d.SetOrder(ctx, "a", id, name26))
	return id
}

func TestPrescriptionIsFilledInFromProfiles(t *testing.T) {
	d, id := profiled(t)
	p, err := d.Plan(context.Background(), see(t, d, id), "Dr. A", monday)
	ok(t, err)
	if p.Order.Laboratory.Name != "Lab" || p.Order.Prescriber.Licence != "D-1" || p.Order.Restorations[0].Contacts.Mesial != "light" || !p.Ruled {
		t.Errorf("filled in: %+v", p.Order)
	}
	var lacks []prescription.Field
	for _, l := range p.Missing {
		lacks = append(lacks, l.Field)
	}
	if want := []prescription.Field{"patient.reference", "dates.due", "dates.seat", "shade.body", "shade.stump"}; !slices.Equal(lacks, want) || p.Open != len(want) {
		t.Errorf("it lacks %v (%d open), want %v", lacks, p.Open, want)
	}
	if !p.Foreseen || p.Forecast.Due.String() != "2026-05-13" || p.Forecast.Seat.String() != "2026-05-15" {
		t.Errorf("foreseen %+v", p.Forecast)
	}
}

func TestMissingIsMarkedWithNameAndReason(t *testing.T) {
	d, id := profiled(t)
	ctx := context.Background()
	var problem *work.Problem
	if err := d.Mark(ctx, "a", id, work.Mark{Lack: "dates.due", How: work.SendAnyway, Reason: " "}); !errors.As(err, &problem) {
		t.Errorf("it is sent without, and nobody says why: %v", err)
	}
	ok(t, d.Mark(ctx, "a", id, work.Mark{Lack: "26 shade.body", How: work.ToFollow}))
	ok(t, d.Mark(ctx, "b", id, work.Mark{Lack: "dates.due", How: work.SendAnyway, Reason: "by telephone"}))
	p, err := d.Plan(ctx, see(t, d, id), "", monday)
	ok(t, err)
	if p.Open != len(p.Missing)-2 {
		t.Errorf("%d of %d are open", p.Open, len(p.Missing))
	}
	c := see(t, d, id)
	if m, said := c.Marked(prescription.Lack{Field: prescription.Due}); !said || m.By != "b" || m.Reason != "by telephone" {
		t.Errorf("marked %+v", m)
	}
	ok(t, d.Mark(ctx, "b", id, work.Mark{Lack: "dates.due"}))
	if _, said := see(t, d, id).Marked(prescription.Lack{Field: prescription.Due}); said {
		t.Error("what was taken back still stands")
	}
}

func TestSigningMakesAVersion(t *testing.T) {
	d, id := profiled(t)
	ctx := context.Background()
	plan := func() work.Plan {
		p, err := d.Plan(ctx, see(t, d, id), "Dr. A", monday)
		ok(t, err)
		return p
	}
	was := plan().Hash
	ok(t, d.SetOrder(ctx, "a", id, func(c *casefile.Case) error { c.Restorations[0].Shade.Body = "2M2"; return nil }))
	var problem *work.Problem
	if err := d.Prescribe(ctx, "dr", "Dr. A", id, was, monday); !errors.As(err, &problem) {
		t.Errorf("something was signed that was not shown: %v", err)
	}
	first := plan().Hash
	ok(t, d.Prescribe(ctx, "dr", "Dr. A", id, first, monday))
	v, current, signed := see(t, d, id).Prescribed()
	if !signed || !current || v.N != 1 || v.By != "dr" || v.Hash != first || v.Order.Laboratory.Name != "Lab" {
		t.Fatalf("signed %v, current %v: %+v", signed, current, v)
	}
	ok(t, d.Prescribe(ctx, "dr", "Dr. A", id, first, monday)) // once more signs nothing new

	ok(t, d.SetOrder(ctx, "a", id, func(c *casefile.Case) error { c.Restorations[0].Shade.Guide = "another"; return nil }))
	c := see(t, d, id)
	if v, current, _ := c.Prescribed(); current || v.N != 1 || v.Order.Restorations[0].Shade.Guide != "" {
		t.Errorf("after a change version %d counts: %v", v.N, current)
	}
	if c.Order.Restorations[0].Shade.Body != "2M2" {
		t.Error("another guide wiped the shade")
	}
	ok(t, d.Prescribe(ctx, "dr", "Dr. A", id, plan().Hash, monday.AddDate(0, 0, 3)))
	c = see(t, d, id)
	if v, current, _ := c.Prescribed(); !current || v.N != 2 || len(c.Versions) != 2 || c.Versions[0].Hash != first {
		t.Errorf("the second version: %+v", c.Versions)
	}
}

func TestDateIsKeptWithAReason(t *testing.T) {
	d, id := profiled(t)
	ctx := context.Background()
	ok(t, d.SetOrder(ctx, "a", id, func(c *casefile.Case) error { c.Dates.Due, c.Dates.Seat = "2026-05-08", "2026-05-15"; return nil }))
	plan := func() work.Plan {
		p, err := d.Plan(ctx, see(t, d, id), "", monday)
		ok(t, err)
		return p
	}
	if k := plan().Dates; len(k) != 1 || k[0].Why != turnaround.DueTooEarly || k[0].Nearest.String() != "2026-05-13" {
		t.Fatalf("clashes %+v", k)
	}
	var problem *work.Problem
	if err := d.KeepDate(ctx, "a", id, work.Kept{Why: turnaround.DueTooEarly, Day: "2026-05-08"}); !errors.As(err, &problem) {
		t.Errorf("kept without a reason: %v", err)
	}
	ok(t, d.KeepDate(ctx, "a", id, work.Kept{Why: turnaround.DueTooEarly, Day: "2026-05-08", Reason: "agreed by telephone"}))
	if k := plan().Dates; len(k) != 0 {
		t.Errorf("it still warns: %+v", k)
	}
	// Another day is another question.
	ok(t, d.SetOrder(ctx, "a", id, func(c *casefile.Case) error { c.Dates.Due = "2026-05-07"; return nil }))
	if k := plan().Dates; len(k) != 1 {
		t.Errorf("the seventh is kept unasked: %+v", k)
	}
}

// A new shade leaves the check as good as it was; a new material does not.
func TestOnlyWhatIsMeasuredVoidsACheck(t *testing.T) {
	d := open(t, t.TempDir())
	ctx := context.Background()
	id, err := d.NewCase(ctx, "a", "C-1", "")
	ok(t, err)
	ok(t, d.SetOrder(ctx, "a", id, name26))
	ok(t, d.AddScans(ctx, "a", id, []work.Incoming{{Name: "x.stl", Data: strings.NewReader("no scan")}}))
	asked := len(see(t, d, id).Checks)
	ok(t, d.SetOrder(ctx, "a", id, func(c *casefile.Case) error {
		c.Restorations[0].Shade.Body, c.Dates.Due, c.Patient.Reference = "2M2", "2026-05-08", "P-1"
		return nil
	}))
	if n := len(see(t, d, id).Checks); n != asked || asked == 0 {
		t.Errorf("%d checks were asked for, then %d", asked, n)
	}
	ok(t, d.SetOrder(ctx, "a", id, func(c *casefile.Case) error { c.Restorations[0].Material = limit.Leucite; return nil }))
	if n := len(see(t, d, id).Checks); n != asked+1 {
		t.Errorf("%d checks after another material, want %d", n, asked+1)
	}
}

// Signing fills in that a laboratory makes it; the check, and what was decided on it, stand.
func TestSigningLeavesTheCheck(t *testing.T) {
	d, id := profiled(t)
	ctx := context.Background()
	ok(t, d.AddScans(ctx, "a", id, []work.Incoming{{Name: "x.stl", Data: strings.NewReader("no scan")}}))
	asked := len(see(t, d, id).Checks)
	p, err := d.Plan(ctx, see(t, d, id), "Dr. A", monday)
	ok(t, err)
	ok(t, d.Prescribe(ctx, "dr", "Dr. A", id, p.Hash, monday))
	c := see(t, d, id)
	if c.Order.Restorations[0].MadeBy != casefile.ByLaboratory || len(c.Checks) != asked {
		t.Errorf("made by %q; %d checks, then %d", c.Order.Restorations[0].MadeBy, asked, len(c.Checks))
	}
}

func TestPhotographsLoseWhatTheyTell(t *testing.T) {
	d, id := profiled(t)
	ctx := context.Background()
	img := image.NewGray(image.Rect(0, 0, 64, 64))
	for i := range img.Pix {
		img.Pix[i] = byte(60 + 100*(i/7%2))
	}
	var b bytes.Buffer
	ok(t, jpeg.Encode(&b, img, nil))
	told := append(append([]byte{0xff, 0xd8, 0xff, 0xfe, 0, 10}, "Jane Roe"...), b.Bytes()[2:]...)
	var problem *work.Problem
	if err := d.AddPhoto(ctx, "a", id, work.ShowsShade, []byte("no picture")); !errors.As(err, &problem) {
		t.Errorf("what is no picture is taken in: %v", err)
	}
	ok(t, d.AddPhoto(ctx, "a", id, work.ShowsShade, told))
	ok(t, d.AddPhoto(ctx, "a", id, work.ShowsShade, told)) // the same once more
	p := see(t, d, id).Photos
	if len(p) != 1 || p[0].MIME != "image/jpeg" || p[0].W != 64 || !slices.Contains(p[0].Doubts, photo.TooSmall) {
		t.Fatalf("photographs: %+v", p)
	}
	kept, err := d.Figure(ctx, p[0].Hash)
	if err != nil || bytes.Contains(kept, []byte("Jane")) {
		t.Errorf("what is kept tells who it is (%v)", err)
	}
	onPaper := func() bool {
		c := see(t, d, id)
		plan, err := d.Plan(ctx, c, "", monday)
		ok(t, err)
		data, err := d.WorkOrder(ctx, c, plan, wish())
		ok(t, err)
		return bytes.Contains(data, []byte("/DCTDecode"))
	}
	if !onPaper() {
		t.Error("the photograph is not on the work order")
	}
	ok(t, d.DropPhoto(ctx, "a", id, p[0].ID))
	if onPaper() {
		t.Error("the photograph was taken out and is on the work order")
	}
	if len(see(t, d, id).Photos) != 0 {
		t.Error("it was taken out and is there")
	}
}
