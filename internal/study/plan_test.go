package study

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"selvage/phantom"
)

// TestPlanIsAFunctionOfItsNumber checks that a case can be made again alone.
func TestPlanIsAFunctionOfItsNumber(t *testing.T) {
	for k := range 3 * blockCases() {
		a, b := PlanCase(7, k), PlanCase(7, k)
		for _, p := range []*Plan{&a, &b} { // NaN is unlike itself
			for i := range p.Spec.Faults {
				p.Spec.Faults[i].Value = 0
			}
		}
		if !reflect.DeepEqual(a, b) {
			t.Fatalf("case %d is planned differently each time:\n%+v\n%+v", k, a, b)
		}
		if !a.Spec.Tooth.Valid() {
			t.Errorf("case %d: tooth %v", k, a.Spec.Tooth)
		}
	}
}

// TestEveryFaultHasItsShare counts the faults over many blocks: each code has as many
// cases as there are blocks, within a tenth for those that only some teeth can have.
func TestEveryFaultHasItsShare(t *testing.T) {
	const blocks = 96 // four rounds of the teeth
	count := map[string]int{}
	sound := 0
	for k := range blocks * blockCases() {
		p := PlanCase(3, k)
		for _, f := range p.Faults {
			count[f]++
		}
		if len(p.Faults) == 0 {
			sound++
		}
	}
	if sound < blocks*soundCases {
		t.Errorf("%d sound cases, want at least %d", sound, blocks*soundCases)
	}
	for _, f := range phantom.FaultNames() {
		if count[f] < blocks*9/10 && !slices.Contains(unplanned, f) {
			t.Errorf("fault %s in %d cases of %d blocks", f, count[f], blocks)
		}
	}
}

// TestFaultsOfACaseAreIndependent: no two faults of a case claim the same.
func TestFaultsOfACaseAreIndependent(t *testing.T) {
	for seed := range uint64(50) {
		rng := rand.New(rand.NewPCG(seed, 1))
		for _, n := range teeth {
			for _, faults := range deal(rng, n) {
				var used claim
				for _, f := range faults {
					i := slices.IndexFunc(shares, func(s share) bool { return s.name == f })
					if used&shares[i].claims != 0 {
						t.Fatalf("seed %d, tooth %v: %v: %s claims what another does", seed, n, faults, f)
					}
					used |= shares[i].claims
				}
			}
		}
	}
}

// TestSharesAreFaults: every fault of the phantoms has its place in the study, and
// only the two that no phantom makes yet are asked for in vain.
func TestSharesAreFaults(t *testing.T) {
	var planned []string
	for _, s := range shares {
		planned = append(planned, s.name)
	}
	planned = append(append(planned, alone...), unplanned...)
	for _, f := range phantom.FaultNames() {
		if !slices.Contains(planned, f) {
			t.Errorf("fault %s is in no plan", f)
		}
	}
	for _, f := range planned {
		if !slices.Contains(phantom.FaultNames(), f) {
			t.Logf("fault %s is planned and not made", f)
		}
	}
}
