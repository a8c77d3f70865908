package report

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/limit"
	"selvage/tooth"
)

//go:embed page.css
var pageCSS string

//go:embed page.html
var pageHTML string

//go:embed parts.html
var partsHTML string

// templates returns the page's template with its parts.
func templates() (*template.Template, error) {
	t, err := template.New("page").Parse(pageHTML)
	if err != nil {
		return nil, fmt.Errorf("report page: %w", err)
	}
	if _, err := t.New("parts").Parse(partsHTML); err != nil {
		return nil, fmt.Errorf("report page: %w", err)
	}
	return t, nil
}

// HTML returns the report as one page that loads nothing: style inside, pictures
// as data, no script. The page's own policy forbids everything else, so that a
// hostile name in a case can do nothing even if escaping had a hole.
func HTML(in Input) ([]byte, error) {
	t, err := templates()
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := t.Execute(&b, in.page()); err != nil {
		return nil, fmt.Errorf("report page: %w", err)
	}
	return b.Bytes(), nil
}

// page is what the template sees.
type page struct {
	W        *Words
	Title    string
	CSS      template.CSS
	CSSHash  string
	Report   casefile.Report
	Teeth    string
	Word     string
	Rest     string
	Glyph    glyph
	First    *card // the worst finding; nil for a clear case
	Show     *picture
	Next     []card // the worst of each other kind, for the first screen
	Then     []card
	Since    []sinceRow
	Fill     []card
	Notes    []card
	Ignore   []card
	Teethly  []toothPart
	Scans    []scanRow
	Edited   []string
	IsEdited bool
	Cautions []string
}

// sinceRow is what became of one finding since the check before.
type sinceRow struct{ Word, Text string }

// card is one finding as the page shows it.
type card struct {
	Ranked
	Kind    string // shape of its mark
	Verb    string
	Where   string
	Do      string
	Hold    string
	Picture *picture
	HoldPic *picture
	Section *picture
}

// toothPart is what the page says about one restoration.
type toothPart struct {
	Names    casefile.ToothNames
	Room     string
	RoomWhy  string
	RoomHeld string
	Overview *picture
	Map      *picture
	Bite     *picture
	Ring     *ring
	Measured []group
	Sources  []string
	Not      []reason
}

type picture struct {
	Src  template.URL
	W, H int
	Alt  string
}

type scanRow struct {
	Role, File, SHA, Triangles, Spacing, Noise, Moved string
	Flipped                                           bool
}

// nextMost is how many further kinds of finding the first screen names.
const nextMost = 3

// otherKinds returns the worst card of each code that neither first nor an earlier one
// has: thin room at three cusps must not hide a margin that is not on the scan. Cards
// that somebody else must act on than on first come first.
func otherKinds(first card, then []card) []card {
	seen := map[finding.Code]bool{first.Code: true}
	var others, same []card
	for _, c := range then {
		if seen[c.Code] {
			continue
		}
		seen[c.Code] = true
		if c.Kind != first.Kind {
			others = append(others, c)
		} else {
			same = append(same, c)
		}
	}
	out := append(others, same...)
	return out[:min(len(out), nextMost)]
}

func (in Input) page() page {
	w, rep := in.words(), in.Report
	rep.Case, rep.Line = inert(rep.Case), inert(rep.Line)
	rep.Program.Version, rep.Program.Limits = inert(rep.Program.Version), inert(rep.Program.Limits)
	rep.Assumed = slices.Clone(rep.Assumed)
	for i, a := range rep.Assumed {
		rep.Assumed[i] = inert(a)
	}
	order := Order(rep)
	s := sortOut(order)
	p := page{W: w, Report: rep, CSS: template.CSS(pageCSS), Cautions: w.Cautions(), Teeth: teethLine(rep)}
	sum := sha256.Sum256([]byte(pageCSS))
	p.CSSHash = "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
	p.Word, p.Rest = w.split(rep)
	p.Title = titleOf(p.Word, p.Rest, rep.Case)
	p.Rest = tied(p.Rest)
	n, side := tooth.Number(0), tooth.Surface("")
	if len(rep.Restorations) > 0 {
		n, _ = tooth.Parse(tooth.FDI, rep.Restorations[0].Tooth.FDI)
	}
	if len(s.act) > 0 && rep.Verdict != finding.Clear {
		c := in.card(s.act[0])
		p.First = &c
		if c.Tooth == n.String() { // only a place on the prepared tooth turns the shape
			side = c.Surface
		}
		p.Then = in.cards(s.act[1:])
		p.Next = otherKinds(c, p.Then)
		p.Show = c.Picture
	} else {
		p.Then = in.cards(s.act)
	}
	p.Glyph = glyphOf(rep.Verdict, n, side)
	if in.Elsewhere {
		s.fill = nil
	}
	for _, c := range in.Since {
		p.Since = append(p.Since, sinceRow{p.W.T("since." + string(c.State)), saidOf(c)})
	}
	p.Fill, p.Notes, p.Ignore = in.cards(s.fill), in.cards(s.notes), in.cards(s.ignore)
	for r := range rep.Restorations {
		p.Teethly = append(p.Teethly, in.toothPart(r, order))
	}
	if p.Show == nil && len(p.Teethly) > 0 {
		p.Show = p.Teethly[0].Overview
	}
	for _, sc := range rep.Scans {
		p.Scans = append(p.Scans, w.scanRow(sc))
	}
	p.Edited, p.IsEdited = in.edited()
	return p
}

