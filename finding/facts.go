package finding

import (
	"selvage/calendar"
	"selvage/limit"
	"selvage/measure"
	"selvage/tooth"
)

// Stage is the moment at which a case is checked.
type Stage string

// The stages. At Preparation the margin and the contact areas are not judged.
const (
	Preparation Stage = "preparation" // before the gum is opened, handpiece at hand
	Final       Stage = "final"       // everything
)

// Role says what a scan shows.
type Role string

// The roles of the files of a case.
const (
	RolePreparation Role = "preparation" // the prepared tooth alone
	RoleWorking     Role = "working"     // the arch that holds the prepared tooth
	RoleOpposing    Role = "opposing"
	RoleBite        Role = "bite"   // buccal record with the teeth closed
	RoleBefore      Role = "before" // the working arch before the tooth was cut
	RoleDesign      Role = "design" // the returned crown
)

// Roles lists the roles.
func Roles() []Role {
	return []Role{RolePreparation, RoleWorking, RoleOpposing, RoleBite, RoleBefore, RoleDesign}
}

// Answer is the answer to a yes-or-no question that may not have been asked. The
// zero Answer is Unknown.
type Answer int8

// The three answers.
const (
	Unknown Answer = iota
	No
	Yes
)

// Look says whether something was looked for at all, so that an empty list means
// "none found" and not "nobody looked". The zero Look is not looked, without a
// reason.
type Look struct {
	Done bool
	Why  string // why not, in words a person at the chair understands
}

// Looked is the Look of an analysis that ran.
func Looked() Look { return Look{Done: true} }

// NotLooked is the Look of an analysis that could not run, and why.
func NotLooked(why string) Look { return Look{Why: why} }

// Facts is everything known about one case, for [Judge]. All measured numbers are
// [measure.Value]: mm, mm², µm or degrees as each field says, U with k = 2, the
// place in the frame of the scan that it names. A zero Value is an absent fact.
type Facts struct {
	Stage        Stage         // zero: Final
	Scans        []Scan        // every file of the case, in its order
	Mouth        []Match       // pairs of scans held against each other
	Bite         Bite          // how the arches meet
	Restorations []Restoration // one per restoration of the prescription
	Order        Order         // what the prescription says about the case as a whole
}

// Scan is what is known about one file of the case.
type Scan struct {
	Role  Role
	File  string       // name, for texts
	Tooth tooth.Number // zero unless the file shows one tooth

	Fault      string // why the file could not be used; empty if it could
	TypeSaid   string // extension without dot, where the bytes say otherwise
	TypeFound  string // what the bytes say
	UnitsSaid  string // unit that case.json or the user gives; empty if none
	UnitsUsed  string // unit that was used
	UnitsDoubt bool   // the unit was inferred, or the size is unlikely for the one given

	Mirrored Answer // winding inside out and the wrong side for the tooth number
	OtherJaw Answer // shows the other jaw than its role and the tooth number say
	Outdated Answer // a newer file of the same role exists
	Newer    string // name of the newer file

	Noise     measure.Value // µm, one standard deviation of the surface
	Fragments int           // loose pieces that do not matter
	Gaps      int           // holes that do not matter

	Doubled  []Patch // two sheets within 0.3 mm with like normals
	Invented []Patch // surface that a program filled in
}

// Match is one pair of scans of the same arch held against each other.
type Match struct {
	A, B  Role
	RMS   measure.Value // mm, RMS distance of the teeth that did not change
	Tooth measure.Value // mm, the same of the typical tooth; it decides where it is known
}

// Bite is how the arches meet in the pose that is used. Clearance rests on it.
type Bite struct {
	Residual    measure.Value // µm, RMS between the bite record and the arches; absent without a record
	Shift       measure.Value // mm, how far the record moves the opposing arch at the prepared tooth
	Penetration measure.Value // mm, deepest overlap of the arches, prepared tooth excluded
	Area        measure.Value // mm², area of overlap
	Contacts    measure.Value // count, contacts once the overlap is taken out; U is 0
	Support     []Support     // the neighbours that have an opponent, mesial first
	Tried       []Support     // other teeth that were tried with shim stock
	Unsupported Answer        // the preparation is the last tooth, nothing touches behind it
	RecordGiven bool          // the case has a bite record
}

// Support is how one tooth meets its opponent.
type Support struct {
	Tooth tooth.Number
	Gap   measure.Value // µm, least gap to the opponent once the overlap is taken out; 0 when touching
	Held  Answer        // it touched before: shim stock held before the anaesthetic, or the bite before treatment
}

