package study

import (
	"fmt"
	"slices"

	"selvage/bvh"
	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/mesh"
	"selvage/phantom"
	"selvage/r3"
	"selvage/surface"
)

// Refill says how much of a gap is shown once the place was scanned again as its
// finding advises.
type Refill struct {
	Code    finding.Code `json:"code"`
	Advised bool         `json:"advised"` // false: the finding says that no direction sees the place
	Part    bool         `json:"part"`    // it says that no direction sees all of it, and to retract
	Missing float64      `json:"missing"` // mm² of the true surface that the scan lacked there
	Filled  float64      `json:"filled"`  // share of it that the scan held as advised shows
}

// scannedAgain are the codes whose advice is a direction to scan a gap from.
var scannedAgain = []finding.Code{finding.MarginNotCaptured, finding.ContactAreaMissing, finding.SurfaceMissing}

// Sizes of a gap about the place of its finding, mm.
const (
	besideLine    = 0.2  // from the true margin, what a gap in the margin lacks: the line and the root needed below it
	contactRadius = 1.0  // of a contact area
	rounding      = 0.3  // a gap's extent is known to about a triangle
	asShown       = 0.09 // from the scan, a place is shown: three times the noise and the sagitta of coarse triangles
)

// leastGap is the area, mm², under which hardly anything is missing: a finding about less is
// an alarm that the tables of findings count, and what asShown leaves of it is noise.
const leastGap = 0.05

// refill lets the virtual scanner follow the advice of every finding about a gap in
// the working scan and measures, against the exact surface, how much of what was
// missing it then sees.
func refill(c phantom.Case, rep casefile.Report) []Refill {
	var out []Refill
	for _, r := range rep.Restorations {
		for _, f := range r.Findings {
			if !slices.Contains(scannedAgain, f.Code) || f.At == nil || f.Scan != finding.RoleWorking {
				continue
			}
			if x, ok := refillOne(c, f); ok {
				out = append(out, x)
			}
		}
	}
	return out
}

func refillOne(c phantom.Case, f casefile.Finding) (Refill, bool) {
	at := r3.V(f.At[0], f.At[1], f.At[2])
	out := Refill{Code: f.Code, Advised: f.Approach != nil, Part: f.Approach != nil && f.Approach.Seen > 0}
	var sees []bool
	var m *mesh.Mesh
	if f.Approach != nil {
		m, sees = c.Again(holds(at, *f.Approach)...)
	} else {
		m, sees = c.Again()
	}
	if m == nil {
		return out, false
	}
	area := surface.VertexAreas(m)
	filled := 0.0
	for _, v := range gapOf(c, f, m, at) {
		out.Missing += area[v]
		if sees[v] {
			filled += area[v]
		}
	}
	if out.Missing == 0 {
		return out, false
	}
	out.Filled = filled / out.Missing
	return out, true
}

// holds lists how the scanner is held one after the other.
func holds(at r3.Vec, a casefile.Approach) []phantom.Hold {
	out := []phantom.Hold{{Target: at, Direction: r3.V(a.Direction[0], a.Direction[1], a.Direction[2])}}
	for _, t := range a.Then {
		out = append(out, phantom.Hold{Target: at, Direction: r3.V(t.Direction[0], t.Direction[1], t.Direction[2])})
	}
	return out
}

// gapOf lists the vertices of the true surface that the finding is about and that the
// working scan does not show.
func gapOf(c phantom.Case, f casefile.Finding, m *mesh.Mesh, at r3.Vec) []mesh.VertexID {
	scan, ok := c.Scan(phantom.Working)
	if !ok || f.Measured == nil {
		return nil
	}
	tree := bvh.Build(scan.Mesh)
	reach := *f.Measured/2 + rounding
	line := c.Truth.Restorations[0].Margin.Points
	if f.Code == finding.ContactAreaMissing {
		reach = contactRadius
		for _, k := range c.Truth.Restorations[0].Contacts {
			if k.Side == string(f.Surface) {
				at = k.At.Vec()
			}
		}
	}
	var out []mesh.VertexID
	for v, p := range m.Pos {
		if p.Dist(at) > reach {
			continue
		}
		if f.Code == finding.MarginNotCaptured && distance(p, line) > besideLine {
			continue
		}
		if _, shown := tree.Nearest(p, asShown); !shown {
			out = append(out, mesh.VertexID(v))
		}
	}
	return out
}

// filledEnough is the share of a gap from which it counts as filled.
const filledEnough = 0.95

// adviceTable says how often scanning a gap again as advised fills it.
func (r Result) adviceTable() table {
	t := table{
		title: "Scanned again as advised",
		head:  []string{"finding", "gaps", "of under 0.05 mm²", "others with a direction for all of it", "for a part", "filled to 95 % (95 %)", "least share filled"},
		note: "The virtual scanner scans the phantom again from the advised direction, swaying by 4° and wandering by 1.5 mm as a hand does; " +
			"the share is of the true surface that the scan lacked. Where it lacked under 0.05 mm² there was hardly anything to fill; such alarms count among the findings. Without a direction, or with one for a part, the finding says to retract, dry or separate.",
	}
	for _, code := range scannedAgain {
		gaps, small, advised, part, filled, least := 0, 0, 0, 0, 0, 1.0
		for _, x := range r.Trials {
			for _, f := range x.Refills {
				if f.Code != code {
					continue
				}
				gaps++
				if f.Missing < leastGap {
					small++
					continue
				}
				if f.Part {
					part++
				}
				if !f.Advised || f.Part {
					continue
				}
				advised++
				least = min(least, f.Filled)
				if f.Filled >= filledEnough {
					filled++
				}
			}
		}
		if gaps == 0 {
			continue
		}
		row := []string{string(code), fmt.Sprint(gaps), fmt.Sprint(small), fmt.Sprint(advised), fmt.Sprint(part), NewRate(filled, advised).String(), "-"}
		if advised > 0 {
			row[6] = fmt.Sprintf("%.0f %%", 100*least)
		}
		t.rows = append(t.rows, row)
	}
	return t
}
