package dentition

import (
	"selvage/mesh"
	"selvage/r3"
	"selvage/tooth"
)

// Look orients a scan, turns it if it winds inside out, and finds its arch. The
// mesh of the result winds outward.
func Look(name string, m *mesh.Mesh) Scan {
	topo := mesh.NewTopology(m)
	o := Orient(m, topo)
	if o.InsideOut {
		m = m.Flipped()
		topo = mesh.NewTopology(m)
	}
	return Scan{Name: name, Mesh: m, Topo: topo, Orientation: o, Arch: FindArch(m, topo, o)}
}

// Handedness says whether a scan can be of the side that a tooth number names.
func Handedness(s Scan, p Prepared) (Handed, string) { return CannotTell, "" }

// WhichIsUpper tells the upper from the lower jaw among two scans in one frame.
// ok is false where the shapes do not tell.
func WhichIsUpper(a, b Scan) (firstIsUpper bool, confidence float64, why string, ok bool) {
	return false, 0, "", false
}

// GuessRoles proposes a role for each scan of a case, from shapes alone.
func GuessRoles(scans []Scan, n tooth.Number) []Guess { return make([]Guess, len(scans)) }

var _ = r3.Vec{}
