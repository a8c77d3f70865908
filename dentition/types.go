package dentition

import (
	"selvage/mesh"
	"selvage/r3"
	"selvage/tooth"
)

// Orientation says how a scan is held.
type Orientation struct {
	Occlusal   r3.Vec  // unit, from the tissue to the opening; zero where it cannot be told
	Closed     bool    // a closed cast with a stone base, or a solid, not an open scan
	InsideOut  bool    // the triangles wind the wrong way: turn them before anything else
	Confidence float64 // 0 to 1
	Why        string  // what it was told from
}

// Extent says how much of a dental arch a scan shows.
type Extent int

// What a scan shows of an arch.
const (
	NoArch   Extent = iota // nothing that runs like an arch
	Segment                // a few teeth, nearly in a line
	Quadrant               // about half an arch
	FullArch               // both sides
)

// String returns the extent in words.
func (e Extent) String() string {
	return [...]string{"no arch", "a few teeth", "a quadrant", "a full arch"}[e]
}

// Arch is the ridge of the dental arch of a scan.
type Arch struct {
	Occlusal r3.Vec   // unit; refined by the plane through the crest where the arch is curved enough
	Ridge    []r3.Vec // middle of the crest, clockwise seen against Occlusal, equal steps
	Lingual  []r3.Vec // per ridge point: unit, across the ridge and Occlusal, to the concave side
	Along    []r3.Vec // per ridge point: unit, along the ridge
	Step     float64  // between ridge points, in the occlusal plane, mm
	Length   float64  // of the ridge, mm
	Extent   Extent
	Middle   float64 // place of the symmetry line along the ridge, mm; NaN where it cannot be told

	// SideKnown says that the concave side is told with confidence, from the shape
	// or with the help of the arch that it bites on (see [FaceArches]); without it
	// Lingual may be the buccal side.
	SideKnown  bool
	Confidence float64 // 0 to 1
	Why        string

	Named []Anchor // teeth that a person named; see [Arch.Name]

	frame   r3.Rigid // level, along the chord, from the scan
	strip   *strip   // nil if there is no arch
	bow     float64  // how far the row of teeth lies off its chord on average, away from Lingual, mm
	rewound bool     // the triangles wound inside out and were turned
}

// Tooth is one tooth found along the arch.
type Tooth struct {
	Number     tooth.Number // 0 where only the class could be told
	Center     r3.Vec       // middle of the crown on its crest
	Occlusal   r3.Vec       // unit, of the arch
	Mesial     r3.Vec       // unit, across Occlusal
	Buccal     r3.Vec       // unit, across Occlusal and Mesial
	Width      float64      // mesiodistal, along the arch, mm
	Depth      float64      // buccolingual, mm
	CuspHeight float64      // highest cusp above the middle of the occlusal surface, mm
	From, To   float64      // its span along the ridge, mm
	Confidence float64      // 0 to 1; 1 where a person named it
	ByHand     bool         // a person named it
}

// Neighbour is the tooth beside a prepared one.
type Neighbour struct {
	Number  tooth.Number
	Present bool
	Center  r3.Vec // middle of the crown on its crest; zero if absent
	Facing  r3.Vec // point of the neighbour nearest to the preparation at the height of contour
	Gap     float64
}

// Sighting says whether and where a prepared tooth was seen.
type Sighting int

// The answers of [FindPrepared].
const (
	NoneSeen  Sighting = iota // no prepared tooth is to be seen
	Seen                      // at the place of the number
	Elsewhere                 // a prepared tooth, but not at the place of the number
	WrongSide                 // a prepared tooth at the mirrored place
)

// Prepared is the prepared tooth of a working scan, or why there is none.
type Prepared struct {
	Sighting Sighting
	Number   tooth.Number // the number that was asked for
	Center   r3.Vec       // on the axis of the tooth, on its top
	Radius   float64      // from Center across Occlusal to the middle of the sulcus, the largest, mm
	Occlusal r3.Vec
	Mesial   r3.Vec // by the shape of the arch, of the tooth that was seen
	Buccal   r3.Vec
	Place    float64 // along the ridge, mm
	Mesially Neighbour
	Distally Neighbour

	Confidence float64
	Why        string // a sentence: "no prepared tooth is to be seen at 26"

	// Doubt is the tooth of the other side where the row does not tell the two apart: a
	// lower central incisor from the one across the midline, or a tooth of a row too short or too
	// straight for its side. Zero where it does.
	Doubt tooth.Number

	at   xy // Center in the chart of the arch
	ring ring
}

// Handed is the answer of [Handedness].
type Handed int

// Whether a scan agrees with the side of a tooth number.
const (
	CannotTell Handed = iota
	Consistent
	Mirrored  // wrong side, and the winding was inside out
	OtherSide // wrong side, sound winding
)

// Scan is one scan of a case as the functions that compare scans take it.
type Scan struct {
	Name        string // file name, for the words; never the only evidence
	Mesh        *mesh.Mesh
	Topo        *mesh.Topology
	Orientation Orientation
	Arch        Arch
	Normals     []r3.Vec // of the vertices, as from [surface.VertexNormals]; nil: made where they are needed
}

// Guess is a role proposed for a scan.
type Guess struct {
	Role       string // preparation, working, opposing, bite, before; empty where it cannot be told
	Upper      bool   // the jaw, where JawKnown
	JawKnown   bool
	Confidence float64
	Why        string
}
