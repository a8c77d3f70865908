package casefile

import (
	"selvage/finding"
	"selvage/limit"
	"selvage/r3"
	"selvage/tooth"
)

// ReportSchema names the form of the report. Fields are added, never renamed.
const ReportSchema = "selvage.report/1"

// Report is the answer to one check of one case.
type Report struct {
	Schema       string              `json:"schema" doc:"Always selvage.report/1."`
	Program      Program             `json:"program" doc:"What made the report."`
	Case         string              `json:"case" doc:"Name or number of the case."`
	Stage        finding.Stage       `json:"stage" doc:"The moment that was judged."`
	Verdict      finding.Verdict     `json:"verdict" doc:"The answer."`
	Line         string              `json:"line" doc:"The verdict in one line, for a screen."`
	Scans        []Scan              `json:"scans" doc:"The files that the verdict is about; a newer file makes it void."`
	Assumed      []string            `json:"assumed,omitempty" doc:"What was assumed, in sentences."`
	Restorations []RestorationReport `json:"restorations" doc:"One entry per restoration."`
	Bite         BiteReport          `json:"bite" doc:"How the arches meet."`
	Findings     []Finding           `json:"findings" doc:"Findings that concern the whole case."`
}

// Program says what made a report.
type Program struct {
	Version string `json:"version" doc:"Version of the program."`
	Limits  string `json:"limits" doc:"Version of the limit table and a hash of what it says."`
}

// Scan is one file as it was read.
type Scan struct {
	Role       finding.Role `json:"role" doc:"What the scan shows."`
	File       string       `json:"file" doc:"File name."`
	SHA256     string       `json:"sha256" doc:"Hash of the file's bytes, hexadecimal."`
	Triangles  int          `json:"triangles" doc:"Count in the file."`
	Vertices   int          `json:"vertices" doc:"Count after joining equal corners."`
	Units      Units        `json:"units" doc:"Unit that was used for the file's coordinates."`
	Components int          `json:"components" doc:"Connected pieces."`
	OpenEdges  int          `json:"open_edges" doc:"Edges with one triangle."`
	NoiseUM    *float64     `json:"noise_um,omitempty" doc:"Roughness of the scan itself, one standard deviation, µm."`
	SpacingMM  *float64     `json:"spacing_mm,omitempty" doc:"Median edge."`
	Flipped    bool         `json:"winding_reversed,omitempty" doc:"The file's winding was inside out and was put right."`
	Teeth      []FoundTooth `json:"teeth,omitempty" doc:"The teeth that were found on a scan of an arch, in order along it."`
	ToWorking  *Transform   `json:"to_working,omitempty" doc:"The motion that takes this scan into the working scan's frame, where it was not in it already."`
}

// Transform is a rigid motion that was found by registration.
type Transform struct {
	Rows [3][4]float64 `json:"rows" doc:"Rotation and translation in mm, row by row: p' = R p + t."`
	UMM  float64       `json:"u_mm" doc:"Expanded uncertainty, k = 2, of a point's place near the prepared tooth."`
}

// Rigid returns the motion; the one that moves nothing where there is none.
func (t *Transform) Rigid() r3.Rigid {
	if t == nil {
		return r3.Still()
	}
	m := t.Rows
	return r3.Rigid{
		R: r3.Mat{r3.V(m[0][0], m[0][1], m[0][2]), r3.V(m[1][0], m[1][1], m[1][2]), r3.V(m[2][0], m[2][1], m[2][2])},
		T: r3.V(m[0][3], m[1][3], m[2][3]),
	}
}

// RestorationReport is what was measured and found on one prepared tooth.
type RestorationReport struct {
	Tooth    ToothNames `json:"tooth" doc:"The tooth in three systems."`
	Measures Measures   `json:"measures" doc:"Every measure, or why it was not made."`
	Findings []Finding  `json:"findings" doc:"Findings on this tooth, worst first."`
}

// ToothNames is one tooth in three systems.
type ToothNames struct {
	FDI       string `json:"fdi" doc:"ISO 3950, two digits."`
	Universal string `json:"universal" doc:"1 to 32."`
	Palmer    string `json:"palmer" doc:"Quadrant and position, such as UL6."`
}

// NamesOf returns the names of n.
func NamesOf(n tooth.Number) ToothNames {
	return ToothNames{FDI: n.String(), Universal: itoa(n.Universal()), Palmer: n.Palmer()}
}

