package news

import (
	"sync"

	"selvage/finding"
	"selvage/internal/check"
	"selvage/measure"
)

// Part is what a part of a running check found. It is shown while the rest is measured
// and kept nowhere: the report has the whole.
type Part struct {
	Name  string // of [check.Parts]
	Found []PartFinding
	Seen  []PartMeasure
}

// PartFinding is one finding of a part.
type PartFinding struct {
	Action finding.Action
	Texts  map[string]string // by language
}

// PartMeasure is one number of a part, by its name in the report.
type PartMeasure struct {
	Name  string
	Value measure.Value
}

// Progress collects the phases and parts of one running check.
type Progress struct {
	tell func(Note)

	mu   sync.Mutex
	note Note
}

// Follow returns the progress of a check on a case, which is told to tell.
func Follow(caseID string, tell func(Note)) *Progress {
	return &Progress{tell: tell, note: Note{Case: caseID}}
}

// Phase tells that a phase begins.
func (p *Progress) Phase(phase string, done, total int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.note.Phase, p.note.Done, p.note.Of = phase, done, total
	p.tell(p.note)
}

// Part tells what a part found.
func (p *Progress) Part(c check.Part) {
	out := Part{Name: c.Name, Seen: seen(c)}
	for _, w := range finding.Catalogues() {
		for i, f := range c.Findings(w) {
			if i == len(out.Found) {
				out.Found = append(out.Found, PartFinding{Action: f.Action, Texts: map[string]string{}})
			}
			out.Found[i].Texts[w.Language] = f.Text
		}
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.note.Parts = append(p.note.Parts[:len(p.note.Parts):len(p.note.Parts)], out)
	p.tell(p.note)
}

// seen are the numbers worth reading before the end, of the first restoration.
func seen(c check.Part) []PartMeasure {
	var out []PartMeasure
	add := func(name string, v measure.Value) {
		if v.Measured() {
			out = append(out, PartMeasure{name, v})
		}
	}
	if len(c.Facts.Restorations) == 0 {
		return nil
	}
	r := c.Facts.Restorations[0]
	switch c.Name {
	case check.PartMargin:
		add("margin_length", r.Margin.Length)
		add("finish_width_min", r.FinishLine.WidthMin)
		add("convergence_mean_deg", r.ConvergenceMean)
	case check.PartBite:
		add("contacts", c.Facts.Bite.Contacts)
		add("penetration_max_mm", c.Facts.Bite.Penetration)
	case check.PartRoom:
		var least measure.Value
		for _, z := range r.Clearance {
			if z.Patch.Measured() && (!least.Measured() || z.Patch.V < least.V) {
				least = z.Patch
			}
		}
		add("clearance_patch_min_mm", least)
		add("undercut_depth_max_mm", r.Undercut.Depth)
	}
	return out
}
