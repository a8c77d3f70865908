package dentition

import (
	"fmt"
	"math"
	"sort"

	"selvage/r3"
	"selvage/tooth"
)

// Roles that shapes can tell, as in case.json.
const (
	rolePreparation = "preparation"
	roleWorking     = "working"
	roleOpposing    = "opposing"
	roleBite        = "bite"
	roleBefore      = "before"
)

// Limits of telling roles.
const (
	// aloneLength is the longest ridge, mm, of a scan of one prepared tooth: the
	// tooth and the gum round it; aloneShare is its share of the longest scan's.
	aloneLength = 18.0
	aloneShare  = 0.5
	// sideways is the cosine below which a scan was taken across the occlusal
	// direction of the others: the record of the bite, from the cheek.
	sideways = 0.6
	// cutDepth and cutArea say how much lower the working scan is than the one
	// from before, over which area: a crown's reduction over a small tooth.
	cutDepth = 0.5 // mm
	cutArea  = 6.0 // mm²
)

// GuessRoles proposes a role for each scan of a case, from shapes and poses alone;
// n is the tooth of the prescription.
//
// The record of the bite was taken from the side; a scan much shorter than the
// others is the preparation alone; of the rest, those that face each other are the
// two jaws, and the jaw of n is the working side. Two scans of that jaw that
// differ at one place are the arch before (the higher one) and the working scan.
// Where that does not settle it the role is empty and Why says what could not be
// told.
func GuessRoles(scans []Scan, n tooth.Number) []Guess {
	g := make([]Guess, len(scans))
	var rows []int // scans of a row of teeth
	longest := 0.0
	for _, s := range scans {
		longest = max(longest, s.Arch.Length)
	}
	for i, s := range scans {
		switch {
		case bitten(scans, i):
			g[i] = Guess{Role: roleBite, Confidence: 0.9, Why: "it was taken from the side and spans both jaws"}
		case s.Arch.Extent == NoArch && s.Arch.Length == 0 && small(s):
			g[i] = Guess{Role: rolePreparation, Confidence: 0.6, Why: "it is small and shows no row of teeth"}
		case s.Arch.Length < aloneLength && s.Arch.Length < aloneShare*longest:
			g[i] = Guess{Role: rolePreparation, Confidence: 0.8, Why: fmt.Sprintf("it spans %.0f mm only", s.Arch.Length)}
		case s.Arch.Extent == NoArch:
			g[i] = Guess{Why: s.Arch.Why}
		default:
			rows = append(rows, i)
		}
	}
	sortJaws(scans, rows, n, g)
	return g
}

// small reports whether a scan is no bigger than a tooth and its gum.
func small(s Scan) bool { return s.Mesh.Box().Longest() < 1.5*aloneLength }

// bitten reports whether scan i was taken across the occlusal directions of two
// others that face each other, and reaches both.
func bitten(scans []Scan, i int) bool {
	v := scans[i].Mesh.VectorArea().UnitOr(r3.Vec{})
	box := scans[i].Mesh.Box()
	for a := range scans {
		for b := range a {
			if a == i || b == i {
				continue
			}
			u, w := scans[a].Arch.Occlusal, scans[b].Arch.Occlusal
			if scans[a].Arch.strip == nil || scans[b].Arch.strip == nil || u.Dot(w) > facing {
				continue
			}
			if math.Abs(v.Dot(u)) < sideways && overlap(box, scans[a].Arch.box()) && overlap(box, scans[b].Arch.box()) {
				return true
			}
		}
	}
	return false
}

// overlap reports whether two boxes share a point.
func overlap(a, b r3.Box) bool {
	return a.Min.X <= b.Max.X && b.Min.X <= a.Max.X && a.Min.Y <= b.Max.Y && b.Min.Y <= a.Max.Y &&
		a.Min.Z <= b.Max.Z && b.Min.Z <= a.Max.Z
}

