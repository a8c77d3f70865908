package check

import (
	"math"
	"testing"

	"selvage/coverage"
	"selvage/dentition"
	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/limit"
	"selvage/measure"
	"selvage/mesh"
	"selvage/occlusion"
	"selvage/prep"
	"selvage/prep/axis"
	"selvage/r3"
	"selvage/tooth"
)

// ringed is a restoration whose margin is a circle of 5 mm radius about the origin, mesial
// towards x and buccal towards y, with states from one azimuth to another, in half degrees.
func ringed(n tooth.Number, state prep.MarginState, from, to int) *restoration {
	p := &prep.Preparation{Axis: r3.V(0, 0, 1), Mesial: r3.V(1, 0, 0), Buccal: r3.V(0, 1, 0), Spacing: 0.1, Mesh: &mesh.Mesh{}}
	m := &prep.Margin{Fan: &prep.Fan{Prep: p}}
	for i := range 720 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 720)
		pt := prep.MarginPoint{At: r3.V(5*c, 5*s, 0), Azimuth: 2 * math.Pi * float64(i) / 720, Traced: true}
		if i >= from && i < to {
			pt.State = state
		}
		m.Points = append(m.Points, pt)
	}
	r := &restoration{number: n, prep: p, margin: m, source: &Scan{}, axis: axis.Result{OK: true, Axis: r3.V(0, 0, 1)}}
	r.prepared = dentition.Prepared{Sighting: dentition.Seen, Number: n, Buccal: r3.V(0, 1, 0), Mesial: r3.V(1, 0, 0), Occlusal: r3.V(0, 0, 1)}
	return r
}

// TestHoldingSide: the bite as scanned tells a crossbite, once it is out of its uncertainty;
// else the jaw tells which cusps hold.
func TestHoldingSide(t *testing.T) {
	for _, c := range []struct {
		tooth tooth.Number
		side  measure.Value
		want  float64 // along buccal
	}{
		{36, measure.Not("no contact"), 1},
		{26, measure.Not("no contact"), -1},
		{36, measure.Of(-0.4, 0.5, measure.MM), 1},
		{36, measure.Of(-0.6, 0.5, measure.MM), -1},
		{26, measure.Of(0.4, 0.5, measure.MM), -1},
		{26, measure.Of(0.6, 0.5, measure.MM), 1},
	} {
		r := ringed(c.tooth, 0, 0, 0)
		r.bite.HoldingSide = c.side
		if got := r.holding().Y; got != c.want {
			t.Errorf("%v with the contacts %+v: holding side %v, want %v", c.tooth, c.side, got, c.want)
		}
	}
}

// TestPathIsFreedWithinTheCone: the axis may lean away from the neighbour in the way as far
// as the walls let it; where it would have to lean further nothing is proposed.
func TestPathIsFreedWithinTheCone(t *testing.T) {
	for _, c := range []struct {
		tilt   float64
		mesial bool
		free   bool
		in     tooth.Number
		from   tooth.Surface
	}{
		{0.05, true, true, 25, tooth.Distal},
		{0.05, false, true, 27, tooth.Mesial},
		{0.15, true, false, 25, ""},
		{0, false, false, 27, ""},
	} {
		r := ringed(26, 0, 0, 0)
		r.prepared.Mesially.Number, r.prepared.Distally.Number = 25, 27
		r.axis.Cone = 0.1
		r.path.Tilt, r.path.Mesial, r.path.Away = c.tilt, c.mesial, r3.V(0.05, 0, 1)
		f := r.pathFacts()
		if f.Neighbour != c.in || (f.Free != nil) != c.free || f.Free != nil && f.Free.From != c.from {
			t.Errorf("%+v: %+v", c, f)
		}
	}
}

