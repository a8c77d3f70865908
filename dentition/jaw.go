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
	// shortJaws is the most that the rows' places count, in units of evidence, where one
	// is too short for its bend to tell its outer side: that side is then taken from what
	// is to be proven with it, and the teeth must speak for it too.
	shortJaws = 0.5
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
		most := 2.0
		if min(a.Arch.Length, b.Arch.Length) < shortRow {
			most = shortJaws
		}
		sum += min(most, max(-most, d/overjet))
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
	var all []float64
	b.along(a, func(i, j int) {
		all = append(all, -a.Ridge[i].Sub(b.Ridge[j]).Dot(b.Lingual[j]))
	})
	if len(all) < facingLeast {
		return 0, false
	}
	return median(all), true
}

// facingLeast is the least number of places a millimetre apart at which two rows must
// lie opposite each other: a tooth's width.
const facingLeast = 10

// along calls do for every place of o a millimetre apart that has one of a opposite it:
// place i of o, and j of a, the nearest in a's occlusal plane.
func (a Arch) along(o Arch, do func(i, j int)) {
	u := a.Occlusal
	for i := 0; i < len(o.Ridge); i += 4 {
		j, low := 0, math.Inf(1)
		for k, q := range a.Ridge {
			if e := o.Ridge[i].Sub(q).Reject(u).Norm2(); e < low {
				j, low = k, e
			}
		}
		v := o.Ridge[i].Sub(a.Ridge[j])
		if math.Abs(v.Dot(u)) < jawReach && math.Abs(v.Dot(a.Along[j])) < 1 && math.Abs(v.Dot(a.Lingual[j])) < jawReach/2 {
			do(i, j)
		}
	}
}

// box returns the bounding box of the ridge grown by half a crown.
func (a Arch) box() r3.Box { return r3.BoxOf(a.Ridge...).Grow(crownHalf) }

// Limits of telling the side of one row by the other.
const (
	// facingClear is by how much two rows together must bow to one side for it to be
	// certain, mm: sideClear for each, and what makes them wavy is not the same in both.
	facingClear = math.Sqrt2 * sideClear
	// facingTurn is the cosine from which the lingual directions of two rows are the
	// same or opposite; between, they do not run along each other.
	facingTurn = 0.7
)

// FaceArches tells the lingual side of two rows in one frame that face each other by
// both of them: the tongue lies to one side of both, so their bows b add up, with
// their signs,
//
//	|b1 ± b2| > √2 · sideClear.
//
// A row that was taken the other way has its ends exchanged; where they contradict each
// other the side of neither is known. How the teeth overlap is not asked: a crossbite
// turns that round. Rows that do not face each other are left as they are.
func FaceArches(a, b Arch) (Arch, Arch) {
	if a.strip == nil || b.strip == nil || a.Occlusal.Dot(b.Occlusal) > facing {
		return a, b
	}
	var sum, n float64
	b.along(a, func(i, j int) {
		sum += a.Lingual[i].Dot(b.Lingual[j])
		n++
	})
	if n < facingLeast || math.Abs(sum)/n < facingTurn {
		return a, b
	}
	sign := math.Copysign(1, sum)
	return a.sided(a.bow + sign*b.bow), b.sided(b.bow + sign*a.bow)
}

// sided returns the arch whose own bow and the other's come to b towards the buccal
// side as it was taken.
func (a Arch) sided(b float64) Arch {
	if b < 0 {
		a = a.turned()
		a.bow = -a.bow
	}
	a.Confidence = min(1, math.Abs(b)/facingClear)
	a.SideKnown = a.Confidence == 1
	return a
}

// Limits of telling the side of a row by a record of the bite.
const (
	recordBeside = 9.0  // mm across the row and up and down from it: what the record shows of this row
	recordShare  = 0.75 // of its points that must lie to one side
	recordOff    = 1.0  // mm to that side, in the median
	recordLeast  = 200  // points
)

// FaceRecord tells the lingual side of a row that is too straight to tell by a record of
// the bite in its frame, given by its points: it is taken from the cheek, so what it
// shows of the row lies to the buccal side of the ridge. A row whose side is known, and
// one of which the record does not tell, are left as they are.
func FaceRecord(a Arch, record []r3.Vec) Arch {
	if a.strip == nil || a.SideKnown {
		return a
	}
	c := a.strip.chart
	var off []float64
	lingual := 0
	for _, p := range record {
		q := c.frame.Point(p)
		i := a.nearest(c, xy{q.X, q.Y})
		v := p.Sub(a.Ridge[i])
		if x := v.Dot(a.Lingual[i]); math.Abs(v.Dot(a.Along[i])) < 1 && math.Abs(v.Dot(a.Occlusal)) < recordBeside && math.Abs(x) < recordBeside {
			off = append(off, x)
			if x > 0 {
				lingual++
			}
		}
	}
	if len(off) < recordLeast {
		return a
	}
	share, mid := float64(lingual)/float64(len(off)), median(off)
	switch {
	case share <= 1-recordShare && mid < -recordOff:
	case share >= recordShare && mid > recordOff:
		a = a.turned()
		a.bow = -a.bow
	default:
		return a
	}
	a.SideKnown, a.Confidence = true, 1
	return a
}
