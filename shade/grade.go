package shade

// The thresholds, in ΔE00: at each, half of 175 observers of 63 ceramic specimens saw a
// difference, or would not have accepted it [Paravina2015].
const (
	Perceptible = 0.8
	Acceptable  = 1.8
)

// twiceAcceptable parts a moderate mismatch from a gross one. It is our own cut, double
// the threshold, and no observers stand behind it.
const twiceAcceptable = 2 * Acceptable

// Grade is how a colour difference will be taken.
type Grade string

// The grades, from the best.
const (
	Excellent              Grade = "excellent"               // most see no difference
	Accepted               Grade = "acceptable"              // seen by most, accepted by most
	ModeratelyUnacceptable Grade = "moderately unacceptable" // most would not accept it
	Unacceptable           Grade = "unacceptable"            // more than double that
)

// Grades lists the grades, from the best.
func Grades() []Grade {
	return []Grade{Excellent, Accepted, ModeratelyUnacceptable, Unacceptable}
}

// GradeOf returns the grade of a difference ΔE00; a difference at a threshold is still
// the better grade.
func GradeOf(delta float64) Grade {
	switch {
	case delta <= Perceptible:
		return Excellent
	case delta <= Acceptable:
		return Accepted
	case delta <= twiceAcceptable:
		return ModeratelyUnacceptable
	default:
		return Unacceptable
	}
}
