package casefile

import (
	"selvage/finding"
	"selvage/limit"
	"selvage/shade"
	"selvage/tooth"
)

// Case is what case.json says. Only the tooth of each restoration and the scans
// are required; everything else may be empty and is then missing, never guessed.
type Case struct {
	Name         string         `json:"case,omitempty" doc:"Name or number of the case."`
	Restorations []Restoration  `json:"restorations" doc:"What is to be made, one entry per restoration."`
	Dates        Dates          `json:"dates,omitzero" doc:"Dates, as 2026-05-04."`
	Prescriber   Prescriber     `json:"prescriber,omitzero" doc:"The dentist who prescribes."`
	Laboratory   Laboratory     `json:"laboratory,omitzero" doc:"Who makes the crown."`
	Patient      Patient        `json:"patient,omitzero" doc:"A reference, never a name."`
	Scans        []ScanFile     `json:"scans" doc:"The files of the case."`
	ShimStock    []ShimPair     `json:"shim_stock,omitempty" doc:"Pairs of teeth tried with shim stock before the anaesthetic; a pair that held then must touch in the bite."`
	Rule         string         `json:"rule,omitempty" doc:"The law that the prescription is written under, such as us-fl or eu."`
	Rush         bool           `json:"rush,omitempty" doc:"Wanted sooner than usual."`
	Alerts       []Alert        `json:"alerts,omitempty" doc:"What about the patient matters at a step of the work."`
	Disinfection Disinfection   `json:"disinfection,omitzero" doc:"What was done to things that go along with the files."`
	Subcontract  Subcontracting `json:"subcontracting,omitempty" doc:"Whether another workshop may make a part."`
	Units        Units          `json:"units,omitempty" doc:"Unit of the coordinates in all files; left out, it is inferred and said."`

	Unknown []string `json:"-"` // fields that were in the file and are not known, such as "restorations[0].colour"
	Assumed []string `json:"-"` // what was read into the file, in sentences
}

// Restoration is one thing to be made.
type Restoration struct {
	Tooth        ToothCode        `json:"tooth" doc:"The prepared tooth."`
	Abutments    []ToothCode      `json:"abutments,omitempty" doc:"For a bridge: the teeth that carry it."`
	Kind         Kind             `json:"kind,omitempty" doc:"What is to be made."`
	Material     limit.Material   `json:"material,omitempty" doc:"What it will be made of."`
	Grade        string           `json:"grade,omitempty" doc:"Quality or grade of the material, such as its translucency."`
	Cement       limit.Cement     `json:"cement,omitempty" doc:"How it will be fixed."`
	FinishLine   limit.FinishLine `json:"finish_line,omitempty" doc:"The form of the edge that was meant."`
	MarginDepth  MarginDepth      `json:"margin_depth,omitempty" doc:"Where the margin lies against the crest of the gum."`
	FacialMM     *float64         `json:"facial_thickness_mm,omitempty" doc:"Thickness planned on the facial side."`
	MadeBy       MadeBy           `json:"made_by,omitempty" doc:"Who makes it."`
	Shade        Shade            `json:"shade,omitzero" doc:"Colours, by the words of the guide."`
	Contacts     Contacts         `json:"contacts,omitzero" doc:"How it should touch its neighbours."`
	Occlusion    Occlusion        `json:"occlusion,omitzero" doc:"How it should meet the opposing tooth."`
	IfSpaceShort IfSpaceShort     `json:"if_space_short,omitempty" doc:"What the laboratory should do where there is too little room."`
	Margin       ByHand           `json:"margin,omitzero" doc:"What a person says about the margin: points that it must pass, stretches drawn by hand, who accepted it, earlier tries."`
	Notes        string           `json:"notes,omitempty" doc:"Anything else."`
}

// ToothCode is a tooth as somebody wrote it down.
type ToothCode struct {
	System tooth.System `json:"system" doc:"Numbering system."`
	Code   string       `json:"code" doc:"The number in that system, such as 26, 14 or UL6."`
}

// Number returns the tooth; the zero Number if the code is none, which [Parse]
// excludes for the teeth of a case.
func (c ToothCode) Number() tooth.Number {
	n, err := tooth.Parse(c.System, c.Code)
	if err != nil {
		return 0
	}
	return n
}

// CodeOf returns n written in ISO 3950.
func CodeOf(n tooth.Number) ToothCode { return ToothCode{System: tooth.FDI, Code: n.String()} }

// Kind is what is to be made.
type Kind string

// The kinds. An implant crown is refused: it is not covered.
const (
	Crown  Kind = "crown"
	Onlay  Kind = "onlay"
	Inlay  Kind = "inlay"
	Veneer Kind = "veneer"
	Bridge Kind = "bridge"
)

// Kinds lists the kinds that case.json may name.
func Kinds() []Kind { return []Kind{Crown, Onlay, Inlay, Veneer, Bridge} }

// MadeBy is who makes the restoration.
type MadeBy string

// The makers.
const (
	ByLaboratory MadeBy = "laboratory"
	InHouse      MadeBy = "in-house"
)

