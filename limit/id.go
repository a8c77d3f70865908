package limit

// The limits. What each means, its values and sources stand in limits.toml.
const (
	// Margin and finish line.
	MarginUnclear     ID = "margin-unclear"
	MarginNotCaptured ID = "margin-not-captured"
	MarginLineAngle   ID = "margin-line-angle"
	MarginTwoLines    ID = "margin-two-lines"
	MarginRough       ID = "margin-rough"
	RootNotSeen       ID = "root-not-seen"
	SulcusNarrow      ID = "sulcus-narrow"
	SamplingCoarse    ID = "sampling-coarse"
	ContrastColour    ID = "contrast-colour"

	// Shape of the preparation.
	UndercutDepth      ID = "undercut-depth"
	UndercutArea       ID = "undercut-area"
	UndercutNearMargin ID = "undercut-near-margin"
	PathOverlap        ID = "path-overlap"
	ConvergenceHigh    ID = "convergence-high"
	ConvergenceLow     ID = "convergence-low"
	WallHeight         ID = "wall-height"
	HeightToBase       ID = "height-to-base"
	Resistance         ID = "resistance"
	SharpEdge          ID = "sharp-edge"
	ToolRadius         ID = "tool-radius"

	// Room.
	MaterialMinimum ID = "material-minimum"
	CementSpace     ID = "cement-space"
	Adjustment      ID = "adjustment"
	GapToNeighbour  ID = "gap-to-neighbour"
	NeighbourBulge  ID = "neighbour-contour"
	NeighbourLoss   ID = "neighbour-damage"
	Strength        ID = "ceramic-strength"
	MaterialReaches ID = "material-strength"

	// Bite.
	BitePenetration ID = "bite-penetration"
	BiteResidual    ID = "bite-residual"
	BiteShift       ID = "bite-shift"
	BiteGap         ID = "bite-gap"

	// Average articulator, for the room in movement.
	CondylarGuidance ID = "condylar-guidance"
	BennettAngle     ID = "bennett-angle"
	IncisalGuidance  ID = "incisal-guidance"
	CanineGuidance   ID = "canine-guidance"
	BonwillSide      ID = "bonwill-side"
	BalkwillAngle    ID = "balkwill-angle"
	CondylarPath     ID = "condylar-path"

	// Capture.
	HoleContact     ID = "hole-contact-area"
	HolePreparation ID = "hole-preparation"
	HoleOpposing    ID = "hole-opposing"
	HoleElsewhere   ID = "hole-elsewhere"
	Doubled         ID = "surface-doubled"
	Invented        ID = "surface-invented"
	Noise           ID = "noise"
	SameMouth       ID = "same-mouth"
	SameTooth       ID = "same-tooth"

	// Milling in the house.
	MillEnlargement ID = "mill-enlargement"
	MillBorder      ID = "mill-border"

	// Calendar.
	SeatBuffer    ID = "seat-buffer"
	SeatReady     ID = "seat-ready"
	QueryAnswer   ID = "query-answer"
	TemporaryStay ID = "temporary-stay"
)