// Measures holds the measures of one prepared tooth.
type Measures struct {
	InsertionAxis   AxisMeasure `json:"insertion_axis" doc:"Direction from root to crown in which the crown is lifted off."`
	ConvergenceMD   Measure     `json:"convergence_mesiodistal_deg" doc:"Total convergence of the mesial and distal walls."`
	ConvergenceBL   Measure     `json:"convergence_buccolingual_deg" doc:"Total convergence of the buccal and lingual walls."`
	ConvergenceMean Measure     `json:"convergence_mean_deg" doc:"Total convergence, area-weighted mean around the tooth."`
	WallHeightMin   Measure     `json:"wall_height_min_mm" doc:"Height of the lowest of the four walls."`
	HeightToBase    Measure     `json:"height_to_base" doc:"Wall height over the buccolingual width of the base."`
	Resistance      Measure     `json:"resistance" doc:"Least share of the opposite wall that keeps a crown from rotating off."`
	UndercutDepth   Measure     `json:"undercut_depth_max_mm" doc:"Deepest undercut, to the survey line."`
	UndercutArea    Measure     `json:"undercut_area_mm2" doc:"Area of the surface in shadow."`
	PathOverlap     Measure     `json:"path_overlap_mm" doc:"Largest overlap of the margin outline, swept along the axis, with a neighbour; zero or less when free."`
	Margin          Margin      `json:"margin" doc:"The margin as traced."`
	FinishLine      FinishLine  `json:"finish_line" doc:"Form and width of the edge."`
	ClearanceMin    Measure     `json:"clearance_min_mm" doc:"Shortest distance to the opposing arch anywhere on the preparation."`
	ClearancePatch  Measure     `json:"clearance_patch_min_mm" doc:"Least distance over a patch of 0.5 mm², which is what is judged."`
	ClearanceFunc   Measure     `json:"clearance_functional_min_mm" doc:"Least distance at the cusps that hold the bite."`
	ClearanceAxial  Measure     `json:"clearance_along_axis_min_mm" doc:"Least distance to the opposing arch along the insertion axis."`
	ClearanceMoving Measure     `json:"clearance_in_movement_min_mm" doc:"Least distance over average movements of the jaw; a note only."`
	ReductionOccl   Measure     `json:"reduction_occlusal_min_mm" doc:"Least reduction of the biting surface against the scan from before."`
	ReductionAxial  Measure     `json:"reduction_axial_min_mm" doc:"Least reduction of the walls against the scan from before."`
	SharpEdge       Measure     `json:"edge_radius_min_mm" doc:"Smallest radius of a convex edge inside the margin."`
	ToolThins       Measure     `json:"tool_thins_max_mm" doc:"Greatest depth by which the milling tool has to cut into the crown beside an edge that it is too round for."`
	ToolRemoves     Measure     `json:"tool_removes_mm3" doc:"What the milling tool takes off the inside of the crown beside such edges."`
	Coloured        Measure     `json:"coloured_mm2" doc:"Area inside the margin that has the colour of tissue, blood or contrast paste."`
	MarginRough     Measure     `json:"margin_roughness_um" doc:"Deviation of the margin from its own 1 mm smooth, RMS."`
	RootBelow       Measure     `json:"root_seen_min_mm" doc:"Least tooth surface seen below the margin."`
	SulcusMin       Measure     `json:"sulcus_width_min_mm" doc:"Least open width between margin and tissue."`
	SpacingAtMargin Measure     `json:"margin_spacing_mm" doc:"Median edge of the mesh within 0.5 mm of the margin."`
	GapMesial       Measure     `json:"gap_mesial_min_mm" doc:"Least distance from the margin to the mesial neighbour."`
	GapDistal       Measure     `json:"gap_distal_min_mm" doc:"Least distance from the margin to the distal neighbour."`
	Neighbours      []Neighbour `json:"neighbours,omitempty" doc:"The teeth beside the preparation, mesial first."`
}

// Margin is the margin as traced, or why it was not.
type Margin struct {
	Closed        bool
	LengthMM      float64
	UnclearMM     float64
	NotCapturedMM float64
	U             float64 // expanded uncertainty of the lengths, mm
	Points        [][3]float64
	Confidence    []float64 // one per point, 0 to 1
	Scan          finding.Role
	Stretches     []Stretch
	ByHandMM      float64 // length that a person pinned or drew
	PinsLeftOut   int     // points that a person gave and that lie too far from the line
	AcceptedBy    string  // the dentist who accepted the line; empty for a proposal
	Not           string  // why there is no margin; empty if there is one
}

// Stretch is a part of the margin that is not sound.
type Stretch struct {
	State    finding.StretchState `json:"state" doc:"What is wrong."`
	From     int                  `json:"from" doc:"Index of the first point."`
	To       int                  `json:"to" doc:"Index of the last point; smaller than from where the stretch runs over the end of the list."`
	LengthMM float64              `json:"length_mm" doc:"Length along the line."`
	Surface  tooth.Surface        `json:"surface" doc:"Which side of the tooth."`
}

// FinishLine is the form and width of the edge, or why it was not measured.
type FinishLine struct {
	Kind          limit.FinishLine
	WidthMinMM    float64
	WidthMedianMM float64
	U             float64 // expanded uncertainty of the widths, mm
	Not           string  // why it was not measured; empty if it was
}

