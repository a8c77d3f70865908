// Package reduction measures how much of a tooth was cut away, from a scan of
// the arch before.
//
// [Register] brings the earlier scan to the working scan on the teeth that did
// not change, and says whether it can be the same mouth. [Measure] then takes, at
// every point of the preparation, the distance to the old surface along the
// surface normal and along the insertion axis. Lengths are millimetres in the
// frame of the working scan.
package reduction

import (
	"selvage/bvh"
	"selvage/curve"
	"selvage/measure"
	"selvage/mesh"
	"selvage/r3"
)

// Input is what [Measure] needs.
type Input struct {
	Prep   *mesh.Mesh     // the scan that holds the preparation
	Topo   *mesh.Topology // of Prep; nil: made here
	Inside []mesh.FaceID  // its faces inside the margin; nil: found from Margin and Axis
	Margin curve.Polyline // closed
	Axis   r3.Vec         // unit insertion axis
	Before *bvh.Tree      // the arch before, in its own frame
	// WorkingFromBefore brings Before to Prep; see [Register].
	WorkingFromBefore r3.Rigid
	Holding           r3.Vec // unit, from the tooth's middle to the side of the holding cusp; zero: not known
	Front             bool   // incisor or canine
	Scan              string // role of Prep, for the places
	Options           Options
}

// Options tunes [Measure]; the zero value is the documented default.
type Options struct {
	PrepSigma   float64 // mm, scan noise of Prep; 0: 0.01
	BeforeSigma float64 // mm, the same of Before; 0: 0.01
	RegisterU   float64 // mm, k = 2, of the registration at the preparation
	Reach       float64 // mm; 0: 5
	PatchArea   float64 // mm²; 0: 0.5
	AxialFrom   float64 // mm above the margin where an axial wall begins; 0: 1.5, a shelf and 0.5 more
}

// Zone is a part of the preparation. The edge between the occlusal surface and a wall
// is neither: there the normal leans from one to the other, and the distance along it
// says as much about the wall as about the height.
type Zone int

// The zones.
const (
	Occlusal Zone = iota
	Axial
	Cervical  // within Options.AxialFrom of the margin: the finish line's width speaks there
	LineAngle // the rounded edge between the occlusal surface and a wall: what was cut from both
)

// Result is the reduction, in mm; negative where the preparation stands proud of
// the old surface.
type Result struct {
	OcclusalMin   measure.Value // least over a connected patch, along the normal
	AxialMin      measure.Value // the same on the walls
	OcclusalPoint measure.Value // at the worst point
	AxialPoint    measure.Value
	OcclusalAlong measure.Value // least over a patch, along the insertion axis
	Functional    measure.Value // OcclusalMin on the side of the holding cusp
	OcclusalSeen  float64       // share of the occlusal zone's area that meets the old surface
	AxialSeen     float64       // the same of the walls: a scan seldom shows what faces a neighbour
	Vertices      []At          // every vertex inside the margin, by id
}

// At is the reduction at one vertex of Prep.
type At struct {
	Vertex mesh.VertexID
	Zone   Zone
	Normal float64 // mm along the surface normal; NaN where the old surface is not met
	Along  float64 // mm along the axis; NaN where it is not met
}
