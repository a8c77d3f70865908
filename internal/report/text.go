package report

import (
	"fmt"
	"io"
	"strconv"
	"strings"
)

// TextOptions says what the terminal can do.
type TextOptions struct {
	Width int  // columns; 0: 80; less than 40 counts as 40
	Plain bool // no bold and no banner: not a terminal, or the person asked for it
}

// TextOptionsFor reads what the environment says: plain where the output is not a
// terminal, where NO_COLOR is set to anything, or where TERM is dumb; width from
// the terminal, else from COLUMNS, else 80.
func TextOptionsFor(getenv func(string) string, terminal bool, width int) TextOptions {
	o := TextOptions{Width: width, Plain: !terminal || getenv("NO_COLOR") != "" || getenv("TERM") == "dumb"}
	if o.Width <= 0 {
		o.Width, _ = strconv.Atoi(getenv("COLUMNS"))
	}
	return o
}

func (o TextOptions) withDefaults() TextOptions {
	if o.Width <= 0 {
		o.Width = 80
	}
	o.Width = min(max(o.Width, 40), 110) // longer lines are hard to follow
	return o
}

// Text writes the report for a terminal: the verdict, what to do, and then
// everything else by falling need. Nothing is said by colour; on a terminal the
// verdict is set in large letters and headings in bold.
func Text(w io.Writer, in Input, o TextOptions) error {
	t := &teller{in: in, w: in.words(), o: o.withDefaults()}
	t.verdict()
	s := sortOut(Order(in.Report))
	t.findings("also", s.act)
	t.since()
	for r := range in.Report.Restorations {
		t.tooth(r)
	}
	t.brief("fill", s.fill)
	t.brief("notes", s.notes)
	t.brief("ignore", s.ignore)
	t.files()
	t.line("")
	t.wrap(t.w.T("mouth"), 0, 0)
	_, err := io.WriteString(w, t.b.String())
	return err
}

type teller struct {
	in Input
	w  *Words
	o  TextOptions
	b  strings.Builder
}

func (t *teller) verdict() {
	rep := t.in.Report
	word, rest := t.w.split(rep)
	if !t.o.Plain {
		if art, ok := banner(t.w.T("banner."+string(rep.Verdict)), t.o.Width); ok {
			t.line(art)
		}
	}
	head := strings.ToUpper(word)
	if rest != "" {
		head += ": " + rest
	}
	t.strong(head)
	var about []string
	if rep.Case != "" {
		about = append(about, t.w.T("case")+" "+rep.Case)
	}
	if s := teethLine(rep); s != "" {
		about = append(about, t.w.T("tooth")+" "+s)
	}
	about = append(about, t.w.T("stage."+string(rep.Stage)))
	t.wrap(strings.Join(about, ", "), 0, 0)
}

// findings tells what must be done, the worst first.
func (t *teller) findings(key string, list []Ranked) {
	for i, f := range list {
		if i == 1 {
			t.head(t.w.T(key))
		} else {
			t.line("")
		}
		lead := "    "
		if len(list) > 1 {
			lead = fmt.Sprintf("%2d  ", f.N)
		}
		verb := f.Advice
		if verb == "" {
			verb = t.w.T("action." + string(f.Action))
		}
		t.lead(lead, verb)
		t.wrap(f.Text, 4, 4)
	}
}

func (t *teller) brief(key string, list []Ranked) {
	if len(list) == 0 {
		return
	}
	t.head(t.w.T(key))
	for _, f := range list {
		t.wrap(strings.TrimSpace("- "+f.Text+" "+f.Advice), 2, 4)
	}
}

// since tells what changed since the check before.
func (t *teller) since() {
	if len(t.in.Since) == 0 {
		return
	}
	t.head(t.w.T("since"))
	for _, c := range t.in.Since {
		t.wrap("- "+t.w.T("since."+string(c.State))+": "+saidOf(c), 2, 4)
	}
}