// TestFound: another kind of restoration than a crown that is not seen may be there all the
// same; a crown's tooth seen elsewhere speaks against the prescription, one not seen does not.
func TestFound(t *testing.T) {
	for _, c := range []struct {
		kind casefile.Kind
		seen dentition.Sighting
		want finding.Found
	}{
		{casefile.Crown, dentition.Seen, finding.Found{Answer: finding.Yes, Tooth: 26}},
		{casefile.Crown, dentition.NoneSeen, finding.Found{Answer: finding.No}},
		{casefile.Crown, dentition.Elsewhere, finding.Found{Answer: finding.No, Sure: true}},
		{casefile.Crown, dentition.WrongSide, finding.Found{Answer: finding.No, Sure: true}},
		{casefile.Onlay, dentition.NoneSeen, finding.Found{Answer: finding.Unknown}},
		{casefile.Onlay, dentition.Elsewhere, finding.Found{Answer: finding.Unknown}},
		{casefile.Onlay, dentition.Seen, finding.Found{Answer: finding.Yes, Tooth: 26}},
	} {
		r := ringed(26, 0, 0, 0)
		r.order.Kind, r.prepared.Sighting = c.kind, c.seen
		if got := r.found(); got != c.want {
			t.Errorf("%s, sighting %d: %+v, want %+v", c.kind, c.seen, got, c.want)
		}
	}
}

// TestGumIsNoNeighbour: what stands beside the preparation, lies more than a millimetre below
// its top and was not told apart as a tooth, is gum.
func TestGumIsNoNeighbour(t *testing.T) {
	for _, c := range []struct {
		below float64
		want  bool
	}{{-1.5, true}, {0.9, true}, {1.1, false}} {
		r := ringed(27, 0, 0, 0)
		r.prepared.Center = r3.V(0, 0, 5)
		r.prepared.Distally = dentition.Neighbour{Number: 28, Present: true, Center: r3.V(-9, 0, 5-c.below)}
		r.settleTeeth(&Scan{})
		if got := r.prepared.Distally.Present; got != c.want {
			t.Errorf("%.1f mm below the top: a tooth %v, want %v", c.below, got, c.want)
		}
	}
	if teeth := []dentition.Tooth{{Number: 26}}; !told(teeth, 26) || told(teeth, 28) {
		t.Error("a tooth is told where it is listed")
	}
}

// TestZones: a front tooth has an edge and a hollow where a back tooth has cusps and a fossa.
func TestZones(t *testing.T) {
	for _, c := range []struct {
		zone        occlusion.Zone
		back, front limit.Zone
	}{
		{occlusion.Functional, limit.Functional, limit.LingualFront},
		{occlusion.NonFunctional, limit.NonFunctional, limit.Incisal},
		{occlusion.Central, limit.Fossa, limit.Incisal},
	} {
		for n, want := range map[tooth.Number]limit.Zone{26: c.back, 34: c.back, 11: c.front, 43: c.front} {
			if got := ringed(n, 0, 0, 0).zoneOf(c.zone); got != want {
				t.Errorf("%v, zone %v: %s, want %s", n, c.zone, got, want)
			}
		}
	}
}

// TestNothingBesideDoubled: a gap and a doubtful stretch that a second sheet leaves at its
// border are that sheet's, and are not told by themselves.
func TestNothingBesideDoubled(t *testing.T) {
	at := r3.V(0, 5, 0)
	for _, twice := range []bool{false, true} {
		r := ringed(26, prep.Unclear, 170, 190)
		if twice {
			area := measure.Of(1, 0.1, measure.MM2).At(measure.Place{At: at})
			r.source.Doubled = []finding.Patch{{Area: area}}
		}
		r.coverage.Gaps = []coverage.Gap{{At: at, Extent: 1, Area: 0.5}, {At: at.Neg(), Extent: 1, Area: 0.5}}
		var f finding.Restoration
		r.coverageFacts(&f)
		m := r.marginFacts(&scanSet{quick: true})
		gaps, stretches := 2, 1
		if twice {
			gaps, stretches = 1, 0
		}
		if len(f.Missing) != gaps || len(m.Stretches) != stretches {
			t.Errorf("recorded twice %v: %d gaps, %d stretches; want %d, %d", twice, len(f.Missing), len(m.Stretches), gaps, stretches)
		}
	}
}

// TestTriesOfAStretch: an earlier try counts for a stretch within a millimetre of it, and
// only where the points of the case are of the scan that the margin is traced on.
func TestTriesOfAStretch(t *testing.T) {
	r := ringed(26, prep.NotCaptured, 170, 190)
	r.source.Role = finding.RoleWorking
	s := r.stretches()[0]
	r.order.Margin.Tries = append(r.order.Margin.Tries, casefile.Try{At: [3]float64{0, 5.9, 0}, N: 2}, casefile.Try{At: [3]float64{0, 6.1, 0}, N: 4}, casefile.Try{At: [3]float64{0.3, 5, 0}, N: 1})
	if got := r.tries(s); got != 3 {
		t.Errorf("%d tries, want 3", got)
	}
	r.order.Margin.Scan = finding.RolePreparation
	if got := r.tries(s); got != 0 {
		t.Errorf("%d tries by points of another scan", got)
	}
}