// Makers lists who may make it.
func Makers() []MadeBy { return []MadeBy{ByLaboratory, InHouse} }

// IfSpaceShort is what to do where there is too little room.
type IfSpaceShort string

// The choices.
const (
	Call           IfSpaceShort = "call"
	AdjustOpposing IfSpaceShort = "adjust-opposing"
	ReductionGuide IfSpaceShort = "reduction-guide"
	ChangeMaterial IfSpaceShort = "change-material"
)

// SpaceChoices lists what may be done.
func SpaceChoices() []IfSpaceShort {
	return []IfSpaceShort{Call, AdjustOpposing, ReductionGuide, ChangeMaterial}
}

// Units is the unit of the coordinates of a file.
type Units string

// The units.
const (
	Millimetre Units = "mm"
	Centimetre Units = "cm"
	Metre      Units = "m"
	Inch       Units = "inch"
	Micrometre Units = "um"
)

// AllUnits lists the units that a file may be in.
func AllUnits() []Units { return []Units{Millimetre, Centimetre, Metre, Inch, Micrometre} }

// Shade holds colours by the words of a guide.
type Shade struct {
	Guide    string `json:"guide,omitempty" doc:"Name of the guide."`
	Body     string `json:"body,omitempty" doc:"Main colour."`
	Incisal  string `json:"incisal,omitempty" doc:"Colour at the edge."`
	Cervical string `json:"cervical,omitempty" doc:"Colour at the neck."`
	Stump    string `json:"stump,omitempty" doc:"Colour of the prepared tooth."`

	Character     string     `json:"characterisation,omitempty" doc:"Stains, translucency, surface; which tooth to match."`
	BeforeDrying  *bool      `json:"before_drying,omitempty" doc:"Whether the colour was taken before the tooth dried."`
	Measured      *shade.Lab `json:"measured,omitempty" doc:"The colour wanted as an instrument gave it, CIE L*a*b*."`
	StumpMeasured *shade.Lab `json:"stump_measured,omitempty" doc:"The colour of the prepared tooth as an instrument gave it."`
}

// Contacts says how firmly the crown should touch each neighbour.
type Contacts struct {
	Mesial string `json:"mesial,omitempty" doc:"Such as light, normal, firm, open."`
	Distal string `json:"distal,omitempty" doc:"Such as light, normal, firm, open."`
}

// Occlusion says how the crown should meet the opposing tooth.
type Occlusion struct {
	Scheme           string `json:"scheme,omitempty" doc:"Guidance wanted."`
	Centric          string `json:"centric,omitempty" doc:"Contact in closure, such as full, light, none."`
	Excursions       string `json:"excursions,omitempty" doc:"Contact in movement, such as guides, free."`
	OpposingMaterial string `json:"opposing_material,omitempty" doc:"What it will bite on."`
	Bruxism          *bool  `json:"bruxism,omitempty" doc:"Whether the patient grinds; left out, it is not known."`
}

// Dates are the days of the case, as 2006-01-02. Days that the calendar does not
// have are kept as written; judging them is a rule's work.
type Dates struct {
	Written  string `json:"written,omitempty" doc:"Day on which the prescription was written."`
	Prepared string `json:"prepared,omitempty" doc:"Day of the preparation."`
	Due      string `json:"due,omitempty" doc:"Day on which the work is due back."`
	Seat     string `json:"seat,omitempty" doc:"Day on which it is to be seated."`
}

// Prescriber is the dentist.
type Prescriber struct {
	Name    string `json:"name,omitempty" doc:"Name."`
	Licence string `json:"licence,omitempty" doc:"Licence number."`
	Address string `json:"address,omitempty" doc:"Address."`
	Phone   string `json:"phone,omitempty" doc:"Telephone."`
	Contact string `json:"contact,omitempty" doc:"The one person to call, and when."`
}

// Laboratory is who makes the work.
type Laboratory struct {
	Name    string `json:"name,omitempty" doc:"Name."`
	Address string `json:"address,omitempty" doc:"Address."`
	Licence string `json:"licence,omitempty" doc:"Licence or registration number, where there is one."`
	Phone   string `json:"phone,omitempty" doc:"Telephone."`
}

// Patient is a reference that means something to the practice only.
type Patient struct {
	Reference string `json:"reference,omitempty" doc:"A reference, never a name."`
	Name      string `json:"name,omitempty" doc:"Only where the law wants it on the order; printed there and nowhere else."`
}

// ScanFile is one file of the case.
type ScanFile struct {
	Role  finding.Role `json:"role,omitempty" doc:"What the scan shows; left out, it is told from the name or the shape."`
	File  string       `json:"file" doc:"File name inside the case folder."`
	Tooth ToothRef     `json:"tooth,omitzero" doc:"For a scan of one tooth: which."`
	Teeth []NamedTooth `json:"teeth,omitempty" doc:"Teeth that a person named on this scan; the others are numbered around them."`
}

// ToothRef names a tooth from a scan: a bare code, in the numbering system of the
// restorations, or a system and a code.
type ToothRef struct {
	System tooth.System // empty: the system of the restorations
	Code   string
}
