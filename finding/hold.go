package finding

import (
	"math"

	"selvage/limit"
	"selvage/measure"
)

// good is the call on a value that no level objects to.
const good Call = ""

// hold judges a measured value against a row. With d the distance from the value
// to the flag level, positive on the bad side, and U the expanded uncertainty,
//
//	|d| < U  too close     d ≥ U, d > 0  proven     else good for the flag level,
//
// which is ISO 14253-1 with both borders given to the decided side. A value that
// is good for the flag level is advised if it lies beyond the advise level, plainly
// compared: an advice needs no proof. The level returned is the one that the call
// is about. ok is false if the value's unit cannot be turned into the row's.
func hold(v measure.Value, r limit.Row) (call Call, level float64, ok bool) {
	x, u, ok := in(v, r.Unit)
	if !ok {
		return good, 0, false
	}
	if r.Flag.Set {
		switch d := excess(x, r.Flag.V, r.Bad); {
		case math.Abs(d) < u:
			return TooClose, r.Flag.V, true
		case d > 0:
			return Proven, r.Flag.V, true
		}
	}
	if r.Advise.Set && excess(x, r.Advise.V, r.Bad) > 0 {
		return Advised, r.Advise.V, true
	}
	return good, r.Flag.V, true
}

// excess is how far x lies on the bad side of a level; negative on the good side.
func excess(x, level float64, bad limit.Direction) float64 {
	if bad == limit.Below {
		return level - x
	}
	return x - level
}

// in returns a measured value and its uncertainty in a unit of the limit table.
func in(v measure.Value, unit limit.Unit) (x, u float64, ok bool) {
	switch {
	case v.Unit == measure.One && unit == limit.One,
		v.Unit == measure.MM && unit == limit.MM,
		v.Unit == measure.MM2 && unit == limit.MM2,
		v.Unit == measure.Deg && unit == limit.Deg,
		v.Unit == measure.Micro && unit == limit.UM:
		return v.V, v.U, true
	case v.Unit == measure.MM && unit == limit.UM:
		return v.V * 1000, v.U * 1000, true
	case v.Unit == measure.Micro && unit == limit.MM:
		return v.V / 1000, v.U / 1000, true
	default:
		return 0, 0, false
	}
}

// from returns a level of the limit table in the unit of a measured value.
func from(level float64, row limit.Unit, v measure.Unit) float64 {
	switch {
	case row == limit.UM && v == measure.MM:
		return level / 1000
	case row == limit.MM && v == measure.Micro:
		return level * 1000
	default:
		return level
	}
}

// severity orders findings of one code: how far beyond the level, as a share of
// it, so that 0.3 mm of room where 1.0 is asked comes before 0.9.
func severity(x, level float64, bad limit.Direction) float64 {
	e := excess(x, level, bad)
	if level <= 0 {
		return e
	}
	return e / level
}

// both joins two calls of which both must be bad for the finding to stand, as an
// undercut must be deep and wide: the milder one, where good < advised < too close
// < proven.
func both(a, b Call) Call {
	if weight(a) < weight(b) {
		return a
	}
	return b
}

// either joins two calls of which one suffices.
func either(a, b Call) Call {
	if weight(a) > weight(b) {
		return a
	}
	return b
}

func weight(c Call) int {
	switch c {
	case Proven:
		return 3
	case TooClose:
		return 2
	case Advised:
		return 1
	default:
		return 0
	}
}
