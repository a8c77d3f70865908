package study

import (
	"encoding/json"
	"fmt"
	"math"
)

// reading is one measure of one trial beside its truth, which is NaN where the case
// has none (a canine has no opposite walls from cheek to palate). In JSON it is
// [measured, truth, u], with null for what there is not.
type reading struct {
	made bool
	sample
}

// MarshalJSON writes the three numbers exactly.
func (r reading) MarshalJSON() ([]byte, error) {
	if !r.made {
		return json.Marshal([3]*float64{nil, finite(r.truth), nil})
	}
	return json.Marshal([3]*float64{finite(r.measured), finite(r.truth), finite(r.u)})
}

// UnmarshalJSON reads what MarshalJSON wrote. The case's number is not in it.
func (r *reading) UnmarshalJSON(data []byte) error {
	var v []*float64
	if err := json.Unmarshal(data, &v); err != nil {
		return err
	}
	if len(v) != 3 {
		return fmt.Errorf("study: a reading has %d numbers, not 3", len(v))
	}
	*r = reading{made: v[0] != nil, sample: sample{measured: number(v[0]), truth: number(v[1]), u: number(v[2])}}
	return nil
}

func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

func number(v *float64) float64 {
	if v == nil {
		return math.NaN()
	}
	return *v
}