func titleOf(word, rest, name string) string {
	parts := []string{word}
	if rest != "" {
		parts[0] += ": " + rest
	}
	if name != "" {
		parts = append(parts, name)
	}
	return strings.Join(append(parts, "Selvage"), " · ")
}

// teethLine names the teeth in all three systems: a wrong number is a wrong tooth.
func teethLine(rep casefile.Report) string {
	var parts []string
	for _, r := range rep.Restorations {
		parts = append(parts, r.Tooth.FDI+" (#"+r.Tooth.Universal+", "+r.Tooth.Palmer+")")
	}
	return strings.Join(parts, ", ")
}

func (in Input) cards(list []Ranked) []card {
	var out []card
	for _, f := range list {
		out = append(out, in.card(f))
	}
	return out
}

func (in Input) card(f Ranked) card {
	n := strconv.Itoa(f.N)
	f.Text, f.Advice, f.Source = tied(inert(f.Text)), tied(inert(f.Advice)), inert(in.words().Source(f.Source))
	do, hold := cutHold(f.Finding)
	return card{
		Ranked: f, Kind: kindOf(f.Action), Verb: in.words().T("action." + string(f.Action)), Where: in.words().where(f.Finding),
		Do: do, Hold: hold,
		Picture: in.picture("finding-"+n, f.Text), HoldPic: in.picture("hold-"+n, ""), Section: in.picture("section-"+n, f.Text),
	}
}

// picture returns the picture of a slot, nil if there is none; alt is used where the
// figure brings no sentence of its own.
func (in Input) picture(slot, alt string) *picture {
	f, ok := in.figure(slot)
	if !ok {
		return nil
	}
	if f.Alt != "" {
		alt = f.Alt
	}
	// The MIME type is one of two constants and the rest is base64: nothing of the
	// case reaches the URL, so it may pass the template's filter.
	src := template.URL("data:" + f.MIME + ";base64," + base64.StdEncoding.EncodeToString(f.Data))
	if f.URL != "" {
		src = template.URL(f.URL) // made by the page that serves it
	}
	return &picture{Src: src, W: f.W, H: f.H, Alt: inert(alt)}
}

func (in Input) toothPart(r int, order []Ranked) toothPart {
	i := strconv.Itoa(r)
	t := toothPart{
		Names:    in.Report.Restorations[r].Tooth,
		Overview: in.picture("overview-"+i, in.Report.Line), Map: in.picture("clearance-"+i, ""), Bite: in.picture("bite-"+i, ""),
	}
	t.Room, t.RoomWhy = in.leastRoom(r)
	t.Room = tied(t.Room)
	n, _ := tooth.Parse(tooth.FDI, t.Names.FDI)
	t.RoomHeld, _ = in.heldFor(r, n).of("clearance_patch_min_mm")
	t.RoomHeld = in.words().num(t.RoomHeld)
	if g, ok := in.ring(r, order); ok {
		t.Ring = &g
	}
	t.Measured, t.Not = parted(in.measures(r))
	for _, s := range sourced(t.Measured) {
		t.Sources = append(t.Sources, in.words().Source(s))
	}
	return t
}

func (w *Words) scanRow(s casefile.Scan) scanRow {
	r := scanRow{Role: w.T("role." + string(s.Role)), File: inert(s.File), SHA: s.SHA256, Triangles: thousands(s.Triangles), Flipped: s.Flipped}
	if s.SpacingMM != nil {
		r.Spacing = w.num(fmt.Sprintf("%.2f mm", *s.SpacingMM))
	}
	if s.NoiseUM != nil {
		r.Noise = fmt.Sprintf("%.0f µm", *s.NoiseUM)
	}
	if s.ToWorking != nil {
		r.Moved = fmt.Sprintf(w.T("files.moved"), w.num(fmt.Sprintf("%.2f", s.ToWorking.UMM)))
	}
	return r
}

// edited says whether the limits are a practice's own, and which rows differ from
// the table that comes with the program.
func (in Input) edited() (changes []string, edited bool) {
	if in.Limits != nil {
		for _, c := range in.Limits.Edited(limit.Default()) {
			changes = append(changes, inert(c.String()))
		}
		return changes, len(changes) > 0
	}
	for _, f := range Order(in.Report) {
		if f.Code == finding.LimitsEdited {
			return []string{inert(f.Text)}, true
		}
	}
	return nil, false
}
