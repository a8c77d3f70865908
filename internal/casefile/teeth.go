package casefile

import "selvage/tooth"

// NamedTooth is a tooth that a person named on a scan.
type NamedTooth struct {
	Tooth ToothRef   `json:"tooth" doc:"Which tooth it is."`
	At    [3]float64 `json:"at" doc:"A point on it, in mm in the frame of the scan's file."`
}

// FoundTooth is a tooth of a scan as the report lists it.
type FoundTooth struct {
	Tooth      string     `json:"tooth" doc:"ISO 3950."`
	At         [3]float64 `json:"at" doc:"The middle of its crown, in mm in the frame of the scan's file."`
	WidthMM    float64    `json:"width_mm" doc:"Mesiodistal width along the arch."`
	Confidence float64    `json:"confidence" doc:"How sure its number is, 0 to 1; 1 where a person named it."`
	Unsure     bool       `json:"unsure,omitempty" doc:"The number may be another: look, and name the tooth in case.json."`
	ByHand     bool       `json:"by_hand,omitempty" doc:"A person named it."`
	Prepared   bool       `json:"prepared,omitempty" doc:"It is a prepared tooth of the prescription."`
}

// namedTeeth reads the teeth that were named on scan i.
func (r *reader) namedTeeth(o *object, rs []Restoration) []NamedTooth {
	items, paths := o.list("teeth")
	var out []NamedTooth
	for i, n := range items {
		to := r.object(paths[i], n)
		var t NamedTooth
		if ref, ok := to.get("tooth"); ok {
			t.Tooth = r.toothRef(to.at("tooth"), ref, rs)
		} else {
			r.fail(to.at("tooth"), "is missing; it says which tooth stands there")
		}
		if at, ok := to.get("at"); ok {
			t.At = r.point(to.at("at"), at)
		} else {
			r.fail(to.at("at"), "is missing; it is a point on the tooth")
		}
		to.done()
		out = append(out, t)
	}
	return out
}

// NamedTeeth returns the numbers of the teeth that were named on the scan of a file,
// in order, with a point on each.
func (c Case) NamedTeeth(file string) (numbers []tooth.Number, at [][3]float64) {
	for _, s := range c.Scans {
		if s.File != file {
			continue
		}
		for _, t := range s.Teeth {
			if n, err := t.Tooth.number(c.Restorations); err == nil {
				numbers, at = append(numbers, n), append(at, t.At)
			}
		}
	}
	return numbers, at
}
