package coverage

import (
	"selvage/bvh"
	"selvage/dentition"
	"selvage/mesh"
	"selvage/r3"
	"selvage/tooth"
)

// Surface is one scan of the final stage, in the frame of the working scan, with
// its index.
type Surface struct {
	Role string
	Mesh *mesh.Mesh
	Topo *mesh.Topology
	Tree *bvh.Tree
}

// Input is what [Assess] looks at. Preparation and Opposing may be nil.
type Input struct {
	Number      tooth.Number
	Working     *Surface
	Preparation *Surface
	Opposing    *Surface
	Arch        dentition.Arch
	Teeth       []dentition.Tooth // of the working scan, as far as they were told apart
	Prepared    dentition.Prepared
	Others      []tooth.Number // other teeth of the arch that are prepared too: a crown is made to theirs
	Axis        r3.Vec         // insertion axis; zero where it is not known (the occlusal direction serves)
	Margin      []r3.Vec       // closed curve round the preparation; nil where it was not traced
	Hand        Hand           // how the scanner can be held; zero fields: a common head in a common mouth
}

// Kind is what kind of needed surface is missing.
type Kind string

// The kinds, by the finding that each one leads to.
const (
	SurfaceMissing     Kind = "surface-missing"
	ContactAreaMissing Kind = "contact-area-missing"
	ArchTooShort       Kind = "arch-too-short"
)

// Part is the needed surface that a gap lies in.
type Part string

// The parts of the needed surface (the order is that of their weight).
const (
	PartPreparation Part = "preparation"
	PartBelowMargin Part = "below the margin"
	PartContact     Part = "contact area"
	PartNeighbour   Part = "neighbour"
	PartGum         Part = "gum"
	PartArch        Part = "arch"
	PartTerminal    Part = "behind the last tooth"
	PartTwin        Part = "twin"
	PartOpposing    Part = "opposing teeth"
)

// Gap is needed surface that no scan of the final stage shows.
type Gap struct {
	Kind     Kind
	Part     Part
	Tooth    tooth.Number  // the tooth whose surface is missing
	Surface  tooth.Surface // the side of the prepared tooth on which it lies; empty where it has none
	Role     string        // the scan to complete
	At       r3.Vec        // its middle, in the frame of the working scan
	Normal   r3.Vec        // outward normal of the surface that is expected there
	Extent   float64       // longest way across, mm
	ExtentU  float64       // expanded uncertainty (k = 2) of Extent, mm
	Area     float64       // mm²; 0 for an arch that is too short
	Approach Approach
	Why      string // one sentence for the person at the chair

	Form    Form     // what Outline is
	Outline []r3.Vec // points of the gap, in the frame of the working scan; to draw it
}

// Hole is a gap that does not matter.
type Hole struct {
	Role   string
	At     r3.Vec
	Extent float64 // longest way across, mm
	Why    string  // "in the palate", "shown by the working scan", ...
}

// Contact is what is seen of the surface of a neighbour that faces the prepared
// tooth.
type Contact struct {
	Side    tooth.Surface // Mesial or Distal: which side of the prepared tooth
	Tooth   tooth.Number  // the neighbour
	Needed  bool          // false where there is no neighbour, or it is prepared too
	Seen    float64       // share of the expected contact area that is seen, 0 to 1
	Largest float64       // longest way across the largest piece that is missing, mm
	U       float64       // expanded uncertainty of Largest, mm
	At      r3.Vec        // middle of the expected contact area
	Normal  r3.Vec        // out of the neighbour, towards the prepared tooth
}

// Approach is how to hold the scanner to see a place.
type Approach struct {
	Direction r3.Vec        // unit, from the surface to the scanner; zero where none will do
	Tilt      float64       // from the occlusal direction, radians
	From      tooth.Surface // the side that the scanner looks from; Occlusal when it is hardly tilted
	Seen      float64       // share of the place that is visible from there and Then, 0 to 1
	Words     string        // "tilt 35°, from distobuccal"
	Then      []Approach    // further directions that a long place needs, in order
	Bar       Bar           // why there is no direction; empty where there is one
}

// Bar is why no way of holding the scanner sees a place.
type Bar string

// The reasons.
const (
	Shadowed Bar = "shadowed" // teeth or gum stand before it in every direction
	NoRoom   Bar = "no-room"  // it could be seen, but the head fits nowhere in the open mouth
)

// Result is what [Assess] found.
type Result struct {
	Gaps     []Gap  // what matters, heaviest first
	Idle     []Hole // what does not
	Contacts []Contact
	Forward  float64 // how far the arch is shown mesially of the prepared tooth, mm
	Canine   bool    // whether the canine of the quadrant is shown
	Why      string  // why a part could not be assessed; empty if all could
}
