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
// convergence 8° to 24° (mean convergences of 23° to 27° are published for
// molars), margins from 0.5 mm above the gum to 0.4 mm below, noise of 5 to 15 µm.
func PlanCase(seed uint64, k int) Plan {
	rng := rand.New(rand.NewPCG(seed, uint64(k)+1))
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
	n := teeth[rng.IntN(len(teeth))]
	s := phantom.Default(n)
	s.Seed = rng.Uint64()
	deg := math.Pi / 180
	s.Stump.ConvergenceMD = between(8, 22) * deg
	s.Stump.ConvergenceBL = between(8, 24) * deg
	s.Stump.TiltMesial = between(-4, 4) * deg
	s.Stump.TiltBuccal = between(-4, 4) * deg
	lines := []phantom.FinishLine{phantom.HeavyChamfer, phantom.HeavyChamfer, phantom.Chamfer, phantom.Shoulder}
	s.Stump.FinishLine = lines[rng.IntN(len(lines))]
	s.Stump.FinishWidth = between(0.9, 1.2)
	s.Stump.EdgeRadius = between(0.03, 0.08)
	s.Stump.LineAngle = between(0.35, 0.7)
	s.Sulcus.MarginDepth = between(-0.5, 0.4)
	s.Sulcus.Width = between(0.28, 0.45)
	s.Scanner.Noise = between(0.005, 0.015)
	s.Scanner.Fine = between(0.08, 0.12)
	if rng.IntN(2) == 0 {
		s.Cement = "conventional"
	}
	p := Plan{Number: k, Spec: s}
	if k%2 == 1 {
		faults := phantom.FaultNames() // in turn, one per faulty case
		p.Fault = faults[(k/2)%len(faults)]
		p.Spec.Faults = []phantom.Fault{{Name: p.Fault, Value: math.NaN()}}
	}
	return p
}
