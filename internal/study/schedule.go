package study

import (
	"math/rand/v2"
	"slices"

	"selvage/phantom"
	"selvage/tooth"
)

// claim is a part of a case that a fault uses up. Two faults may stand in one case
// where they claim nothing in common: then neither hides the other, and neither
// changes what the other's truth rests on.
type claim uint

const (
	walls  claim = 1 << iota // taper, height and hold of the axial walls
	top                      // the height of the preparation: heights, clearance and reduction move with it
	room                     // what is judged of clearance and reduction: nothing under a doubtful sheet
	edge                     // the line angle at the top
	bite                     // how the jaws stand; no clearance is judged from a doubtful one
	patch                    // a piece of the wall's surface
	arc                      // a stretch of the margin
	shelf                    // width, kind and course of the finish line
	sulcus                   // the space beside the root
	beside                   // one of the neighbours
	order                    // the prescription; what is required follows from its material
	air                      // loose things on the scan
	unit                     // the unit of the files
)

// prepared is all that lies on or at the prepared tooth: what a coarse or noisy scan
// may blur.
const prepared = walls | top | room | edge | patch | arc | shelf | sulcus | beside

// share is one fault of a study and what it claims.
type share struct {
	name   string
	claims claim
	// from, to and times: the fault is possible on teeth of these positions only, and then
	// asked for so many times per block, so that it gets as many cases as the others.
	from, to int
	times    int
}

// alone are the faults that make the files those of another case: nothing else is
// judged where one of them is found, so each has a case to itself.
var alone = []string{"scan-mirrored", "wrong-arch", "tooth-differs", "other-mouth"}

// unplanned are the faults that no case of a study has: they need a scan that its cases
// do not hold, of the prepared tooth alone, on which all else would then be measured.
var unplanned = []string{"scan-outdated"}

// shares are the faults that can stand beside others, with the reason for each claim
// where it is not plain from the name.
var shares = []share{
	{name: "arch-too-short", claims: bite}, // fewer teeth are left to judge the bite by
	{name: "bite-differs", claims: bite},
	{name: "bite-open", claims: bite},
	{name: "bite-penetrates", claims: bite},
	{name: "scan-missing", claims: bite}, // the opposing scan
	{name: "bite-unsupported", claims: bite, from: 6, to: 7, times: 2},
	{name: "clearance-low", claims: top | room | bite},
	{name: "reduction-low", claims: top | room},
	{name: "walls-short", claims: walls | top},    // the top is cut down
	{name: "resistance-low", claims: walls | top}, // wider, lower, under another cement and material
	{name: "convergence-high", claims: walls},
	{name: "convergence-low", claims: walls},
	{name: "undercut", claims: patch},
	{name: "surface-missing", claims: patch},
	{name: "surface-invented", claims: patch | room},
	{name: "surface-doubled", claims: patch | arc | room}, // the second sheet reaches the margin
	{name: "margin-not-captured", claims: arc},
	{name: "margin-unclear", claims: arc | sulcus}, // tissue fills the sulcus
	{name: "contrast-colour", claims: arc},
	{name: "finish-line-differs", claims: shelf | order},
	{name: "finish-line-narrow", claims: shelf},
	{name: "margin-rough", claims: shelf},
	{name: "sharp-edge", claims: edge, from: 4, to: 8, times: 1}, // of a front tooth's thin edge no truth is known
	{name: "sharp-edge", claims: edge, from: 7, to: 8, times: 1},
	{name: "root-not-seen", claims: sulcus},
	{name: "sulcus-narrow", claims: sulcus},
	{name: "gap-narrow", claims: beside},
	{name: "path-blocked", claims: beside},
	{name: "neighbour-damaged", claims: beside},
	{name: "neighbour-contour", claims: beside},
	{name: "contact-area-missing", claims: beside},
	{name: "sampling-coarse", claims: prepared},
	{name: "surface-noisy", claims: prepared | air}, // a scrap is told by its smoothness
	{name: "fragments", claims: air},
	{name: "units-unlikely", claims: unit},
	{name: "prescription-incomplete", claims: order | room | shelf}, // no material, no minimum
}

// A block is a run of cases on one tooth of one mouth: a sound one, one for each fault
// that stands alone, on the same preparation, another sound one, and cases that share
// out the rest.
const (
	soundCases = 2
	mixedCases = 8
)

// blockCases is the number of cases of a block.
func blockCases() int { return soundCases + len(alone) + mixedCases }

// deal shares the faults out over the mixed cases of a block, each as often as it is
// due on tooth n, so that no two in a case claim the same. What finds no place in
// one dealing is dealt again from the start; a dealing in which all find one exists
// by the counts of the claims, and dealings counts the tries allowed.
func deal(rng *rand.Rand, n tooth.Number) [][]string {
	var due []share
	for _, s := range shares {
		if !slices.Contains(phantom.FaultNames(), s.name) {
			continue
		}
		times := 1
		if s.to > 0 {
			if n.Position() < s.from || n.Position() > s.to {
				continue
			}
			times = s.times
		}
		for range times {
			due = append(due, s)
		}
	}
	const dealings = 400
	var out [][]string
	for range dealings {
		rng.Shuffle(len(due), func(i, j int) { due[i], due[j] = due[j], due[i] })
		// The widest claims first: they are the hardest to place.
		slices.SortStableFunc(due, func(a, b share) int { return width(b.claims) - width(a.claims) })
		var placed bool
		if out, placed = place(due, rng); placed {
			break
		}
	}
	return out
}

func width(c claim) int {
	n := 0
	for ; c != 0; c &= c - 1 {
		n++
	}
	return n
}

// place gives each fault to the case with the fewest faults that has room for it.
// placed is false where one had to be left out.
func place(due []share, rng *rand.Rand) (cases [][]string, placed bool) {
	cases = make([][]string, mixedCases)
	used := make([]claim, mixedCases)
	placed = true
	for _, s := range due {
		best := -1
		from := rng.IntN(mixedCases)
		for i := range mixedCases {
			k := (from + i) % mixedCases
			if used[k]&s.claims == 0 && (best < 0 || len(cases[k]) < len(cases[best])) {
				best = k
			}
		}
		if best < 0 {
			placed = false
			continue
		}
		used[best] |= s.claims
		cases[best] = append(cases[best], s.name)
	}
	for _, c := range cases {
		slices.Sort(c)
	}
	return cases, placed
}
