package meshio

import "selvage/r3"

// Unit is a unit of length that a file can be in.
type Unit struct {
	Name string  // as case.json and the command line write it
	ToMM float64 // millimetres in one
}

// units are all that are proposed, in the order in which they are proposed.
var units = [...]Unit{{"mm", 1}, {"cm", 10}, {"m", 1000}, {"in", 25.4}, {"um", 0.001}}

// UnitNamed returns the unit with the given name: mm, cm, m, in or um.
func UnitNamed(name string) (Unit, bool) {
	for _, u := range units {
		if u.Name == name {
			return u, true
		}
	}
	return Unit{}, false
}

// Kind is what a scan shows, as far as its size is concerned.
type Kind int

// The kinds of scan.
const (
	Arch        Kind = iota // a quadrant or a full arch, not known which
	Quadrant                // one side of an arch
	FullArch                // both sides
	Preparation             // a prepared tooth, alone or with its neighbours
	Record                  // a buccal record of the bite: a few teeth of both arches, or more
	Crown                   // a crown alone, as designed
)

// span is a range of lengths in millimetres, its ends included.
type span struct{ least, most float64 }

// spans are the longest sides of a bounding box that are plausible for a kind.
//
// The anatomical ranges are those of the methods page: a quadrant 30-60 mm, a full
// arch 50-80, a preparation alone or with neighbours 8-40. A box differs from
// anatomy in two ways, and the ranges are widened for them. It does not lie
// along the arch: a rounded strip of 30 by 12 by 12 mm across all three axes has
// a box with sides of √((30² + 2·12²)/3) = 20 mm. And it holds more than
// teeth: a plaster cast with its trimmed base was 72 mm as it lay and would be
// 76 at most in any other position; larger bases reach 90.
// Wider still would cost more than it gives, since the top of the range over its
// bottom decides which units compete: within a factor of 2.54 no two do, up to
// 10 only inch and cm, and beyond also mm and cm.
var spans = [...]span{
	Arch:        {20, 90},
	Quadrant:    {20, 70},
	FullArch:    {40, 90},
	Preparation: {8, 45},
	Record:      {10, 90},
	Crown:       {4, 25},
}

// rounding is how much of itself a length may have lost by float32 coordinates,
// 2⁻²⁴ of a position that lies up to some ten sizes from the origin.
const rounding = 1e-6

// ProposeUnits returns every unit in which the longest side of the box is
// plausible for a scan of the kind: none, one, or several, about which the
// user must then be asked. Nothing is converted.
//
// For an arch, sides of 0.02-0.09 mean metres, 20-90 millimetres, 20,000-90,000
// micrometres, 0.79-2 inches, 3.54-9 centimetres, and from 2 to 3.54 it can be
// inches or centimetres. The order is that of mm, cm, m, in, um. A box that is
// empty or not finite has no unit. Cost: O(1).
func ProposeUnits(box r3.Box, kind Kind) []Unit {
	var out []Unit
	side := box.Longest()
	for _, u := range units {
		if mm := side * u.ToMM; mm >= spans[kind].least*(1-rounding) && mm <= spans[kind].most*(1+rounding) {
			out = append(out, u)
		}
	}
	return out
}
