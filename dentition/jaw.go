package dentition

import (
	"fmt"
	"math"

	"selvage/r3"
	"selvage/tooth"
)

// Weights of telling the jaws apart.
const (
	// facing is the cosine below which two occlusal directions look at each other.
	facing = -0.7
	// overjet is by how much the upper row lies outside of the lower one, mm: one
	// unit of evidence. Crests of front teeth are 2 to 3 mm apart, the middles of
	// molars 1 to 2.
	overjet = 1.0
	// jawScore is the difference of the numbering's scores that is worth one unit
	// of evidence: a tooth that fits a jaw's and not the other's.
	jawScore = 4.0
	// jawReach is how far apart, mm, the rows of closed or nearly closed jaws may
	// lie to be compared.
	jawReach = 20.0
	// jawAsks is the evidence that it takes to name the jaws.
	jawAsks = 0.5
)

// WhichIsUpper tells the upper from the lower jaw among two scans.
//
// Where both stand in one frame and face each other, the upper row lies outside of
// the lower one; in any frame the widths of the teeth, the incisors' above all,
// fit one jaw better. confidence is tanh of the sum of this evidence. ok is false
// where it does not tell.
func WhichIsUpper(a, b Scan) (firstIsUpper bool, confidence float64, why string, ok bool) {
	if a.Arch.strip == nil || b.Arch.strip == nil {
		return false, 0, "one of the scans shows no row of teeth", false
	}
	sum := 0.0
	why = "the widths of the teeth"
	if d, together := outside(a.Arch, b.Arch); together {
		sum += min(2, max(-2, d/overjet))
		why = fmt.Sprintf("one row lies %.1f mm outside of the other, and the widths of the teeth", math.Abs(d))
	}
	sum += (jawEvidence(a.Arch) - jawEvidence(b.Arch)) / 2
	return sum > 0, math.Tanh(math.Abs(sum)), why, math.Abs(sum) >= jawAsks
}

// jawEvidence is positive for an upper jaw and negative for a lower one: the
// difference of the numbering's scores in units of jawScore, at most 2.
func jawEvidence(a Arch) float64 {
	_, _, up := number(a, tooth.Upper, Anchor{})
	_, _, low := number(a, tooth.Lower, Anchor{})
	return min(2, max(-2, (up-low)/jawScore))
}

// outside returns by how much the ridge of a lies outside (to the buccal) of that
// of b, mm, the median over the places that lie opposite each other. ok is false
// if the scans do not face each other in one frame.
func outside(a, b Arch) (d float64, ok bool) {
	if a.Occlusal.Dot(b.Occlusal) > facing || !b.SideKnown {
		return 0, false
	}
	u := b.Occlusal
	var all []float64
	for i := 0; i < len(a.Ridge); i += 4 {
		j, low := 0, math.Inf(1)
		for k, q := range b.Ridge {
			if e := a.Ridge[i].Sub(q).Reject(u).Norm2(); e < low {
				j, low = k, e
			}
		}
		v := a.Ridge[i].Sub(b.Ridge[j])
		across := -v.Dot(b.Lingual[j])
		if math.Abs(v.Dot(u)) < jawReach && math.Abs(v.Dot(b.Along[j])) < 1 && math.Abs(across) < jawReach/2 {
			all = append(all, across)
		}
	}
	const least = 10 // places a millimetre apart: a tooth's width
	if len(all) < least {
		return 0, false
	}
	return median(all), true
}

// box returns the bounding box of the ridge grown by half a crown.
func (a Arch) box() r3.Box { return r3.BoxOf(a.Ridge...).Grow(crownHalf) }