// Region is the part of the needed surface in which a patch lies.
type Region string

// The regions.
const (
	RegionPreparation Region = "preparation" // inside the margin, biting surface and walls
	RegionMargin      Region = "margin"      // the margin and 0.2 mm beyond
	RegionContact     Region = "contact"     // where the crown will touch its neighbour
	RegionNeighbour   Region = "neighbour"   // a neighbour's biting surface and contours beside the gap
	RegionTissue      Region = "tissue"      // 3 mm of gum around the tooth
	RegionArch        Region = "arch"        // the arch forward to the canine
	RegionOpposing    Region = "opposing"    // the opposing tooth and one on each side
	RegionTerminal    Region = "terminal"    // distal wall and tissue behind a last tooth
	RegionTwin        Region = "twin"        // the same tooth on the other side, for a front tooth
)

// Patch is a piece of surface, or the lack of one.
type Patch struct {
	Region   Region
	Tooth    tooth.Number  // the tooth on which it lies; zero if none
	Surface  tooth.Surface // which side of that tooth; empty if none
	Extent   measure.Value // mm, widest extent; with the place
	Area     measure.Value // mm²
	Approach *Approach     // how to hold the scanner; nil if not worked out
	Tries    int           // earlier scans in which the same spot was wanting
}

// Approach says how to hold the scanner tip to see a spot.
type Approach struct {
	Direction [3]float64    // unit, from the surface to the scanner, in the frame of the finding's scan
	Tilt      float64       // radians, from the occlusal direction
	From      tooth.Surface // the side that the tip is tilted towards
	Then      []Approach    // further directions that a long spot needs, in order
	Seen      float64       // share of the spot that they see, where they do not see all of it; else 0
	Bar       Bar           // why no direction is given; Direction is then zero
}

// Bar is why no way of holding the scanner sees a spot.
type Bar string

// The reasons.
const (
	Shadowed Bar = "shadowed" // teeth or gum stand before it in every direction
	NoRoom   Bar = "no-room"  // the scanner's head fits nowhere in the open mouth
)

// Restoration is what was measured on one prepared tooth, and what the
// prescription says about it.
type Restoration struct {
	Prescription Prescription

	// Found is the tooth that the scan holds in the place of the prescribed one.
	// Absent reasons go into Found.Why.
	Found Found

	AxisMeasured Look // the insertion axis; wall measures rest on it

	// Walls, against the insertion axis.
	ConvergenceMD   measure.Value // °, total, mesiodistal plane
	ConvergenceBL   measure.Value // °, total, buccolingual plane
	ConvergenceMean measure.Value // °, total, area-weighted mean
	WallHeight      measure.Value // mm, the lowest of the four walls
	WallSurface     tooth.Surface // which wall that is
	HeightToBase    measure.Value // ratio
	Resistance      measure.Value // ratio, least share of the opposite wall that resists
	SharpEdge       measure.Value // mm, smallest radius of a convex edge

	Undercut UndercutFacts
	Path     PathFacts

	Margin     MarginFacts
	FinishLine FinishLineFacts

	Clearance []Room // by zone; the limit is material minimum + cement
	Reduction []Room // by zone; the limit is the material minimum; absent without a scan from before
	Movement  []Room // by zone, least clearance over the movements of the jaw

	ClearanceLook Look // whether clearance was looked for, and why not
	ReductionLook Look

	Neighbours []Neighbour // mesial first
	Missing    []Patch     // needed surface that no scan shows, worst first
	Coverage   Look        // whether missing surface was looked for
	ShortOf    []ShortArch // parts of the arch that the scan should reach and does not
}

// Found is where the prepared tooth was found. A preparation that certainly stands
// in another place than the prescription says is Sure, with the number of that
// place in Tooth, or with Answer No where it could not be numbered.
type Found struct {
	Answer Answer       // Yes: a prepared tooth stands where the prescription says; No: none does
	Tooth  tooth.Number // the number that its place in the arch gives; zero if not numbered
	Sure   bool         // a preparation was seen elsewhere, certain enough to contradict the prescription
	Why    string       // why it was not looked for, or what was found instead
}

// Room is the least distance in one zone, and the least over a patch of 0.5 mm².
// The patch is judged: one spike must not order more cutting.
type Room struct {
	Zone    limit.Zone
	Surface tooth.Surface // where on the tooth
	Least   measure.Value // mm
	Patch   measure.Value // mm
}

