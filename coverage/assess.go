package coverage

import (
	"math"
	"slices"
	"sort"

	"selvage/dentition"
	"selvage/tooth"
)

// Assess lists the gaps of a case that matter and those that do not.
//
// Needed are the preparation to its margin and 0.2 mm beyond, the surfaces of the
// neighbours that face it (0.1 mm raster, [Contact]), the neighbours' biting
// surfaces and their contours beside the gap, 3 mm of gum, the arch to the canine
// and for a front tooth to its twin, and the opposing teeth over the prepared one and one on each side. Only
// the working scan and the preparation scan are witnesses. A boundary loop that
// the other of the two carries on is no gap.
//
// Without a prepared tooth nothing is assessed, and Why says so; without a margin
// a circle stands in for it. Extents are the widest distance across, with the
// expanded uncertainty that the edges of the rim leave at both ends. Cost: O(faces) for the loops, about
// 20,000 rays for the rest.
func Assess(in Input) Result {
	switch {
	case in.Working == nil || in.Working.Mesh == nil || in.Working.Tree == nil:
		return Result{Why: "there is no working scan"}
	case in.Prepared.Sighting != dentition.Seen:
		return Result{Why: "without the place of the prepared tooth it cannot be said what the crown needs"}
	}
	r := newRoom(in)
	var out Result
	contacts, gaps := r.contacts()
	out.Contacts = contacts
	holes, idle := r.holes(gaps)
	out.Idle = idle
	gaps = append(gaps, holes...)
	if g, some := r.opposing(); some {
		gaps = append(gaps, g)
	}
	short := r.forward(&out)
	gaps = append(r.before(gaps, short), short...)
	sort.SliceStable(gaps, func(i, j int) bool { return order(gaps[i].Part) < order(gaps[j].Part) })
	out.Gaps = gaps
	return out
}

// before leaves out what lies beyond the middle of the tooth beside the preparation on a
// side where the arch is too short: it ends there, and who scans the arch forward scans
// that too.
func (r *room) before(gaps, short []Gap) []Gap {
	return slices.DeleteFunc(gaps, func(g Gap) bool {
		if g.Part != PartNeighbour && g.Part != PartGum && g.Part != PartTwin {
			return false
		}
		return slices.ContainsFunc(short, func(s Gap) bool {
			next := r.in.Prepared.Mesially
			if s.Surface == tooth.Distal {
				next = r.in.Prepared.Distally
			}
			along := next.Center.Sub(r.in.Prepared.Center).Reject(r.in.Prepared.Occlusal)
			return next.Present && g.At.Sub(next.Center).Dot(along) > 0
		})
	})
}

// order is the place of a part in the list of gaps: the order of its weight for
// the crown.
func order(p Part) int {
	for i, q := range [...]Part{
		PartContact, PartPreparation, PartBelowMargin, PartOpposing, PartNeighbour, PartTerminal, PartGum, PartTwin, PartArch,
	} {
		if p == q {
			return i
		}
	}
	return math.MaxInt
}
