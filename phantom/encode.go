package phantom

import (
	"encoding/json"
	"math"
)

// number is null in JSON where the truth has no such value: a convergence where a
// front tooth has no second wall, say.
func number(v *float64) *float64 {
	if math.IsNaN(*v) || math.IsInf(*v, 0) {
		return nil
	}
	return v
}

// MarshalJSON writes a value that does not exist as null.
func (r Restoration) MarshalJSON() ([]byte, error) {
	type plain Restoration
	return json.Marshal(struct {
		plain
		MD         *float64    `json:"convergence_mesiodistal_deg"`
		BL         *float64    `json:"convergence_buccolingual_deg"`
		Diag       [2]*float64 `json:"convergence_diagonal_deg"`
		Mean       *float64    `json:"convergence_mean_deg"`
		HeightMin  *float64    `json:"wall_height_min_mm"`
		Base       *float64    `json:"base_mm"`
		Ratio      *float64    `json:"height_to_base"`
		Resistance *float64    `json:"resistance"`
	}{
		plain(r),
		number(&r.ConvergenceMDDeg), number(&r.ConvergenceBLDeg),
		[2]*float64{number(&r.ConvergenceDiagDeg[0]), number(&r.ConvergenceDiagDeg[1])},
		number(&r.ConvergenceMeanDeg), number(&r.WallHeightMinMm), number(&r.BaseMm),
		number(&r.HeightToBase), number(&r.Resistance),
	})
}

// MarshalJSON writes a value that does not exist as null.
func (q Quarters) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Mesial  *float64 `json:"mesial"`
		Buccal  *float64 `json:"buccal"`
		Distal  *float64 `json:"distal"`
		Lingual *float64 `json:"lingual"`
	}{number(&q.Mesial), number(&q.Buccal), number(&q.Distal), number(&q.Lingual)})
}

// MarshalJSON writes a value that does not exist as null.
func (f FinishLineTruth) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Kind   FinishLine `json:"kind"`
		Least  *float64   `json:"width_min_mm"`
		Median *float64   `json:"width_median_mm"`
	}{f.Kind, number(&f.WidthMinMm), number(&f.WidthMedianMm)})
}

// MarshalJSON writes a value that does not exist as null, without a place.
func (l Located) MarshalJSON() ([]byte, error) {
	if number(&l.Value) == nil {
		return []byte(`{"value":null}`), nil
	}
	type plain Located
	return json.Marshal(plain(l))
}