// BiteReport is how the arches meet.
type BiteReport struct {
	ResidualUM    Measure `json:"residual_um" doc:"Distance between the bite record and the arches it was laid on."`
	ShiftMM       Measure `json:"shift_at_tooth_mm" doc:"How far the record would move the opposing arch at the prepared tooth."`
	PenetrationMM Measure `json:"penetration_max_mm" doc:"Deepest overlap of the arches."`
	Contacts      Measure `json:"contacts" doc:"Contacts once the overlap is taken out."`

	LiftMM      *Measure    `json:"lift_at_tooth_mm,omitempty" doc:"The part of the shift that opens the bite; negative where it closes it."`
	TiltDeg     *Measure    `json:"tilt_deg,omitempty" doc:"How far the record would turn the opposing arch."`
	BeforeGapMM *Measure    `json:"before_gap_mm,omitempty" doc:"Least distance from the tooth before it was cut to the opposing arch: about zero where it was in contact and the bite is the same."`
	Beside      []BiteTooth `json:"beside,omitempty" doc:"The neighbours of the prepared tooth, mesial first."`
	Tried       []BiteTooth `json:"tried,omitempty" doc:"The other teeth of the working arch that were tried with shim stock."`
}

// BiteTooth is how one tooth of the working arch meets its opponent.
type BiteTooth struct {
	Tooth    string  `json:"tooth" doc:"ISO 3950."`
	GapUM    Measure `json:"gap_um" doc:"Least distance to the opposing arch; negative where they overlap."`
	Contacts int     `json:"contacts" doc:"Contacts on this tooth once the overlap is taken out."`
	Held     string  `json:"held,omitempty" doc:"Whether it held shim stock before the anaesthetic: yes or no; left out where it was not tried."`
}

// Neighbour is a tooth beside the preparation, as the crown will meet it.
type Neighbour struct {
	Tooth    string        `json:"tooth" doc:"ISO 3950."`
	Side     tooth.Surface `json:"side" doc:"Side of the prepared tooth on which it stands."`
	GapMM    Measure       `json:"gap_min_mm" doc:"Least distance from the margin to it."`
	SpaceMM  Measure       `json:"contact_space_mm" doc:"Distance from the wall of the preparation to it where the crown will touch it; the place is the contact to come."`
	BulgeMM  Measure       `json:"bulge_mm" doc:"How far it hangs over the contact to come, seen along the insertion axis."`
	HollowMM Measure       `json:"hollow_mm" doc:"Greatest depth of its facing side under a chord of up to 3 mm; zero where it is convex."`
	DamageMM Measure       `json:"damage_mm" doc:"Deepest loss on its facing side since the scan from before."`
}

// Finding is one thing worth saying, as it stands in a report.
type Finding struct {
	Code     finding.Code   `json:"code" doc:"What, in kebab-case trade terms."`
	Action   finding.Action `json:"action" doc:"What somebody should do."`
	Call     finding.Call   `json:"call" doc:"Proven, too close to call, or beyond the advised value only."`
	Tooth    string         `json:"tooth,omitempty" doc:"The tooth on which it lies, ISO 3950."`
	Surface  tooth.Surface  `json:"surface,omitempty" doc:"Which side of that tooth."`
	Scan     finding.Role   `json:"scan,omitempty" doc:"Role of the scan; the frame of at, normal and approach."`
	At       *[3]float64    `json:"at,omitempty" doc:"Where, in mm."`
	Normal   *[3]float64    `json:"normal,omitempty" doc:"Outward unit normal there."`
	Measured *float64       `json:"measured,omitempty" doc:"What was measured."`
	Limit    *float64       `json:"limit,omitempty" doc:"What it was held against."`
	Unit     string         `json:"unit,omitempty" doc:"Unit of measured, limit and u; left out for ratios and counts."`
	U        *float64       `json:"u,omitempty" doc:"Expanded uncertainty, k = 2."`
	Text     string         `json:"text" doc:"What was found."`
	Advice   string         `json:"advice" doc:"What to do."`
	Source   string         `json:"source,omitempty" doc:"Where the limit comes from."`
	Approach *Approach      `json:"approach,omitempty" doc:"How to hold the scanner."`
	Missing  []string       `json:"missing,omitempty" doc:"Fields of case.json that are missing."`
}

// Approach says how to hold the scanner tip.
type Approach struct {
	Direction [3]float64    `json:"direction" doc:"Unit vector from the surface to the scanner."`
	TiltDeg   float64       `json:"tilt_deg" doc:"Angle to the occlusal direction."`
	From      tooth.Surface `json:"from" doc:"Side to which the tip is tilted."`
	Then      []Approach    `json:"then,omitempty" doc:"Further directions that a long spot needs, in order."`
	Seen      float64       `json:"seen,omitempty" doc:"Share of the spot that all of them see, where it is less than all of it: the rest comes into sight once the gum is retracted."`
}
