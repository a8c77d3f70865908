package prescription

import (
	"slices"

	"selvage/internal/casefile"
	"selvage/limit"
	"selvage/tooth"
)

// Step is a step of the work at which an alert matters.
type Step string

// The steps.
const (
	AtInjection  Step = "injection"
	AtIsolation  Step = "isolation"
	AtRetraction Step = "retraction"
	AtMaterial   Step = "material"
	AtSeating    Step = "seating"
)

// Steps lists the steps in their order.
func Steps() []Step {
	return []Step{AtInjection, AtIsolation, AtRetraction, AtMaterial, AtSeating}
}

// matters says at which steps an alert matters.
var matters = map[Step][]casefile.Alert{
	AtInjection:  {casefile.Adrenaline, casefile.Anticoagulant},
	AtIsolation:  {casefile.Latex},
	AtRetraction: {casefile.Adrenaline, casefile.Anticoagulant, casefile.Pacemaker},
	AtMaterial:   {casefile.Nickel, casefile.Resin},
	AtSeating:    {casefile.Resin, casefile.Latex},
}

// AlertsAt returns those of the alerts that matter at a step.
func AlertsAt(s Step, alerts []casefile.Alert) []casefile.Alert {
	var out []casefile.Alert
	for _, a := range matters[s] {
		if slices.Contains(alerts, a) {
			out = append(out, a)
		}
	}
	return out
}

// Clash is two things in a prescription that do not go together.
type Clash struct {
	Why   Why
	Tooth tooth.Number
}

// Why is what does not go together.
type Why string

// The clashes.
const (
	NickelInMetal    Why = "nickel-in-metal"    // an alloy that may hold nickel, for who must not touch it
	ResinInCement    Why = "resin-in-cement"    // bonded with methacrylate, for who must not touch it
	ShadeAfterDrying Why = "shade-after-drying" // a dry tooth is lighter
	ShadeWhen        Why = "shade-when"         // nobody said whether the tooth was dry
	ShadeNoGuide     Why = "shade-no-guide"     // a colour by no guide means nothing
)

// Whys lists the clashes.
func Whys() []Why {
	return []Why{NickelInMetal, ResinInCement, ShadeAfterDrying, ShadeWhen, ShadeNoGuide}
}

// Clashes lists what does not go together in c.
func Clashes(c casefile.Case) []Clash {
	var out []Clash
	for _, r := range c.Restorations {
		n := r.Tooth.Number()
		add := func(w Why, yes bool) {
			if yes {
				out = append(out, Clash{Why: w, Tooth: n})
			}
		}
		alloy := r.Material == limit.BaseAlloy || r.Material == limit.MetalCeramic
		add(NickelInMetal, alloy && slices.Contains(c.Alerts, casefile.Nickel))
		add(ResinInCement, r.Cement == limit.Adhesive && slices.Contains(c.Alerts, casefile.Resin))
		shaded := coloured(r.Material) && r.Shade.Body != ""
		add(ShadeAfterDrying, shaded && r.Shade.BeforeDrying != nil && !*r.Shade.BeforeDrying)
		add(ShadeWhen, shaded && r.Shade.BeforeDrying == nil)
		add(ShadeNoGuide, shaded && r.Shade.Guide == "")
	}
	return out
}

// Fit is whether a material fits into the room that was measured.
type Fit struct {
	Material limit.Material
	NeedMM   float64 // at the cusps that hold the bite, cement included
	Fits     Fits
}

// Fits is how a material fits.
type Fits string

// The answers. Close is nearer to the limit than the uncertainty of the measure.
const (
	There    Fits = "fits"
	Close    Fits = "close"
	Short    Fits = "short"
	NotKnown Fits = "not-known" // the room was not measured
)

// Fitting holds the room over a prepared tooth against what each material needs there: the
// least room anywhere against its minimum at the cusps that do not hold the bite, and the
// least room at those that do against its minimum there.
func Fitting(t limit.Table, r casefile.RestorationReport, class string) []Fit {
	var out []Fit
	for _, m := range limit.Materials() {
		anywhere, ok := t.Clearance(limit.Selector{Material: m, Zone: limit.NonFunctional, Class: class})
		holding, ok2 := t.Clearance(limit.Selector{Material: m, Zone: limit.Functional, Class: class})
		if !ok || !ok2 {
			continue
		}
		f := Fit{Material: m, NeedMM: holding.Flag.V, Fits: against(r.Measures.ClearancePatch, anywhere.Flag.V)}
		if g := against(r.Measures.ClearanceFunc, holding.Flag.V); worse(g, f.Fits) && g != NotKnown {
			f.Fits = g
		}
		out = append(out, f)
	}
	return out
}

func against(m casefile.Measure, need float64) Fits {
	switch {
	case !m.Measured():
		return NotKnown
	case m.Value >= need+m.U:
		return There
	case m.Value > need-m.U:
		return Close
	default:
		return Short
	}
}

func worse(a, b Fits) bool {
	order := []Fits{There, Close, Short, NotKnown}
	return slices.Index(order, a) > slices.Index(order, b)
}
