package check

import (
	"math"

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
	Undercut   []ShadowAt              // the same
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
			t.Undercut = r.shade
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

// ShadowAt is the depth of the shadow along the insertion axis at one vertex.
type ShadowAt struct {
	Vertex mesh.VertexID
	Depth  float64 // mm, 0 where nothing overhangs
}

// shadeUndercut spreads the undercut over the scan, where it was measured.
func (r *restoration) shadeUndercut() {
	if r.margin != nil && r.undercut.Depth.Measured() {
		r.shade = shadows(r.undercut, r.margin, r.source.Mesh)
	}
}

// onProfile is how far, mm, a vertex may lie from the profile that speaks for it.
const onProfile = 0.15

// shadows spreads the map of an undercut over the vertices inside the margin of a scan: each
// takes the depth of the nearest sample of its half-plane. It is for pictures; the depth
// and area of the result come from the map itself. Cost: O(vertices · samples).
func shadows(r undercut.Result, m *prep.Margin, on *mesh.Mesh) []ShadowAt {
	n := len(m.Points)
	if len(r.Map) != n || n == 0 {
		return nil
	}
	g := m.Fan.Prep.Frame()
	boxes := make([]r3.Box, n) // of the samples inside the margin, in the half-plane, and what is near enough
	for i := range boxes {
		p, b := &m.Fan.Profiles[i], r3.EmptyBox()
		for s := range min(p.Len(), m.Points[i].Sample+1) {
			if q := r3.V(p.Rho[s], 0, p.Z[s]); !math.IsNaN(q.X + q.Z) {
				b = b.Extend(q)
			}
		}
		boxes[i] = b.Grow(2 * onProfile)
	}
	var out []ShadowAt
	for v, p := range on.Pos {
		q := g.Point(p)
		rho := math.Hypot(q.X, q.Y)
		if rho > prep.CutRadius || q.Z < -prep.CutBelow || q.Z > prep.CutRadius {
			continue
		}
		i := (int(math.Round(math.Atan2(q.Y, q.X)/(2*math.Pi)*float64(n))) + n) % n
		if !boxes[i].Contains(r3.V(rho, 0, q.Z)) {
			continue
		}
		if d, ok := shadowAt(r, &m.Fan.Profiles[i], i, m.Points[i].Sample, rho, q.Z); ok {
			out = append(out, ShadowAt{Vertex: mesh.VertexID(v), Depth: d})
		}
	}
	return out
}

// shadowAt returns the depth at the sample of profile i that lies nearest to a place inside the
// margin, whose sample is last.
func shadowAt(r undercut.Result, p *prep.Profile, i, last int, rho, z float64) (depth float64, ok bool) {
	best, k := onProfile*onProfile, -1
	for s := range min(p.Len(), last+1) {
		d := r3.V(p.Rho[s]-rho, 0, p.Z[s]-z).Norm2()
		if d < best {
			best, k = d, s
		}
	}
	if k < 0 {
		return 0, false
	}
	if k < len(r.Map[i]) {
		depth = r.Map[i][k]
	}
	return depth, true
}
