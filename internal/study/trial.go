package study

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/limit"
	"selvage/phantom"
	"selvage/r3"
	"selvage/tooth"
)

// Trial is one case that was made and checked. Its JSON holds all of it: a study that
// goes on where another stopped reads trials instead of making them.
type Trial struct {
	Number  int      `json:"case"`
	Tooth   string   `json:"tooth"`
	Faults  []string `json:"faults"`            // asked for and made
	Dropped []string `json:"dropped,omitempty"` // asked for, but not to be made on this tooth, and why
	Failed  string   `json:"failed,omitempty"`  // why the case could not be made
	Refused string   `json:"refused,omitempty"`

	Class     tooth.Class        `json:"class"`
	Finish    phantom.FinishLine `json:"finish_line"`
	NoiseUm   float64            `json:"noise_um"`
	SpacingMm float64            `json:"spacing_mm"`

	Verdict  finding.Verdict `json:"verdict,omitempty"`
	Expected finding.Verdict `json:"expected"`
	Due      []finding.Code  `json:"due"`       // what a perfect check raises
	DueNotes []finding.Code  `json:"due_notes"` // what it notes: beyond the advised level only
	Raised   []finding.Code  `json:"raised"`    // what was raised, proven or too close to call
	Noted    []finding.Code  `json:"noted"`     // what was noted: beyond the advised level only
	Close    []finding.Code  `json:"close"`     // codes whose truth is too close to a flag level to call
	CloseTo  []finding.Code  `json:"close_to"`  // codes whose truth is too close to an advised level

	Margin  *MarginError `json:"margin,omitempty"`
	Kind    string       `json:"kind,omitempty"` // of the finish line as it was measured
	Values  []reading    `json:"values"`         // by gauge
	Axis    reading      `json:"axis"`
	Refills []Refill     `json:"refills,omitempty"` // gaps scanned again as advised

	Registered []Registered `json:"registered,omitempty"` // scans laid on the working scan
}

// MarginError is how far the traced margin lies from the true one, over the points
// that are neither unclear nor beyond the data, in mm.
type MarginError struct {
	Mean    float64 `json:"mean_mm"`
	P95     float64 `json:"p95_mm"`
	Largest float64 `json:"largest_mm"`
}

// bench makes the cases of one worker.
type bench struct{ maker phantom.Maker }

// run makes and checks the case of a plan. A fault that cannot be made on its tooth is
// left out and named.
func (w *bench) run(ctx context.Context, p Plan) (Trial, error) {
	t := Trial{
		Number: p.Number, Tooth: p.Spec.Tooth.String(), Class: p.Spec.Tooth.Class(), Finish: p.Spec.Stump.FinishLine,
		NoiseUm: p.Spec.Scanner.Noise * 1000, SpacingMm: p.Spec.Scanner.Fine,
	}
	c, err := w.maker.Make(p.Spec)
	for {
		var missing *phantom.FaultError
		if !errors.As(err, &missing) {
			break
		}
		t.Dropped = append(t.Dropped, missing.Error())
		p.Spec.Faults = slices.DeleteFunc(slices.Clone(p.Spec.Faults), func(f phantom.Fault) bool { return f.Name == missing.Name })
		c, err = w.maker.Make(p.Spec)
	}
	for _, f := range p.Spec.Faults {
		t.Faults = append(t.Faults, f.Name)
	}
	if err != nil {
		t.Failed = err.Error()
		return t, nil
	}
	order, files, err := Files(fmt.Sprintf("study-%d", p.Number), c)
	if err != nil {
		return t, err
	}
	t.want(c.Truth)
	out, err := check.Run(ctx, check.Input{Case: order, Files: files, Stage: finding.Final}, nil)
	var refused *check.InputError
	switch {
	case errors.As(err, &refused):
		t.Refused = refused.Error()
		return t, nil
	case err != nil:
		return t, fmt.Errorf("case %d (tooth %s, faults %q): %w", p.Number, t.Tooth, t.Faults, err)
	}
	t.got(c.Truth, out, order)
	t.Refills = refill(c, out.Report)
	t.Registered = registered(c.Truth, out)
	return t, nil
}

// want notes what a perfect check would say.
func (t *Trial) want(truth phantom.Truth) {
	for _, f := range truth.Findings {
		if f.Level == "advise" {
			t.DueNotes = add(t.DueNotes, finding.Code(f.Code))
		} else {
			t.Due = add(t.Due, finding.Code(f.Code))
		}
	}
	t.DueNotes = without(t.DueNotes, t.Due)
	t.Expected = expected(t.Due)
}

// expected is the verdict that follows from codes by their usual actions, in the
// order of the contract: files, then surface and bite, then the bur, then margin and
// contact areas.
func expected(codes []finding.Code) finding.Verdict {
	verdict, rank := finding.Clear, math.MaxInt
	for _, c := range codes {
		a, _ := c.Usual()
		v, r := finding.Clear, math.MaxInt
		switch a {
		case finding.CheckFiles:
			v, r = finding.NotChecked, 1
		case finding.ScanAgain, finding.OpenMargin:
			v, r = finding.ScanAgainNow, 2
			if marginOrContact(c) {
				r = 4
			}
		case finding.AskDentist:
			v, r = finding.AskDentistFirst, 3
		case finding.FillIn, finding.Note:
		}
		if r < rank {
			verdict, rank = v, r
		}
	}
	return verdict
}

