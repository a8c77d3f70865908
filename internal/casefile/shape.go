package casefile

import (
	"encoding/json"
	"errors"
	"strconv"

	"selvage/finding"
	"selvage/limit"
)

func itoa(n int) string { return strconv.Itoa(n) }

// AxisMeasure is a unit vector with its uncertainty as an angle, or why there is
// none.
type AxisMeasure struct {
	Value [3]float64
	UDeg  float64 // expanded uncertainty, k = 2, degrees
	Scan  finding.Role
	Not   string
}

type axisJSON struct {
	Value *[3]float64  `json:"value,omitempty" doc:"Unit vector from root to crown."`
	UDeg  *float64     `json:"u_deg,omitempty" doc:"Expanded uncertainty, k = 2."`
	Scan  finding.Role `json:"scan,omitempty" doc:"Role of the scan whose frame it is in."`
	Not   string       `json:"not_measured,omitempty" doc:"Why there is no value."`
}

// MarshalJSON writes the axis; one with neither value nor reason, or with both,
// is an error.
func (a AxisMeasure) MarshalJSON() ([]byte, error) {
	if err := either(a.Value != [3]float64{}, a.Not); err != nil {
		return nil, err
	}
	if a.Not != "" {
		return json.Marshal(axisJSON{Not: a.Not})
	}
	return json.Marshal(axisJSON{Value: &a.Value, UDeg: &a.UDeg, Scan: a.Scan})
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (a *AxisMeasure) UnmarshalJSON(data []byte) error {
	var j axisJSON
	if err := json.Unmarshal(data, &j); err != nil {
		return err
	}
	if err := either(j.Value != nil, j.Not); err != nil {
		return err
	}
	*a = AxisMeasure{Scan: j.Scan, Not: j.Not}
	if j.Value != nil {
		a.Value = *j.Value
	}
	if j.UDeg != nil {
		a.UDeg = *j.UDeg
	}
	return nil
}

// either holds "a value or a reason, never both, never neither".
func either(value bool, not string) error {
	switch {
	case value && not != "":
		return errors.New("a measure has both a value and a reason why it was not measured")
	case !value && not == "":
		return errMeasure
	}
	return nil
}

type marginJSON struct {
	Closed      *bool        `json:"closed,omitempty" doc:"The line runs round the tooth."`
	Length      *float64     `json:"length_mm,omitempty" doc:"Length of the line."`
	Unclear     *float64     `json:"unclear_mm,omitempty" doc:"Length that cannot be told."`
	NotCaptured *float64     `json:"not_captured_mm,omitempty" doc:"Length that the scan does not hold."`
	U           *float64     `json:"u_mm,omitempty" doc:"Expanded uncertainty of the lengths, k = 2."`
	Points      [][3]float64 `json:"points,omitempty" doc:"The line, in mm; the last point is joined to the first where it is closed."`
	Confidence  []float64    `json:"confidence,omitempty" doc:"One number per point, 0 to 1."`
	Scan        finding.Role `json:"scan,omitempty" doc:"Role of the scan whose frame the line is in."`
	Stretches   []Stretch    `json:"stretches,omitempty" doc:"Parts that are not sound."`
	ByHand      float64      `json:"by_hand_mm,omitempty" doc:"Length that a person pinned or drew (restorations[].margin of case.json)."`
	LeftOut     int          `json:"pins_left_out,omitempty" doc:"Points that a person gave and that lie too far from the line, or belong to another scan."`
	AcceptedBy  string       `json:"accepted_by,omitempty" doc:"The dentist who accepted the line; without it the line is a proposal."`
	Not         string       `json:"not_measured,omitempty" doc:"Why there is no margin."`
}

// MarshalJSON writes the margin or the reason why there is none.
func (m Margin) MarshalJSON() ([]byte, error) {
	if err := either(len(m.Points) > 0, m.Not); err != nil {
		return nil, err
	}
	if m.Not != "" {
		return json.Marshal(marginJSON{Not: m.Not})
	}
	switch {
	case len(m.Confidence) != len(m.Points):
		return nil, errors.New("a margin needs one confidence per point")
	case m.Scan == "":
		return nil, errors.New("a margin names no scan")
	}
	return json.Marshal(marginJSON{
		Closed: &m.Closed, Length: &m.LengthMM, Unclear: &m.UnclearMM, NotCaptured: &m.NotCapturedMM, U: &m.U,
		Points: m.Points, Confidence: m.Confidence, Scan: m.Scan, Stretches: m.Stretches,
		ByHand: m.ByHandMM, LeftOut: m.PinsLeftOut, AcceptedBy: m.AcceptedBy,
	})
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (m *Margin) UnmarshalJSON(data []byte) error {
	var j marginJSON
	if err := json.Unmarshal(data, &j); err != nil {
		return err
	}
	if err := either(len(j.Points) > 0, j.Not); err != nil {
		return err
	}
	*m = Margin{Points: j.Points, Confidence: j.Confidence, Scan: j.Scan, Stretches: j.Stretches, Not: j.Not}
	m.ByHandMM, m.PinsLeftOut, m.AcceptedBy = j.ByHand, j.LeftOut, j.AcceptedBy
	m.Closed = j.Closed != nil && *j.Closed
	m.LengthMM, m.UnclearMM, m.NotCapturedMM, m.U = deref(j.Length), deref(j.Unclear), deref(j.NotCaptured), deref(j.U)
	return nil
}

type finishLineJSON struct {
	Kind   limit.FinishLine `json:"kind,omitempty" doc:"Form; mixed where it changes around the tooth."`
	Min    *float64         `json:"width_min_mm,omitempty" doc:"Least width of the shelf."`
	Median *float64         `json:"width_median_mm,omitempty" doc:"Median width of the shelf."`
	U      *float64         `json:"u_mm,omitempty" doc:"Expanded uncertainty of the widths, k = 2."`
	Not    string           `json:"not_measured,omitempty" doc:"Why it was not measured."`
}

// MarshalJSON writes the finish line or the reason why there is none.
func (f FinishLine) MarshalJSON() ([]byte, error) {
	if err := either(f.Kind != "", f.Not); err != nil {
		return nil, err
	}
	if f.Not != "" {
		return json.Marshal(finishLineJSON{Not: f.Not})
	}
	return json.Marshal(finishLineJSON{Kind: f.Kind, Min: &f.WidthMinMM, Median: &f.WidthMedianMM, U: &f.U})
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (f *FinishLine) UnmarshalJSON(data []byte) error {
	var j finishLineJSON
	if err := json.Unmarshal(data, &j); err != nil {
		return err
	}
	if err := either(j.Kind != "", j.Not); err != nil {
		return err
	}
	*f = FinishLine{Kind: j.Kind, WidthMinMM: deref(j.Min), WidthMedianMM: deref(j.Median), U: deref(j.U), Not: j.Not}
	return nil
}

func deref(p *float64) float64 {
	if p == nil {
		return 0
	}
	return *p
}
