package check

import (
	"selvage/coverage"
	"selvage/finding"
	"selvage/mesh"
	"selvage/neighbour"
	"selvage/occlusion"
	"selvage/prep"
	"selvage/prep/reduction"
	"selvage/prep/undercut"
	"selvage/r3"
	"selvage/tooth"
)

// Scene is what pictures of a case are drawn from. Everything is in the frame of
// the working scan.
type Scene struct {
	Scans        []*Scan
	Restorations []SceneTooth
}

// SceneTooth is one prepared tooth of a scene.
type SceneTooth struct {
	Number     tooth.Number
	Seen       bool
	Source     *Scan // the scan that it was measured on; nil where it was not seen
	Center     r3.Vec
	Axis       r3.Vec // the insertion axis, or the occlusal direction
	Mesial     r3.Vec
	Buccal     r3.Vec
	Margin     *prep.Margin            // nil where it was not traced
	Clearance  []occlusion.ClearanceAt // by vertex of Source; nil where not measured
	Neighbours [2]neighbour.Result     // mesial and distal; zero where none stands
	Reduction  []reduction.At          // by vertex of Source; nil where not measured
	Undercut   []undercut.At           // the same
	Contacts   []occlusion.Contact     // where the arches touch
	Missing    *mesh.Mesh              // what no scan shows, to be drawn; nil where nothing is missing
}

// Scan returns the scan of a role, or nil.
func (s Scene) Scan(role finding.Role) *Scan { return find(s.Scans, role) }

func scene(scans []*Scan, rs []*restoration, j finding.Judgement) Scene {
	out := Scene{Scans: scans}
	for _, r := range rs {
		t := SceneTooth{Number: r.number, Seen: r.seen(), Margin: r.margin, Clearance: r.clearance.Vertices, Neighbours: r.neighbour}
		if r.seen() {
			t.Center, t.Axis = r.prepared.Center, r.direction()
			t.Mesial, t.Buccal = r.prepared.Mesial, r.prepared.Buccal
			t.Source = r.source
			t.Contacts, t.Reduction = r.bite.Contacts, r.reduction.Vertices
			if r.margin != nil && r.undercut.Depth.Measured() {
				t.Undercut = r.undercut.Vertices(r.margin, r.source.Mesh)
			}
			if m := coverage.Patches(said(r.coverage.Gaps, j)); len(m.Tri) > 0 {
				t.Missing = m
			}
		}
		out.Restorations = append(out.Restorations, t)
	}
	return out
}

// said returns the gaps of which a finding speaks: smaller ones are not drawn either.
func said(gaps []coverage.Gap, j finding.Judgement) []coverage.Gap {
	var out []coverage.Gap
	for _, g := range gaps {
		for _, f := range j.Findings {
			if f.Place != nil && f.Place.At == g.At {
				out = append(out, g)
				break
			}
		}
	}
	return out
}
