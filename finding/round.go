package finding

import (
	"math"
	"strconv"
	"strings"

	"selvage/measure"
)

// Show writes a measured value rounded to its uncertainty, such as "0.8 ± 0.1 mm"
// for 0.83 ± 0.10. The uncertainty is shown with one significant digit: rounded to
// the nearest, but up where rounding down would take more than a fifth of it away,
// so that 0.12 is shown as 0.1 and 0.13 as 0.2. The value is rounded to the same
// place. A value without uncertainty is shown as it is, to three decimals at most.
// A value that was not measured is shown as its reason. Storage never rounds.
func Show(v measure.Value) string { return show(v, ".") }

// ShowPlain writes a measured value like [Show], without its uncertainty.
func ShowPlain(v measure.Value) string { return showPlain(v, ".") }

func show(v measure.Value, decimal string) string {
	if !v.Measured() {
		return v.Why
	}
	if v.U == 0 {
		return showPlain(v, decimal)
	}
	u, places := roundU(v.U)
	return fixed(roundTo(v.V, places), places, decimal) + " ± " + fixed(u, places, decimal) + unitWord(v.Unit)
}

func showPlain(v measure.Value, decimal string) string {
	switch {
	case !v.Measured():
		return v.Why
	case v.U == 0:
		return short(v.V, decimal) + unitWord(v.Unit)
	}
	_, places := roundU(v.U)
	return fixed(roundTo(v.V, places), places, decimal) + unitWord(v.Unit)
}

// roundU rounds u > 0 to one significant digit and returns the decimal place of
// that digit: 1 for tenths, 0 for ones, -1 for tens.
func roundU(u float64) (rounded float64, places int) {
	places = -int(math.Floor(math.Log10(u)))
	digit := u * math.Pow10(places) // 1 ≤ digit < 10, but for rounding of the logarithm
	r := math.Round(digit)
	if r < 0.8*digit {
		r++
	}
	if r >= 10 {
		r, places = 1, places-1
	}
	return r * math.Pow10(-places), places
}

func roundTo(x float64, places int) float64 {
	f := math.Pow10(places)
	return math.Round(x*f) / f
}

// fixed writes x with a number of decimals; never "-0".
func fixed(x float64, places int, decimal string) string {
	if places < 0 {
		places = 0
	}
	s := strconv.FormatFloat(x, 'f', places, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, ".", decimal, 1)
}

// short writes x with three decimals at most and no trailing zeros.
func short(x float64, decimal string) string {
	s := strconv.FormatFloat(roundTo(x, 3), 'f', -1, 64)
	if s == "-0" {
		s = "0"
	}
	return strings.Replace(s, ".", decimal, 1)
}

// unitWord returns a unit with the space that goes before it.
func unitWord(u measure.Unit) string {
	switch u {
	case measure.One:
		return ""
	case measure.Deg:
		return "°"
	default:
		return " " + string(u)
	}
}

// degrees writes an angle in radians as whole degrees.
func degrees(rad float64) string {
	return strconv.FormatFloat(math.Round(rad*180/math.Pi), 'f', 0, 64) + "°"
}
