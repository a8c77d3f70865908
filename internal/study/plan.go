package study

import (
	"math"
	"math/rand/v2"
	"slices"

	"selvage/phantom"
	"selvage/tooth"
)

// Plan is one case of a study before it is made.
type Plan struct {
	Number int
	Faults []string // none for a case without a fault
	Spec   phantom.Spec
}

// teeth is half molars, a quarter premolars and a quarter front teeth, both jaws and
// sides: more front teeth than are crowned in practice, so that their rows in the
// tables are worth something.
var teeth = []tooth.Number{
	16, 26, 36, 46, 17, 27, 37, 47, 26, 36, 16, 46,
	14, 25, 35, 44, 15, 34,
	11, 23, 33, 22, 31, 42,
}

// Streams of random numbers, apart from each other: of a block, and of a case.
const (
	blockStream = 0xb10c
	caseStream  = 0xca5e
)

// PlanCase plans case number k of the study with the given seed. It depends on
// nothing else, so that one case can be made again alone. Each block of cases has a
// mouth and a tooth of its own, the teeth in turn. What is drawn is what is cut in
// practice: convergence 10° to 24° (mean convergences of 23° to 27° are published for
// molars), tilts to 4°, margins from 0.5 mm above the gum to 0.3 mm below, noise of 5
// to 20 µm, spacings of 0.06 to 0.18 mm, evenly in their logarithms.
func PlanCase(seed uint64, k int) Plan {
	block, at := k/blockCases(), k%blockCases()
	rng := rand.New(rand.NewPCG(seed, uint64(block)<<16|blockStream))
	turn := rand.New(rand.NewPCG(seed, uint64(block/len(teeth))<<16|blockStream+1)).Perm(len(teeth))
	n := teeth[turn[block%len(teeth)]]
	mouth := rng.Uint64()
	mixed := deal(rng, n)

	p := Plan{Number: k}
	drawn := at
	switch {
	case at > 0 && at <= len(alone):
		p.Faults, drawn = []string{alone[at-1]}, 0 // on the preparation of the first case
	case at >= len(alone)+soundCases:
		p.Faults = mixed[at-len(alone)-soundCases]
	}
	own := rand.New(rand.NewPCG(seed, uint64(block*blockCases()+drawn)<<16|caseStream))
	p.Spec = draw(own, n, slices.ContainsFunc(p.Faults, needsShelf))
	p.Spec.Mouth = mouth
	for _, f := range p.Faults {
		p.Spec.Faults = append(p.Spec.Faults, phantom.Fault{Name: f, Value: math.NaN()})
	}
	return p
}

// needsShelf reports whether a fault is one of the margin, which has to have a shelf
// for it: of a knife edge no line is demanded.
func needsShelf(name string) bool {
	return slices.ContainsFunc(shares, func(s share) bool {
		return s.name == name && s.claims&(arc|shelf|sulcus) != 0
	})
}

// draw draws a preparation, its order and its scanner.
func draw(rng *rand.Rand, n tooth.Number, shelved bool) phantom.Spec {
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
	even := func(lo, hi float64) float64 { return math.Exp(between(math.Log(lo), math.Log(hi))) }
	s := phantom.Default(n)
	s.Seed = rng.Uint64()
	const deg = math.Pi / 180
	s.Stump.ConvergenceMD = between(10, 22) * deg
	s.Stump.ConvergenceBL = between(10, 24) * deg
	s.Stump.TiltMesial = between(-4, 4) * deg
	s.Stump.TiltBuccal = between(-4, 4) * deg
	s.Stump.OcclusalReduction += between(-0.1, 0.2)
	s.Stump.EdgeRadius = between(0.03, 0.07)
	s.Stump.LineAngle = between(0.6, 0.9)
	s.Sulcus.MarginDepth = between(-0.5, 0.3)
	s.Sulcus.Width = between(0.3, 0.45)
	s.Scanner.Noise = even(0.005, 0.020)
	s.Scanner.Fine = even(0.06, 0.18)
	s.Scanner.Coarse = max(s.Scanner.Coarse, s.Scanner.Fine)
	kinds := 6
	if shelved {
		kinds = 5
	}
	finish(&s, rng.IntN(kinds), between)
	return s
}

// finish draws the finish line and the prescription that goes with it: a wide one for
// lithium disilicate, any for zirconia, which alone is strong enough for conventional
// cement, an edge for zirconia too.
func finish(s *phantom.Spec, kind int, between func(lo, hi float64) float64) {
	if kind < 5 && s.Tooth.Class() == tooth.Incisor && s.Tooth.Jaw() == tooth.Lower {
		kind = 0 // a lower incisor has no room for a wide shelf
	}
	zirconia := func() { s.Material, s.Cement = "zirconia-3y", "conventional" }
	switch kind {
	case 0:
		zirconia()
		s.Stump.FinishLine, s.Stump.FinishWidth = phantom.Chamfer, between(0.52, 0.62)
	case 1:
		zirconia()
		s.Stump.FinishWidth = between(0.9, 1.1)
	case 2:
		s.Stump.FinishWidth = between(1.02, 1.15)
	case 3:
		s.Stump.FinishLine, s.Stump.FinishWidth = phantom.Shoulder, between(1.05, 1.2)
	case 4:
		zirconia()
		s.Stump.FinishLine, s.Stump.FinishWidth = phantom.SlopedShoulder, between(1.0, 1.15)
	default:
		zirconia()
		s.Stump.FinishLine, s.Stump.FinishWidth = phantom.KnifeEdge, between(0.05, 0.1)
	}
}
