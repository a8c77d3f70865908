package picture

import (
	"math"

	"selvage/finding"
	"selvage/internal/check"
	"selvage/limit"
	"selvage/tooth"
)

// ForCheck makes the pictures of a finished check, as [ForReport] does. number is
// report.Numbering of the same report.
func ForCheck(o check.Outcome, number func(restoration, i int) int) []Figure {
	src := Source{Number: number}
	for _, s := range o.Scene.Scans {
		if s.Fault == "" {
			src.Scans = append(src.Scans, Scan{Role: s.Role, Mesh: s.Mesh})
		}
	}
	for i, t := range o.Scene.Restorations {
		src.Sites = append(src.Sites, siteOf(o, i, t))
	}
	return ForReport(o.Report, src)
}

func siteOf(o check.Outcome, i int, t check.SceneTooth) Site {
	s := Site{Center: t.Center, Occlusal: t.Axis, Mesial: t.Mesial, Buccal: t.Buccal}
	if w := o.Scene.Scan(finding.RoleWorking); w != nil && w.Fault == "" {
		s.Occlusal = w.Look.Orientation.Occlusal.UnitOr(s.Occlusal)
	}
	if t.Source == nil || t.Clearance == nil {
		return s
	}
	s.ClearanceOn = t.Source.Role
	s.Clearance = make([]float64, len(t.Source.Mesh.Pos))
	for k := range s.Clearance {
		s.Clearance[k] = math.NaN()
	}
	for _, c := range t.Clearance {
		if c.Vertex >= 0 && int(c.Vertex) < len(s.Clearance) && !math.IsInf(c.Distance, 0) {
			s.Clearance[c.Vertex] = c.Distance
		}
	}
	s.ClearanceLimit = roomAsked(o, i, t.Number)
	return s
}

// roomAsked is the room that the table asks for in the zone that asks most, which
// is the line worth drawing on one map; 0 where the material has none.
func roomAsked(o check.Outcome, i int, n tooth.Number) float64 {
	if i >= len(o.Facts.Restorations) {
		return 0
	}
	p := o.Facts.Restorations[i].Prescription
	most := 0.0
	for _, z := range limit.Zones() {
		if z == limit.Axial || z == limit.Edge {
			continue
		}
		q := limit.Selector{Material: p.Material, Cement: p.Cement, Zone: z, Class: string(n.Class())}
		if r, ok := o.Limits.Clearance(q); ok && r.Flag.Set {
			most = max(most, r.Flag.V)
		}
	}
	return most
}
