package check

import (
	"selvage/dentition"
	"selvage/r3"
	"selvage/tooth"
)

// gumBelow is how far below the top of the preparation, mm, the crest of what stands
// beside it may lie and still be a tooth. A stump is cut 1.5 to 2 mm below its
// neighbours; the gum behind a last molar lies 3 mm lower than that.
const gumBelow = 1.0

// settleTeeth numbers the teeth of the working arch and takes back a neighbour that is
// gum: it lies low, and no tooth was told apart there. A crown needs no contact with
// it, and nothing behind the preparation holds the bite.
func (r *restoration) settleTeeth(s *Scan) {
	if !r.seen() {
		return
	}
	r.teeth = dentition.FindTeeth(s.Look.Arch, r.number.Jaw(), dentition.Anchor{Number: r.number, Place: r.prepared.Place})
	for _, n := range []*dentition.Neighbour{&r.prepared.Mesially, &r.prepared.Distally} {
		if n.Present && !told(r.teeth, n.Number) && r.rise(n.Center) < -gumBelow {
			n.Present = false
		}
	}
}

// rise is how far a point stands above the top of the preparation, mm.
func (r *restoration) rise(p r3.Vec) float64 {
	return p.Sub(r.prepared.Center).Dot(r.prepared.Occlusal)
}

// told reports whether a tooth was told apart.
func told(teeth []dentition.Tooth, n tooth.Number) bool {
	for _, t := range teeth {
		if t.Number == n {
			return true
		}
	}
	return false
}

// pair tells every restoration which other teeth of its arch are prepared too: two
// crowns side by side are made to each other, and the stump beside one is no contact.
func pair(rs []*restoration) {
	for _, r := range rs {
		for _, o := range rs {
			if o != r && o.number != r.number && o.number.Jaw() == r.number.Jaw() {
				r.others = append(r.others, o.number)
			}
		}
	}
}
