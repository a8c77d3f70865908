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
)

// ranges are the longest sides, in millimetres, that are plausible for a kind.
var ranges = [...][2]float64{Arch: {20, 90}, Quadrant: {25, 70}, FullArch: {40, 90}, Preparation: {8, 40}}

// ProposeUnits returns every unit in which the longest side of the box is
// plausible for a scan of the kind: none, one, or several, which must then be
// asked about. The order is fixed. Cost: O(1).
func ProposeUnits(box r3.Box, kind Kind) []Unit {
	var out []Unit
	side := box.Longest()
	for _, u := range units {
		if mm := side * u.ToMM; mm >= ranges[kind][0] && mm <= ranges[kind][1] {
			out = append(out, u)
		}
	}
	return out
}