// UndercutFacts is what lies in shadow along the insertion axis.
type UndercutFacts struct {
	Depth     measure.Value // mm, deepest, to the survey line
	Area      measure.Value // mm², in shadow
	NearDepth measure.Value // mm, deepest within the undercut-near-margin distance of the margin
	NearArea  measure.Value // mm², in shadow within that distance
	Surface   tooth.Surface // where the deepest point lies
}

// PathFacts is whether a crown could travel down the axis between its neighbours.
type PathFacts struct {
	Overlap   measure.Value // mm, largest overlap of the swept margin outline with a neighbour; 0 or less when free
	Neighbour tooth.Number  // the neighbour in the way
	Free      *Approach     // tilt of the axis that would free it; nil if none was found
}

// MarginFacts is the margin as traced.
type MarginFacts struct {
	Look      Look          // whether it was traced, and why not
	Closed    bool          // the line runs round the tooth
	Length    measure.Value // mm
	Stretches []Stretch     // doubtful stretches, in order along the line
	TwoLines  []Stretch     // stretches with a second line; Apart says how far
	Rough     measure.Value // µm RMS, deviation from its own 1 mm smooth
	RootBelow measure.Value // mm, least tooth surface seen below the line where it is captured
	RootSide  tooth.Surface
	Sulcus    measure.Value // mm, least open width between line and tissue
	SulcusAt  tooth.Surface
	Spacing   measure.Value // mm, median edge of the mesh within 0.5 mm of the line
	Coloured  measure.Value // mm², tissue or blood colour inside the line; absent without colour
}

// StretchState says what is wrong with a stretch of the margin.
type StretchState string

// The states.
const (
	Unclear     StretchState = "unclear"      // no edge stands out: tissue, fluid or paste lies over it
	NotCaptured StretchState = "not-captured" // the scan ends at or before it
)

// Stretch is a part of the margin that is not sound.
type Stretch struct {
	State     StretchState
	Surface   tooth.Surface // where its middle lies
	LineAngle bool          // it touches one of the four line angles
	Length    measure.Value // mm, along the line; with the place
	Apart     measure.Value // mm, distance to the second line; only in TwoLines
	Approach  *Approach     // how to hold the scanner; nil if not worked out
	Tries     int           // earlier scans in which the same stretch was doubtful
}

// FinishLineFacts is the form of the edge.
type FinishLineFacts struct {
	Kind        limit.FinishLine // empty if it could not be told
	Why         string           // why it could not
	WidthMin    measure.Value    // mm, least shelf width
	WidthMedian measure.Value    // mm
	Surface     tooth.Surface    // where the least width lies
}

// Neighbour is what was measured on a tooth beside the gap.
type Neighbour struct {
	Tooth   tooth.Number
	Side    tooth.Surface // the side of the prepared tooth on which it stands: mesial or distal
	Gap     measure.Value // mm, least distance from the margin to it
	Bulge   measure.Value // mm, its overhang over the space of the crown, seen along the axis
	Damage  measure.Value // mm, deepest loss on its facing side since the scan from before
	Contact Look          // whether its contact area was looked at; holes go into Missing
}

// ShortArch is a part of the arch that the scan should reach.
type ShortArch struct {
	Role  Role
	Tooth tooth.Number  // the first tooth wanted that is not there
	Side  tooth.Surface // towards mesial or distal
}

// Prescription is what the prescription says about one restoration. Empty fields
// were not given.
type Prescription struct {
	Tooth      tooth.Number
	Kind       string // crown, onlay, ...; empty is measured as a crown and reported missing
	Material   limit.Material
	Cement     limit.Cement
	FinishLine limit.FinishLine
	MadeBy     string   // laboratory or in-house
	Missing    []string // names of fields that a complete prescription has and this one lacks, as in case.json
}

// Order is what the prescription says about the case as a whole. Dates are as
// written; those that the calendar does not have are findings.
type Order struct {
	Prepared, Due, Seat string        // 2006-01-02; empty if not given
	Week                calendar.Week // working days of the practice
	Missing             []string      // as in Prescription
}

// InHouse is the MadeBy of a crown that the practice makes itself.
const InHouse = "in-house"

// Laboratory is the MadeBy of a crown that a laboratory makes.
const Laboratory = "laboratory"

// Crown is the one Kind that this version measures in full.
const Crown = "crown"
