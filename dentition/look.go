package dentition

import "selvage/mesh"

// Look orients a scan, turns it if it winds inside out, and finds its arch. The
// mesh and topology of the result wind outward.
func Look(name string, m *mesh.Mesh) Scan { return LookOn(name, m, mesh.NewTopology(m)) }

// LookOn is [Look] for a mesh whose topology is known.
func LookOn(name string, m *mesh.Mesh, topo *mesh.Topology) Scan {
	s := Face(name, m, topo)
	s.Arch = FindArch(s.Mesh, s.Topo, s.Orientation)
	return s
}

// Face is [LookOn] without the arch, for a scan whose teeth nobody asks for.
func Face(name string, m *mesh.Mesh, topo *mesh.Topology) Scan {
	o := Orient(m, topo)
	if o.InsideOut {
		m = m.Flipped()
		topo = mesh.NewTopology(m)
	}
	return Scan{Name: name, Mesh: m, Topo: topo, Orientation: o}
}

// Handedness says whether a working scan can be of the side that the number of
// its prepared tooth names, in one sentence. A scan that was turned inside out and
// shows the tooth on the wrong side was mirrored; one that winds soundly shows
// another tooth. It cannot tell without a prepared tooth, nor from a row too
// straight to have a concave side.
func Handedness(s Scan, p Prepared) (Handed, string) {
	switch {
	case p.Sighting == NoneSeen:
		return CannotTell, "no prepared tooth is to be seen, so the side cannot be told"
	case !s.Arch.SideKnown:
		return CannotTell, "the row of teeth is too straight to tell which side is lingual"
	case p.Sighting == WrongSide && s.Orientation.InsideOut:
		return Mirrored, "the triangles wind inside out and the prepared tooth stands on the wrong side: the scan is mirrored"
	case p.Sighting == WrongSide:
		return OtherSide, p.Why
	}
	return Consistent, "the prepared tooth stands on the side of its number"
}