// TestStretchAtALineAngle: a stretch that reaches one of the four corners says so.
func TestStretchAtALineAngle(t *testing.T) {
	for _, c := range []struct {
		from, to int
		want     bool
	}{{170, 190, false}, {85, 95, true}, {100, 190, true}} {
		r := ringed(26, prep.NotCaptured, c.from, c.to)
		f := r.stretchFact(&scanSet{quick: true}, r.stretches()[0])
		if f.LineAngle != c.want || f.State != finding.NotCaptured {
			t.Errorf("from %d to %d half degrees: %+v", c.from, c.to, f)
		}
	}
}

// TestCuspOf: a place within a millimetre of the axis lies on the biting surface; elsewhere
// on the side that it lies towards.
func TestCuspOf(t *testing.T) {
	r := ringed(26, 0, 0, 0)
	for _, c := range []struct {
		at   r3.Vec
		want tooth.Surface
	}{{r3.V(0, 0.9, 5), tooth.Occlusal}, {r3.V(0, 1.1, 5), tooth.Buccal}, {r3.V(0, -3, 4), tooth.Lingual}, {r3.V(3, 0, 4), tooth.Mesial}} {
		if got := r.cuspOf(measure.Of(1, 0.1, measure.MM).At(measure.Place{At: c.at})); got != c.want {
			t.Errorf("%v: %s, want %s", c.at, got, c.want)
		}
	}
	if got := r.cuspOf(measure.Of(1, 0.1, measure.MM)); got != "" {
		t.Errorf("a value without a place lies on %s", got)
	}
}

// TestChangedSince: what the unchanged teeth of the scan from before differ by, beyond what
// two scans of one day do, is an uncertainty of what was cut.
func TestChangedSince(t *testing.T) {
	for rms, want := range map[float64]float64{0.03: 0, 0.05: 0, 0.12: 0.07} {
		r := &restoration{}
		r.match.SameMouth = measure.Of(rms, 0.01, measure.MM)
		if got := r.changed(); math.Abs(got-want) > 1e-12 {
			t.Errorf("teeth that differ by %.2f mm: %.3f, want %.3f", rms, got, want)
		}
	}
	if got := (&restoration{}).changed(); got != 0 {
		t.Errorf("%.3f without a comparison", got)
	}
}

// TestNoiseThatIsNotTold: a scan whose noise could not be told is taken for no better than a
// good scanner's, 10 µm, and for what chords of its spacing cut off a round of 2 mm.
func TestNoiseThatIsNotTold(t *testing.T) {
	if got := (&Scan{Noise: 0.004, NoiseOK: true, Spacing: 0.4}).noise(); got != 0.004 {
		t.Errorf("told noise of 4 µm: %.4f mm", got)
	}
	// 0.4²/(8·2) = 0.01 mm, and the scanner's own beside it.
	if got := (&Scan{Noise: 0.004, Spacing: 0.4}).noise(); math.Abs(got-0.01*math.Sqrt2) > 1e-12 {
		t.Errorf("a spacing of 0.4 mm: %.4f mm, want 0.0141", got)
	}
}

// TestNothingBehindHolds: behind a last tooth the bite must be held; where there is a tooth
// behind it, that holds it.
func TestNothingBehindHolds(t *testing.T) {
	for _, c := range []struct {
		last, held bool
		want       finding.Answer
	}{{true, false, finding.Yes}, {true, true, finding.No}, {false, false, finding.Unknown}} {
		r := ringed(27, 0, 0, 0)
		r.prepared.Distally.Present, r.bite.Behind.Held = !c.last, c.held
		if got := r.biteFacts(&scanSet{opposing: &Scan{}}, casefile.Case{}).Unsupported; got != c.want {
			t.Errorf("%+v: unsupported %v", c, got)
		}
	}
	r := ringed(27, 0, 0, 0)
	if f := r.biteFacts(&scanSet{}, casefile.Case{}); f.Unsupported == finding.Yes || f.Shift.Why != "no scan of the opposing arch" {
		t.Errorf("without an opposing arch: %+v", f)
	}
}
