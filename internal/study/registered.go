package study

import (
	"fmt"
	"math"

	"selvage/finding"
	"selvage/internal/check"
	"selvage/phantom"
)

// Registered is how far a registration leaves the middle of the prepared tooth from
// where it truly lies, in µm.
type Registered struct {
	What    string  `json:"what"` // the role of the scan that was laid on the working scan
	ErrorUm float64 `json:"error_um"`
	UUm     float64 `json:"u_um"` // as stated
}

// registered holds the motions of a check against those that the phantom was made with:
// all of its scans share one frame, but for the opposing one where the bite slipped.
func registered(truth phantom.Truth, out check.Outcome) []Registered {
	for _, s := range truth.Scans {
		if s.Mirrored || s.Shift != (phantom.Point{}) || s.Units != "mm" {
			return nil
		}
	}
	move := truth.Bite.Move.Vec()
	var list []Registered
	for _, g := range out.Registered {
		at := g.At
		switch g.Role {
		case finding.RoleBefore:
			if hasFault(truth, "other-mouth") {
				continue
			}
		case finding.RoleBite: // its motion takes the opposing arch from where it was filed to where it bites
			at = g.At.Add(move)
		default:
			continue
		}
		list = append(list, Registered{string(g.Role), 1000 * g.Motion.Point(at).Dist(g.At), 1000 * g.U})
	}
	return list
}

func hasFault(truth phantom.Truth, name string) bool {
	for _, f := range truth.Faults {
		if f.Name == name {
			return true
		}
	}
	return false
}

// registeredTable sums up the errors of registration, and those of scans of about 10 µm
// noise apart.
func (r Result) registeredTable() table {
	t := table{
		title: "Registration at the prepared tooth",
		head:  []string{"scan", "cases", "RMS, µm", "95th pct, µm", "largest, µm", "median U, µm", "U held the truth (95 %)"},
		note: "How far the motion found leaves the middle of the prepared tooth from its true place. The scan from before is laid on the working scan by the teeth that did not change; " +
			"the record of the bite on both arches, which gives the motion of the opposing one.",
	}
	for _, row := range []struct {
		name, what string
		in         func(Trial) bool
	}{
		{"before treatment", string(finding.RoleBefore), func(Trial) bool { return true }},
		{"before treatment, noise 8 to 12 µm", string(finding.RoleBefore), tenMicrons},
		{"record of the bite", string(finding.RoleBite), func(Trial) bool { return true }},
		{"record of the bite, noise 8 to 12 µm", string(finding.RoleBite), tenMicrons},
	} {
		var all []sample
		for _, x := range r.Trials {
			if x.Failed != "" || x.Refused != "" || !row.in(x) {
				continue
			}
			for _, g := range x.Registered {
				if g.What == row.what {
					all = append(all, sample{caseNo: x.Number, measured: g.ErrorUm, u: g.UUm})
				}
			}
		}
		if len(all) == 0 {
			continue
		}
		e := sumUp(all, 0)
		t.rows = append(t.rows, []string{
			row.name, fmt.Sprint(e.N), fmt.Sprintf("%.1f", e.RMS), fmt.Sprintf("%.1f", e.P95), fmt.Sprintf("%.1f", e.Largest),
			fmt.Sprintf("%.1f", e.MedianU), e.Held.String(),
		})
	}
	return t
}

// tenMicrons reports whether the scans of a case have about 10 µm of noise.
func tenMicrons(t Trial) bool { return math.Abs(t.NoiseUm-10) <= 2 }
