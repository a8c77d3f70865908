package casefile

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"selvage/finding"
	"selvage/measure"
)

// Measure is one scalar of a report: a value, or the reason why there is none,
// never both and never neither. Its unit stands in the name of its field.
type Measure struct {
	Value  float64
	U      float64 // expanded uncertainty, k = 2, in the unit of Value
	Exact  bool    // a count: no uncertainty is written
	At     *[3]float64
	Normal *[3]float64
	Scan   finding.Role // the scan in whose frame At is
	Not    string       // why it was not measured; empty if it was

	made bool
}

// errMeasure is returned for a measure with neither value nor reason.
var errMeasure = errors.New("a measure has neither a value nor a reason why it was not measured")

// Of turns a measured value into a measure of a report, value for value. A zero
// measure.Value, which has no reason, becomes a Measure that cannot be written.
func Of(v measure.Value) Measure {
	if !v.Measured() {
		return Measure{Not: v.Why}
	}
	m := Measure{Value: v.V, U: v.U, made: true}
	if p := v.Place; p != nil {
		at := p.At.Array()
		m.At, m.Scan = &at, finding.Role(p.Scan)
		if p.Normal.Norm2() > 0 {
			n := p.Normal.Array()
			m.Normal = &n
		}
	}
	return m
}

// Count is a measure without uncertainty.
func Count(n int) Measure { return Measure{Value: float64(n), Exact: true, made: true} }

// NotMeasured is a measure with the reason why there is none.
func NotMeasured(why string) Measure { return Measure{Not: why} }

// Measured reports whether m has a value.
func (m Measure) Measured() bool { return m.made }

// measureJSON is the form of a Measure in a file.
type measureJSON struct {
	Value  *float64     `json:"value,omitempty" doc:"The value, in the unit that ends the field's name."`
	U      *float64     `json:"u,omitempty" doc:"Expanded uncertainty, k = 2, in the value's unit; left out for counts."`
	At     *[3]float64  `json:"at,omitempty" doc:"Where, in mm, in the frame of the named scan."`
	Normal *[3]float64  `json:"normal,omitempty" doc:"Outward unit normal there."`
	Scan   finding.Role `json:"scan,omitempty" doc:"Role of the scan whose frame the place is in."`
	Not    string       `json:"not_measured,omitempty" doc:"Why there is no value."`
}

// MarshalJSON writes the measure; one with neither value nor reason, with both, or
// with a number that is not finite is an error.
func (m Measure) MarshalJSON() ([]byte, error) {
	switch {
	case m.made && m.Not != "":
		return nil, errors.New("a measure has both a value and a reason why it was not measured")
	case !m.made && m.Not == "":
		return nil, errMeasure
	case !m.made:
		return json.Marshal(measureJSON{Not: m.Not})
	case !finite(m.Value) || !finite(m.U) || m.U < 0:
		return nil, fmt.Errorf("a measure has the value %v and the uncertainty %v", m.Value, m.U)
	case m.At != nil && m.Scan == "":
		return nil, errors.New("a measure has a place but names no scan")
	}
	j := measureJSON{Value: &m.Value, U: &m.U, At: m.At, Normal: m.Normal, Scan: m.Scan}
	if m.Exact {
		j.U = nil
	}
	return json.Marshal(j)
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (m *Measure) UnmarshalJSON(data []byte) error {
	var j measureJSON
	if err := json.Unmarshal(data, &j); err != nil {
		return err
	}
	switch {
	case j.Value != nil && j.Not != "":
		return errors.New("a measure has both value and not_measured")
	case j.Value == nil && j.Not == "":
		return errMeasure
	case j.Value == nil:
		*m = Measure{Not: j.Not}
		return nil
	}
	*m = Measure{Value: *j.Value, Exact: j.U == nil, At: j.At, Normal: j.Normal, Scan: j.Scan, made: true}
	if j.U != nil {
		m.U = *j.U
	}
	return nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
