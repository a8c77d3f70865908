// Package measure holds what a measurement says: a number with its unit, its
// uncertainty and its place, or that it could not be made and why.
//
// U is the expanded uncertainty with coverage factor k = 2 (about 95 %), in the
// value's own unit (ISO/IEC Guide 98-3). A Value is either measured or carries a
// reason in words that a person at the chair understands; the zero Value is
// "not measured" without a reason, which a report must never show.
package measure

import (
	"math"

	"selvage/r3"
)

// Unit names the unit of a value. Ratios and counts have the unit One.
type Unit string

// The units that leave the program.
const (
	One   Unit = ""
	MM    Unit = "mm"
	MM2   Unit = "mm²"
	MM3   Unit = "mm³"
	Deg   Unit = "°"
	Micro Unit = "µm"
)

// Place is where a value was found: a point and outward normal in the frame of
// the scan with the given role.
type Place struct {
	At     r3.Vec
	Normal r3.Vec // zero where none applies
	Scan   string // role: working, preparation, opposing, ...
}

// Value is one scalar measurement or the reason why there is none.
type Value struct {
	V     float64
	U     float64 // expanded uncertainty, k = 2
	Unit  Unit
	Place *Place // nil where the value has no one place
	Why   string // why it was not measured; empty if it was
	ok    bool
}

// Of returns a measured value. It panics if v or u is not a finite number or u
// is negative, which would be a defect of the caller, never of a scan.
func Of(v, u float64, unit Unit) Value {
	if math.IsNaN(v) || math.IsInf(v, 0) || math.IsNaN(u) || math.IsInf(u, 0) || u < 0 {
		panic("measure: value or uncertainty is not a finite number")
	}
	return Value{V: v, U: u, Unit: unit, ok: true}
}

// Not returns a value that was not measured, with the reason.
func Not(why string) Value {
	if why == "" {
		panic("measure: a missing value needs a reason")
	}
	return Value{Why: why}
}

// At returns v with a place.
func (v Value) At(p Place) Value {
	v.Place = &p
	return v
}

// Measured reports whether there is a number.
func (v Value) Measured() bool { return v.ok }

// Side says on which side of a limit a value lies.
type Side int

// The three answers of [Value.Against].
const (
	Below Side = iota - 1
	TooClose
	Above
)

// Against compares the value with a limit by ISO 14253-1: outside the
// uncertainty zone it is proven below or above; within U of the limit it is too
// close to call. The value must have been measured.
func (v Value) Against(limit float64) Side {
	if !v.ok {
		panic("measure: comparing a value that was not measured")
	}
	switch d := v.V - limit; {
	case d < -v.U:
		return Below
	case d > v.U:
		return Above
	default:
		return TooClose
	}
}
