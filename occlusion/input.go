package occlusion

import (
	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
)

// Scan is one surface with its index and what is known of its quality.
type Scan struct {
	Mesh    *mesh.Mesh
	Tree    *bvh.Tree // of Mesh
	Normals []r3.Vec  // of the vertices, as from [surface.VertexNormals]; nil: made where they are needed
	Sigma   float64   // scan noise, one standard deviation, mm; 0 where it is not known
	Spacing float64   // median edge, mm; 0 means [mesh.Mesh.MedianEdge]
}

// Side says on which side of the prepared tooth something lies along the arch.
type Side int

// The two sides.
const (
	Mesial Side = iota
	Distal
)

// String returns the word of the trade.
func (s Side) String() string {
	if s == Mesial {
		return "mesial"
	}
	return "distal"
}

// Neighbour is a tooth of the working arch next to the prepared one.
type Neighbour struct {
	Side   Side
	Centre r3.Vec
	Radius float64 // mm; half the mesiodistal width; 0 means 4.5
}

// Before is the scan of the working arch before the tooth was cut.
type Before struct {
	Scan
	WorkingFromBefore r3.Rigid // as registered on the teeth that did not change
	U                 float64  // k = 2, mm, of that registration at the prepared tooth
}

// Input is what [Judge] looks at.
type Input struct {
	Working  Scan
	Opposing Scan
	Record   *Scan   // buccal record with the teeth closed; nil where there is none
	Before   *Before // nil where there is none

	Up         r3.Vec // unit occlusal direction of the working arch
	Tooth      r3.Vec // centre of the prepared tooth
	Radius     float64
	Neighbours []Neighbour
	Others     []Neighbour // other teeth to be asked how they meet their opponents; their Side says nothing
	// Buccal is the buccal direction at the prepared tooth, or zero. With it the
	// side of the holding cusps is read from the neighbours' contacts.
	Buccal r3.Vec
}
