package study

import (
	"math"
	"math/rand/v2"

	"selvage/phantom"
	"selvage/tooth"
)

// Plan is one case of a study before it is made.
type Plan struct {
	Number int
	Fault  string // empty for a case without a fault
	Spec   phantom.Spec
}

// teeth are drawn with the shares in which single crowns are made: about two
// thirds on molars, the rest on premolars and front teeth, both jaws and sides.
var teeth = []tooth.Number{
	16, 26, 36, 46, 17, 27, 37, 47, 26, 36, 16, 46,
	14, 25, 35, 44,
	11, 23, 33,
}

// PlanCase plans case number k of the study with the given seed. It depends on
// nothing else, so that one case can be made again alone. Every second case is
// without a fault; its shape is drawn all the same, from what is cut in practice:
// convergence 10° to 24° (mean convergences of 23° to 27° are published for
// molars), margins from 0.5 mm above the gum to 0.3 mm below, noise of 5 to 15 µm.
func PlanCase(seed uint64, k int) Plan {
	rng := rand.New(rand.NewPCG(seed, uint64(k)+1))
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
	n := teeth[rng.IntN(len(teeth))]
	s := phantom.Default(n)
	s.Seed = rng.Uint64()
	deg := math.Pi / 180
	s.Stump.ConvergenceMD = between(10, 22) * deg
	s.Stump.ConvergenceBL = between(10, 24) * deg
	s.Stump.TiltMesial = between(-4, 4) * deg
	s.Stump.TiltBuccal = between(-4, 4) * deg
	s.Stump.OcclusalReduction += between(-0.1, 0.2)
	s.Stump.EdgeRadius = between(0.03, 0.07)
	s.Stump.LineAngle = between(0.4, 0.7)
	s.Sulcus.MarginDepth = between(-0.5, 0.3)
	s.Sulcus.Width = between(0.3, 0.45)
	s.Scanner.Noise = between(0.005, 0.015)
	s.Scanner.Fine = between(0.07, 0.095)
	order(&s, rng.IntN(4), between)
	p := Plan{Number: k, Spec: s}
	if k%2 == 1 {
		faults := phantom.FaultNames() // in turn, one per faulty case
		p.Fault = faults[(k/2)%len(faults)]
		p.Spec.Faults = []phantom.Fault{{Name: p.Fault, Value: math.NaN()}}
	}
	return p
}

// order draws the prescription and the finish line that goes with it: a wide one for
// lithium disilicate, any for zirconia, which alone is strong enough for
// conventional cement.
func order(s *phantom.Spec, kind int, between func(lo, hi float64) float64) {
	switch kind {
	case 0:
		s.Material, s.Cement = "zirconia-3y", "conventional"
		s.Stump.FinishLine, s.Stump.FinishWidth = phantom.Chamfer, between(0.52, 0.62)
	case 1:
		s.Material, s.Cement = "zirconia-3y", "conventional"
		s.Stump.FinishWidth = between(0.9, 1.1)
	case 2:
		s.Stump.FinishWidth = between(1.02, 1.15)
	default:
		s.Stump.FinishLine, s.Stump.FinishWidth = phantom.Shoulder, between(1.05, 1.2)
	}
}
