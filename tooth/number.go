package tooth

import (
	"fmt"
	"strconv"
)

// Number is a permanent tooth by its two digits of ISO 3950: 11-18, 21-28,
// 31-38, 41-48. The zero Number is no tooth; see [Number.Valid]. The facts of a
// Number that is not valid are zero values.
type Number int8

// New returns the tooth with the two-digit ISO 3950 designation fdi. Codes of
// areas (10, 20, ...), deciduous teeth (51-85) and all other numbers are errors
// that say which of these was given.
func New(fdi int) (Number, error) {
	q, p := fdi/10, fdi%10
	switch {
	case q >= 1 && q <= 4 && p >= 1 && p <= 8:
		return Number(fdi), nil
	case q >= 5 && q <= 8 && p >= 1 && p <= 5:
		return 0, fmt.Errorf("tooth %d is a deciduous tooth; only permanent teeth (11 to 48) are covered", fdi)
	case q >= 1 && q <= 4 && p == 0:
		return 0, fmt.Errorf("%d names a quadrant, not a tooth; give two digits such as %d", fdi, fdi+6)
	case fdi >= 0 && fdi <= 8:
		return 0, fmt.Errorf("%02d names an area of the mouth, not a tooth; give two digits such as 26", fdi)
	default:
		return 0, fmt.Errorf("there is no tooth %d: FDI numbers run 11-18, 21-28, 31-38, 41-48", fdi)
	}
}

// FromUniversal returns the tooth that the universal system numbers u: 1 is the
// upper right third molar, counted to 16 along the upper arch, 17 the lower left
// third molar, counted to 32 along the lower.
//
//	u  1- 8 → 19 - u    u  9-16 → u + 12
//	u 17-24 → 55 - u    u 25-32 → u + 16
func FromUniversal(u int) (Number, error) {
	switch {
	case u >= 1 && u <= 8:
		return Number(19 - u), nil
	case u >= 9 && u <= 16:
		return Number(u + 12), nil
	case u >= 17 && u <= 24:
		return Number(55 - u), nil
	case u >= 25 && u <= 32:
		return Number(u + 16), nil
	default:
		return 0, fmt.Errorf("there is no tooth %d in the universal system, which runs 1-32", u)
	}
}

// Valid reports whether n is one of the 32 permanent teeth.
func (n Number) Valid() bool {
	q, p := n/10, n%10
	return q >= 1 && q <= 4 && p >= 1 && p <= 8
}

// Quadrant returns the first digit: 1 upper right, 2 upper left, 3 lower left, 4
// lower right; 0 for no tooth.
func (n Number) Quadrant() int {
	if !n.Valid() {
		return 0
	}
	return int(n / 10)
}

// Position returns the second digit, 1 at the midline to 8; 0 for no tooth.
func (n Number) Position() int {
	if !n.Valid() {
		return 0
	}
	return int(n % 10)
}

// FDI returns the two digits of ISO 3950 as a number.
func (n Number) FDI() int { return int(n) }

// String returns the two digits of ISO 3950, or "no tooth".
func (n Number) String() string {
	if !n.Valid() {
		return "no tooth"
	}
	return strconv.Itoa(int(n))
}

// Universal returns the number in the universal system, 1-32; 0 for no tooth. It
// is the inverse of [FromUniversal].
func (n Number) Universal() int {
	switch n.Quadrant() {
	case 1:
		return 19 - int(n)
	case 2:
		return int(n) - 12
	case 3:
		return 55 - int(n)
	case 4:
		return int(n) - 16
	default:
		return 0
	}
}

// Palmer returns the designation by quadrant and position in plain text, such as
// UR6 or LL3; empty for no tooth.
func (n Number) Palmer() string {
	if !n.Valid() {
		return ""
	}
	return quadrantSign[n.Quadrant()] + strconv.Itoa(n.Position())
}

// quadrantSign holds the Palmer letters by ISO 3950 quadrant.
var quadrantSign = [5]string{"", "UR", "UL", "LL", "LR"}

// All returns the 32 permanent teeth in the order of the universal system.
func All() []Number {
	all := make([]Number, 0, 32)
	for u := 1; u <= 32; u++ {
		n, _ := FromUniversal(u) // u is in range
		all = append(all, n)
	}
	return all
}