// sortJaws gives the scans of rows of teeth their roles.
func sortJaws(scans []Scan, rows []int, n tooth.Number, g []Guess) {
	if len(rows) == 0 {
		return
	}
	first, second := splitByFacing(scans, rows)
	upperFirst, sure, why, ok := jawsOf(scans, first, second)
	switch {
	case len(second) == 0 && len(first) == 1:
		g[first[0]] = Guess{Role: roleWorking, Confidence: 0.7, Why: "it is the only scan of a row of teeth"}
		return
	case len(second) > 0 && !ok:
		// The prepared tooth tells the working side where the rows do not.
		a, b := bestStump(scans, first, n), bestStump(scans, second, n)
		if a == b {
			for _, i := range rows {
				g[i] = Guess{Why: "which of them is the upper jaw cannot be told: " + why}
			}
			return
		}
		if b > a {
			first, second = second, first
		}
		upperFirst, sure, why = n.Jaw() == tooth.Upper, 0.6, "it shows the prepared tooth"
	case len(second) > 0 && upperFirst != (n.Jaw() == tooth.Upper):
		first, second = second, first
		upperFirst = !upperFirst
	}
	for _, i := range second {
		g[i] = Guess{Role: roleOpposing, Upper: !upperFirst, JawKnown: ok, Confidence: sure, Why: "the other jaw: " + why}
	}
	if len(second) > 1 {
		for _, i := range second {
			g[i] = Guess{Why: "two scans show the jaw opposite the prepared tooth"}
		}
	}
	beforeOrWorking(scans, first, n, g, Guess{Upper: upperFirst, JawKnown: ok, Confidence: sure, Why: why})
}

// splitByFacing parts the scans into those that look the way of the first one and
// those that look back at it.
func splitByFacing(scans []Scan, rows []int) (same, against []int) {
	u := scans[rows[0]].Arch.Occlusal
	for _, i := range rows {
		if scans[i].Arch.Occlusal.Dot(u) < 0 {
			against = append(against, i)
		} else {
			same = append(same, i)
		}
	}
	return same, against
}

// jawsOf tells which group is the upper jaw, by the longest scan of each.
func jawsOf(scans []Scan, first, second []int) (upper bool, sure float64, why string, ok bool) {
	if len(second) == 0 {
		return false, 0, "", false
	}
	return WhichIsUpper(scans[longestOf(scans, first)], scans[longestOf(scans, second)])
}

func longestOf(scans []Scan, group []int) int {
	best := group[0]
	for _, i := range group {
		if scans[i].Arch.Length > scans[best].Arch.Length {
			best = i
		}
	}
	return best
}

// bestStump returns the confidence of the best prepared tooth at n in a group, 0
// if none is seen.
func bestStump(scans []Scan, group []int, n tooth.Number) float64 {
	best := 0.0
	for _, i := range group {
		if p := FindPrepared(scans[i], n, nil); p.Sighting == Seen {
			best = max(best, p.Confidence)
		}
	}
	return best
}

// beforeOrWorking gives the scans of the working jaw their roles; like carries
// what is known of the jaw.
func beforeOrWorking(scans []Scan, group []int, n tooth.Number, g []Guess, like Guess) {
	if len(group) == 1 {
		like.Role = roleWorking
		like.Why = "the jaw of the prepared tooth: " + like.Why
		g[group[0]] = like
		return
	}
	if len(group) > 2 {
		for _, i := range group {
			g[i] = Guess{Why: fmt.Sprintf("%d scans show the jaw of the prepared tooth", len(group))}
		}
		return
	}
	a, b := group[0], group[1]
	higher := cutAway(scans[a], scans[b])
	if higher == 0 {
		ca, cb := bestStump(scans, []int{a}, n), bestStump(scans, []int{b}, n)
		higher = cb - ca
	}
	switch {
	case higher > 0:
		a, b = b, a
	case higher == 0:
		for _, i := range group {
			g[i] = Guess{Why: "two scans show the same jaw, and which is from before the preparation cannot be told"}
		}
		return
	}
	like.Role, like.Why = roleWorking, "it is the lower of two scans of one jaw where they differ"
	g[a] = like
	like.Role, like.Why = roleBefore, "it stands higher than the working scan at one tooth"
	g[b] = like
}

// cutAway compares two scans of one jaw in one frame: positive if a stands above b
// over an area like that of a cut tooth and nowhere much below, negative the
// other way, 0 where it cannot be told.
func cutAway(a, b Scan) float64 {
	frame := levelFrame(a.Arch.Occlusal)
	ca, cb := newChart(a.Mesh, frame, crestCell), newChart(b.Mesh, frame, crestCell)
	var above, below float64
	for j := range ca.ny {
		for i := range ca.nx {
			p := ca.middle(j*ca.nx + i)
			d := ca.at(i, j) - cb.sample(p.x, p.y)
			switch {
			case d > cutDepth:
				above += ca.cell * ca.cell
			case d < -cutDepth:
				below += ca.cell * ca.cell
			}
		}
	}
	const clear = 3.0 // times as much one way as the other: rims and gum differ both ways
	switch {
	case above > cutArea && above > clear*below:
		return 1
	case below > cutArea && below > clear*above:
		return -1
	}
	return 0
}

// median returns the middle of x, which it sorts; NaN for none.
func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	sort.Float64s(x)
	return x[len(x)/2]
}