func marginOrContact(c finding.Code) bool {
	return slices.Contains([]finding.Code{
		finding.MarginNotCaptured, finding.MarginUnclear, finding.MarginTwoLines,
		finding.ContactAreaMissing, finding.SamplingCoarse,
	}, c)
}

// got notes what the check said.
func (t *Trial) got(truth phantom.Truth, out check.Outcome, order casefile.Case) {
	rep := out.Report
	t.Verdict = rep.Verdict
	t.note(rep.Findings)
	for _, r := range rep.Restorations {
		t.note(r.Findings)
	}
	t.Noted = without(t.Noted, t.Raised)
	o := order.Restorations[0]
	q := limit.Selector{Material: o.Material, Cement: o.Cement, Class: string(o.Tooth.Number().Class())}
	for _, c := range finding.Codes() {
		near := closeTo(c, truth, out.Facts, out.Limits, q)
		if near.flag {
			t.Close = append(t.Close, c)
		}
		if near.advise {
			t.CloseTo = append(t.CloseTo, c)
		}
	}
	if len(truth.Restorations) > 0 && len(rep.Restorations) > 0 {
		t.measure(truth.Restorations[0], rep.Restorations[0].Measures)
	}
}

// note sorts findings by whether they act.
func (t *Trial) note(fs []casefile.Finding) {
	for _, f := range fs {
		switch {
		case slices.Contains(unjudged, f.Code):
		case f.Call == finding.Advised:
			t.Noted = add(t.Noted, f.Code)
		default:
			t.Raised = add(t.Raised, f.Code)
		}
	}
}

// unjudged are the codes that no phantom's truth speaks of: they follow from the
// prescription, the limit table or a file's name alone, and are tested by rule.
var unjudged = []finding.Code{
	finding.CeramicWeak, finding.DateImpossible, finding.LimitsEdited, finding.FileTypeDiffers,
}

// measure notes every scalar, the axis and the margin beside their truth.
func (t *Trial) measure(truth phantom.Restoration, m casefile.Measures) {
	t.Kind = string(m.FinishLine.Kind)
	t.Values = make([]reading, len(gauges))
	for i, g := range gauges {
		v := g.value(m)
		t.Values[i] = reading{made: v.Measured(), sample: sample{t.Number, v.Value, g.truth(truth), v.U}}
	}
	if a := m.InsertionAxis; a.Not == "" && a.Scan == finding.RoleWorking {
		angle := r3.V(a.Value[0], a.Value[1], a.Value[2]).Angle(truth.InsertionAxis.Vec())
		t.Axis = reading{made: true, sample: sample{t.Number, angle * 180 / math.Pi, 0, a.UDeg}}
	}
	if m.Margin.Not == "" && m.Margin.Scan == finding.RoleWorking {
		t.Margin = marginError(m.Margin, truth.Margin.Points)
	}
}

// marginError measures from the traced points to the true polyline.
func marginError(m casefile.Margin, truth []phantom.Point) *MarginError {
	if len(truth) < 2 {
		return nil
	}
	doubtful := make([]bool, len(m.Points))
	for _, s := range m.Stretches {
		for i := s.From; ; i = (i + 1) % len(m.Points) {
			doubtful[i] = true
			if i == s.To {
				break
			}
		}
	}
	var ds []float64
	sum := 0.0
	for i, p := range m.Points {
		if doubtful[i] {
			continue
		}
		d := distance(r3.V(p[0], p[1], p[2]), truth)
		ds = append(ds, d)
		sum += d
	}
	if len(ds) == 0 {
		return nil
	}
	slices.Sort(ds)
	return &MarginError{Mean: sum / float64(len(ds)), P95: ds[max(0, int(math.Ceil(0.95*float64(len(ds))))-1)], Largest: ds[len(ds)-1]}
}

// distance returns the least distance from p to a closed polyline.
func distance(p r3.Vec, line []phantom.Point) float64 {
	best2 := math.Inf(1)
	for i := range line {
		a, b := line[i].Vec(), line[(i+1)%len(line)].Vec()
		ab := b.Sub(a)
		s := 0.0
		if n2 := ab.Norm2(); n2 > 0 {
			s = min(1, max(0, p.Sub(a).Dot(ab)/n2))
		}
		best2 = min(best2, p.Dist2(a.AddScaled(s, ab)))
	}
	return math.Sqrt(best2)
}

// without returns the codes that are not in other.
func without(codes, other []finding.Code) []finding.Code {
	return slices.DeleteFunc(codes, func(c finding.Code) bool { return slices.Contains(other, c) })
}

// add appends a code once.
func add(codes []finding.Code, c finding.Code) []finding.Code {
	if slices.Contains(codes, c) {
		return codes
	}
	return append(codes, c)
}