// tooth tells what was measured on one tooth and what was not.
func (t *teller) tooth(r int) {
	made, not := parted(t.in.measures(r))
	name := t.w.T("tooth") + " " + t.in.Report.Restorations[r].Tooth.FDI
	if len(made) > 0 {
		t.head(t.w.T("measured") + ", " + name + " (± k = 2)")
		wide := 0
		for _, g := range made {
			for _, m := range g.Rows {
				wide = max(wide, columns(m.Name))
			}
		}
		wide = min(wide, t.o.Width/2)
		for _, g := range made {
			for _, m := range g.Rows {
				t.measure(m, wide)
			}
		}
	}
	if len(not) > 0 {
		t.head(t.w.T("not-measured") + ", " + name)
		for _, n := range not {
			t.wrap("- "+strings.Join(n.Names, ", ")+": "+n.Why, 2, 4)
		}
	}
}

// valueWide is the column for values: "-0.87 ± 0.07 mm" and a gap.
const valueWide = 17

func (t *teller) measure(m row, wide int) {
	pad := max(1, wide-columns(m.Name)+2)
	s := m.Name + strings.Repeat(" ", pad) + m.Value
	if m.Held != "" {
		// the page has the advised levels and the zones; a line has room for the first
		asked, _, _ := strings.Cut(m.Held, "; ")
		asked, _, _ = strings.Cut(asked, ", ")
		held := t.w.T("col.table") + " " + asked
		s += strings.Repeat(" ", max(2, wide+2+valueWide-columns(s)))
		if 2+columns(s)+columns(held) <= t.o.Width {
			s += held
		} else {
			t.line("  " + strings.TrimRight(s, " "))
			t.wrap(held, 2+wide+2, 2+wide+2)
			return
		}
	}
	t.line("  " + s)
}

func (t *teller) files() {
	t.head(t.w.T("files"))
	for _, s := range t.in.Report.Scans {
		r := t.w.scanRow(s)
		line := r.Role + ": " + r.File + ", " + r.Triangles + " " + t.w.T("files.triangles")
		if len(s.SHA256) >= 12 {
			line += ", " + s.SHA256[:12]
		}
		t.wrap(line, 2, 4)
	}
	for _, a := range t.in.Report.Assumed {
		t.wrap(t.w.T("assumed")+": "+a, 2, 4)
	}
	line := t.w.T("limits") + " " + t.in.Report.Program.Limits
	changes, edited := t.in.edited()
	if edited {
		line += ". " + t.w.T("limits.edited") + ": " + strings.Join(changes, "; ")
	}
	t.wrap(line, 2, 4)
	t.wrap(t.w.T("made.by")+" Selvage "+t.in.Report.Program.Version, 2, 4)
}

func (t *teller) line(s string) { t.b.WriteString(s + "\n") }

func (t *teller) head(s string) {
	t.line("")
	t.strong(s)
}

// strong writes a line that stands out: bold where the terminal can.
func (t *teller) strong(s string) {
	for _, l := range wrapped(inert(s), t.o.Width) {
		if t.o.Plain {
			t.line(l)
		} else {
			t.line("\x1b[1m" + l + "\x1b[0m")
		}
	}
}

// lead writes a strong paragraph after a number.
func (t *teller) lead(lead, s string) {
	for i, l := range wrapped(inert(s), t.o.Width-len(lead)) {
		if i > 0 {
			lead = strings.Repeat(" ", len(lead))
		}
		if t.o.Plain {
			t.line(lead + l)
		} else {
			t.line(lead + "\x1b[1m" + l + "\x1b[0m")
		}
	}
}

// wrap writes a paragraph, its first line moved in by first and the others by next.
func (t *teller) wrap(s string, first, next int) {
	in := first
	for _, l := range wrapped(inert(s), t.o.Width-max(first, next)) {
		t.line(strings.Repeat(" ", in) + l)
		in = next
	}
}
