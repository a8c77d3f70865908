package finding

// Code names a finding, in kebab-case trade terms.
type Code string

// The codes, grouped by their usual action.
const (
	// Check the files.
	FileUnreadable Code = "file-unreadable"
	ScanMirrored   Code = "scan-mirrored"
	WrongArch      Code = "wrong-arch"
	ToothNotFound  Code = "tooth-not-found"
	ToothDiffers   Code = "tooth-differs"
	OtherMouth     Code = "other-mouth"
	ScanOutdated   Code = "scan-outdated"

	// Scan again, or open the margin and scan.
	ScanMissing        Code = "scan-missing"
	ArchTooShort       Code = "arch-too-short"
	SurfaceMissing     Code = "surface-missing"
	ContactAreaMissing Code = "contact-area-missing"
	MarginNotCaptured  Code = "margin-not-captured"
	MarginUnclear      Code = "margin-unclear"
	MarginTwoLines     Code = "margin-two-lines"
	SurfaceDoubled     Code = "surface-doubled"
	SurfaceInvented    Code = "surface-invented"
	BiteDiffers        Code = "bite-differs"
	BitePenetrates     Code = "bite-penetrates"
	BiteOpen           Code = "bite-open"
	SamplingCoarse     Code = "sampling-coarse"

	// Ask the dentist.
	Undercut         Code = "undercut"
	PathBlocked      Code = "path-blocked"
	ReductionLow     Code = "reduction-low"
	ClearanceLow     Code = "clearance-low"
	FinishLineNarrow Code = "finish-line-narrow"
	NeighbourContour Code = "neighbour-contour"
	NeighbourDamaged Code = "neighbour-damaged"
	GapNarrow        Code = "gap-narrow"
	ResistanceLow    Code = "resistance-low"

	// Notes.
	ConvergenceHigh     Code = "convergence-high"
	ConvergenceLow      Code = "convergence-low"
	WallsShort          Code = "walls-short"
	FinishLineDiffers   Code = "finish-line-differs"
	SharpEdge           Code = "sharp-edge"
	MarginRough         Code = "margin-rough"
	RootNotSeen         Code = "root-not-seen"
	SulcusNarrow        Code = "sulcus-narrow"
	ContrastColour      Code = "contrast-colour"
	SurfaceNoisy        Code = "surface-noisy"
	Fragments           Code = "fragments"
	BiteUnsupported     Code = "bite-unsupported"
	ClearanceInMovement Code = "clearance-in-movement"
	UnitsUnlikely       Code = "units-unlikely"
	CeramicWeak         Code = "ceramic-weak"      // strength class against the cement (ISO 6872)
	FileTypeDiffers     Code = "file-type-differs" // the extension is not what the bytes say
	LimitsEdited        Code = "limits-edited"

	// Fill in.
	PrescriptionIncomplete Code = "prescription-incomplete"
	DateImpossible         Code = "date-impossible"
)

// Action says what somebody should do about a finding.
type Action string

// The actions. OpenMargin counts as ScanAgain in the verdict.
const (
	CheckFiles Action = "check-files" // wrong file, mouth, tooth or version
	ScanAgain  Action = "scan-again"  // tip or air alone mends it
	OpenMargin Action = "open-margin" // stop the bleeding or pack, then scan
	AskDentist Action = "ask-dentist" // the dentist must look or cut
	FillIn     Action = "fill-in"     // the prescription lacks something
	Note       Action = "note"        // worth knowing
)

// Actions lists the actions from the one that decides first to the one that
// decides nothing.
func Actions() []Action {
	return []Action{CheckFiles, ScanAgain, OpenMargin, AskDentist, FillIn, Note}
}

// Codes lists all codes in the order of the contract: by usual action.
func Codes() []Code {
	out := make([]Code, len(usual))
	for i, u := range usual {
		out[i] = u.code
	}
	return out
}

// Usual returns the action that a proven finding of this code normally has; ok is
// false for an unknown code.
func (c Code) Usual() (a Action, ok bool) {
	for _, u := range usual {
		if u.code == c {
			return u.action, true
		}
	}
	return "", false
}

// usual is an ordered table; its order is the order of codes everywhere.
var usual = [...]struct {
	code   Code
	action Action
}{
	{FileUnreadable, CheckFiles},
	{ScanMirrored, CheckFiles},
	{WrongArch, CheckFiles},
	{ToothNotFound, CheckFiles},
	{ToothDiffers, CheckFiles},
	{OtherMouth, CheckFiles},
	{ScanOutdated, CheckFiles},

	{ScanMissing, ScanAgain},
	{ArchTooShort, ScanAgain},
	{SurfaceMissing, ScanAgain},
	{BiteDiffers, ScanAgain},
	{BitePenetrates, ScanAgain},
	{BiteOpen, ScanAgain},
	{SurfaceDoubled, ScanAgain},
	{SurfaceInvented, ScanAgain},
	{MarginNotCaptured, ScanAgain},
	{MarginUnclear, OpenMargin},
	{MarginTwoLines, OpenMargin},
	{ContactAreaMissing, ScanAgain},
	{SamplingCoarse, ScanAgain},

	{ClearanceLow, AskDentist},
	{Undercut, AskDentist},
	{PathBlocked, AskDentist},
	{ReductionLow, AskDentist},
	{FinishLineNarrow, AskDentist},
	{NeighbourContour, AskDentist},
	{NeighbourDamaged, AskDentist},
	{GapNarrow, AskDentist},
	{ResistanceLow, AskDentist},

	{ConvergenceHigh, Note},
	{ConvergenceLow, Note},
	{WallsShort, Note},
	{FinishLineDiffers, Note},
	{SharpEdge, Note},
	{MarginRough, Note},
	{RootNotSeen, Note},
	{SulcusNarrow, Note},
	{ContrastColour, Note},
	{SurfaceNoisy, Note},
	{Fragments, Note},
	{BiteUnsupported, Note},
	{ClearanceInMovement, Note},
	{UnitsUnlikely, Note},
	{CeramicWeak, Note},
	{FileTypeDiffers, Note},

	{PrescriptionIncomplete, FillIn},
	{DateImpossible, FillIn},
	{LimitsEdited, Note},
}
