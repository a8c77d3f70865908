package tooth

// Jaw is the upper or the lower jaw.
type Jaw string

// The two jaws; the zero Jaw is unknown.
const (
	Upper Jaw = "upper"
	Lower Jaw = "lower"
)

// Other returns the opposing jaw; the unknown jaw has none.
func (j Jaw) Other() Jaw {
	switch j {
	case Upper:
		return Lower
	case Lower:
		return Upper
	default:
		return ""
	}
}

// Side is the patient's own right or left.
type Side string

// The two sides; the zero Side is unknown.
const (
	Right Side = "right"
	Left  Side = "left"
)

// Class groups teeth by form.
type Class string

// The four classes; the zero Class is unknown.
const (
	Incisor  Class = "incisor"
	Canine   Class = "canine"
	Premolar Class = "premolar"
	Molar    Class = "molar"
)

// Jaw returns the jaw in which n stands.
func (n Number) Jaw() Jaw {
	switch n.Quadrant() {
	case 1, 2:
		return Upper
	case 3, 4:
		return Lower
	default:
		return ""
	}
}

// Side returns the patient's side on which n stands.
func (n Number) Side() Side {
	switch n.Quadrant() {
	case 1, 4:
		return Right
	case 2, 3:
		return Left
	default:
		return ""
	}
}

// Class returns the class of n: positions 1-2 incisor, 3 canine, 4-5 premolar,
// 6-8 molar.
func (n Number) Class() Class {
	switch p := n.Position(); {
	case p == 0:
		return ""
	case p <= 2:
		return Incisor
	case p == 3:
		return Canine
	case p <= 5:
		return Premolar
	default:
		return Molar
	}
}

// Front reports whether n is an incisor or a canine.
func (n Number) Front() bool { return n.Valid() && n.Position() <= 3 }

// Mesial returns the neighbour towards the midline: for a central incisor the
// other central incisor of the jaw. ok is false only for no tooth.
func (n Number) Mesial() (m Number, ok bool) {
	if !n.Valid() {
		return 0, false
	}
	if n.Position() == 1 {
		return n.OtherSide(), true
	}
	return n - 1, true
}

// Distal returns the neighbour away from the midline; a third molar has none.
func (n Number) Distal() (d Number, ok bool) {
	if !n.Valid() || n.Position() == 8 {
		return 0, false
	}
	return n + 1, true
}

// OtherSide returns the same tooth on the other side of the same jaw.
func (n Number) OtherSide() Number {
	return n.inQuadrant([5]int{0, 2, 1, 4, 3})
}

// Opposite returns the tooth of the same position in the opposing jaw on the
// same side, the one that n mainly meets.
func (n Number) Opposite() Number {
	return n.inQuadrant([5]int{0, 4, 3, 2, 1})
}

func (n Number) inQuadrant(to [5]int) Number {
	if !n.Valid() {
		return 0
	}
	return Number(to[n.Quadrant()]*10 + n.Position())
}

// Antagonists returns the opposing teeth that n normally meets in a class I bite,
// its namesake first. A lower tooth stands half a tooth mesial of its upper
// namesake, so an upper tooth also meets the lower tooth distal of its namesake
// and a lower tooth the upper one mesial of it. The lower central incisor and the
// upper third molar meet one tooth only.
func (n Number) Antagonists() []Number {
	if !n.Valid() {
		return nil
	}
	o := n.Opposite()
	if n.Jaw() == Upper {
		if d, ok := o.Distal(); ok {
			return []Number{o, d}
		}
		return []Number{o}
	}
	if n.Position() == 1 {
		return []Number{o}
	}
	m, _ := o.Mesial() // o is valid
	return []Number{o, m}
}

// AlongArch returns the teeth from a to b of one jaw in order, both included;
// nil if they stand in different jaws or one is no tooth.
func AlongArch(a, b Number) []Number {
	if !a.Valid() || !b.Valid() || a.Jaw() != b.Jaw() {
		return nil
	}
	i, j := a.archIndex(), b.archIndex()
	step := 1
	if j < i {
		step = -1
	}
	var out []Number
	for k := i; ; k += step {
		out = append(out, fromArchIndex(a.Jaw(), k))
		if k == j {
			return out
		}
	}
}

// archIndex counts along the arch of one jaw from the patient's right third
// molar, 0, to the left one, 15.
func (n Number) archIndex() int {
	if n.Side() == Right {
		return 8 - n.Position()
	}
	return 7 + n.Position()
}

func fromArchIndex(j Jaw, i int) Number {
	right, left := 10, 20
	if j == Lower {
		right, left = 40, 30
	}
	if i < 8 {
		return Number(right + 8 - i)
	}
	return Number(left + i - 7)
}
