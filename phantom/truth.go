package phantom

import (
	"encoding/json"
	"math"

	"selvage/r3"
)

// Point is a point or direction in a scan's frame, mm.
type Point [3]float64

// Vec returns p as a vector.
func (p Point) Vec() r3.Vec { return r3.V(p[0], p[1], p[2]) }

func pointOf(v r3.Vec) Point { return Point(v.Array()) }

// Truth is what a perfect check would report; it is written as truth.json.
// Coordinates are in mm in the frame of the working scan unless a field names
// another; a scan in other units has its scale in [ScanTruth].
type Truth struct {
	Schema       string        `json:"schema"` // selvage.truth/1
	Case         string        `json:"case"`
	Seed         uint64        `json:"seed"`
	Faults       []Fault       `json:"faults"`
	Scans        []ScanTruth   `json:"scans"`
	Restorations []Restoration `json:"restorations"`
	Bite         BiteTruth     `json:"bite"`
	Findings     []Finding     `json:"findings"`
}

// ScanTruth says how one file was made.
type ScanTruth struct {
	Role      string        `json:"role"`
	File      string        `json:"file"`
	Units     string        `json:"units"`
	Rotation  [3][3]float64 `json:"scan_from_arch_rotation"` // rows; before the unit is applied
	Shift     Point         `json:"scan_from_arch_shift_mm"`
	Mirrored  bool          `json:"mirrored"`
	NoiseUm   float64       `json:"noise_um"`
	SpacingMm float64       `json:"spacing_mm"`
	Occlusal  Point         `json:"occlusal"` // unit, from the tissue to the opening
	Teeth     []int         `json:"teeth"`    // FDI numbers of the whole teeth, along the arch
}

// Located is a value and where it is found.
type Located struct {
	Value float64 `json:"value"`
	At    Point   `json:"at"`
}

// Restoration is the truth about one prepared tooth.
type Restoration struct {
	Tooth int `json:"tooth"`

	InsertionAxis Point `json:"insertion_axis"`
	Mesial        Point `json:"mesial"` // unit, square to the axis
	Buccal        Point `json:"buccal"` // unit, square to the axis and to mesial

	ConvergenceMDDeg   float64    `json:"convergence_mesiodistal_deg"`
	ConvergenceBLDeg   float64    `json:"convergence_buccolingual_deg"`
	ConvergenceDiagDeg [2]float64 `json:"convergence_diagonal_deg"` // mesiobuccal plane, distobuccal plane
	ConvergenceMeanDeg float64    `json:"convergence_mean_deg"`

	WallHeightMm    Quarters `json:"wall_height_mm"`
	WallHeightMinMm float64  `json:"wall_height_min_mm"`
	BaseMm          float64  `json:"base_mm"`
	HeightToBase    float64  `json:"height_to_base"`
	Resistance      float64  `json:"resistance"`

	UndercutDepthMm Located `json:"undercut_depth_max_mm"`
	UndercutAreaMm2 float64 `json:"undercut_area_mm2"`

	EdgeRadiusMm float64 `json:"edge_radius_min_mm"` // of the sharpest convex edge inside the margin, over 1.5 mm of it

	Margin     MarginTruth     `json:"margin"`
	FinishLine FinishLineTruth `json:"finish_line"`

	ClearanceMinMm             Located `json:"clearance_min_mm"`
	ClearancePatchMinMm        Located `json:"clearance_patch_min_mm"`
	ClearanceFunctionalMm      Located `json:"clearance_functional_min_mm"`
	ClearanceFunctionalPatchMm Located `json:"clearance_functional_patch_min_mm"` // of a back tooth: the least over 0.5 mm², which is compared
	ClearanceIncisalMm         Located `json:"clearance_incisal_patch_min_mm"`    // front teeth: the edge, what faces the axis within 45°
	ClearanceLingualMm         Located `json:"clearance_lingual_patch_min_mm"`    // front teeth: the side where the opposing tooth slides
	ReductionOcclusalMm        Located `json:"reduction_occlusal_min_mm"`
	ReductionFunctionalMm      Located `json:"reduction_functional_min_mm"`
	ReductionAxialMm           Located `json:"reduction_axial_min_mm"`

	Contacts []ContactTruth `json:"contact_areas"`
	Missing  []MissingTruth `json:"missing"`
}

// Quarters holds one value per wall.
type Quarters struct {
	Mesial  float64 `json:"mesial"`
	Buccal  float64 `json:"buccal"`
	Distal  float64 `json:"distal"`
	Lingual float64 `json:"lingual"`
}

// Min returns the least of the four that exist. A front tooth's lingual wall that runs
// into the fossa at less than 45° to the axis has no occlusal line angle and so no height.
func (q Quarters) Min() float64 {
	least := math.NaN()
	for _, h := range []float64{q.Mesial, q.Buccal, q.Distal, q.Lingual} {
		if !math.IsNaN(h) && !(h >= least) {
			least = h
		}
	}
	return least
}

// MarginTruth is the crest of the outer edge of the finish line.
type MarginTruth struct {
	LengthMm      float64   `json:"length_mm"`
	Points        []Point   `json:"points"` // one per equal step of azimuth, from mesial by way of buccal
	NotCapturedMm float64   `json:"not_captured_mm"`
	RoughnessUm   float64   `json:"roughness_um"` // RMS distance from its own 1 mm mean
	RootSeenMm    float64   `json:"root_seen_mm"` // least depth of root that the working scan shows below it, where it shows the line
	SulcusMm      float64   `json:"sulcus_mm"`    // width of the open space at the level of the line, where no tissue covers it
	SpacingMm     float64   `json:"spacing_mm"`   // median edge of the working scan within 0.5 mm of it
	UnclearMm     float64   `json:"unclear_mm"`
	Stretches     []Stretch `json:"stretches"`
}

// Stretch is a part of the margin that the working scan does not show.
type Stretch struct {
	State    string  `json:"state"`    // not-captured or unclear
	FromDeg  float64 `json:"from_deg"` // azimuth about the axis, from mesial by way of buccal
	ToDeg    float64 `json:"to_deg"`
	From     int     `json:"from"` // indices of Points; To may pass the last one
	To       int     `json:"to"`
	LengthMm float64 `json:"length_mm"`
	Surface  string  `json:"surface"`
	Corner   bool    `json:"line_angle"` // it reaches one of the four line angles, where less may be bridged
	At       Point   `json:"at"`
}

// FinishLineTruth is the shelf.
type FinishLineTruth struct {
	Kind          FinishLine `json:"kind"`
	WidthMinMm    float64    `json:"width_min_mm"`
	WidthMedianMm float64    `json:"width_median_mm"`
}

// ContactTruth is one neighbour: its expected contact area, the distance from the
// margin to it, and how far it reaches into the way of the crown: over the margin's
// outline swept along the insertion axis, negative where the way is free.
type ContactTruth struct {
	Side          string  `json:"side"` // mesial or distal of the prepared tooth
	Tooth         int     `json:"tooth"`
	Captured      bool    `json:"captured"`
	At            Point   `json:"at"`
	GapMm         float64 `json:"gap_mm"`
	PathOverlapMm float64 `json:"path_overlap_mm"`
	BulgeMm       float64 `json:"bulge_mm"`  // by how much its upper third stands out before all below
	DamageMm      float64 `json:"damage_mm"` // depth lost since the scan from before
}

// MissingTruth is a place of needed surface that a scan does not show.
type MissingTruth struct {
	Scan       string  `json:"scan"`
	What       string  `json:"what"` // margin, contact area, surface
	Surface    string  `json:"surface"`
	At         Point   `json:"at"`
	DiameterMm float64 `json:"diameter_mm"`
}

// BiteTruth says how far the pose of the opposing arch is from the record.
type BiteTruth struct {
	Recorded bool    `json:"recorded"`
	ShiftMm  float64 `json:"shift_at_tooth_mm"`
	Move     Point   `json:"move_mm"` // of the opposing scan against the true bite
	Contacts int     `json:"contacts"`

	PenetrationMm float64    `json:"penetration_max_mm"` // how deep the jaws cross as filed, beside the prepared tooth
	Gaps          []GapTruth `json:"gaps"`               // of the neighbours, as filed
}

// Finding is what a perfect check would raise by the table of limits: Level is flag
// where it acts and advise where it only notes.
type Finding struct {
	Code    string  `json:"code"`
	Level   string  `json:"level"`
	Surface string  `json:"surface,omitempty"`
	Scan    string  `json:"scan,omitempty"`
	At      *Point  `json:"at,omitempty"`
	Value   float64 `json:"value"`
	Unit    string  `json:"unit,omitempty"`
}

// number is null in JSON where the truth has no such value: a convergence where a
// front tooth has no second wall, say.
func number(v *float64) *float64 {
	if math.IsNaN(*v) || math.IsInf(*v, 0) {
		return nil
	}
	return v
}

// MarshalJSON writes a value that does not exist as null.
func (r Restoration) MarshalJSON() ([]byte, error) {
	type plain Restoration
	return json.Marshal(struct {
		plain
		MD         *float64    `json:"convergence_mesiodistal_deg"`
		BL         *float64    `json:"convergence_buccolingual_deg"`
		Diag       [2]*float64 `json:"convergence_diagonal_deg"`
		Mean       *float64    `json:"convergence_mean_deg"`
		HeightMin  *float64    `json:"wall_height_min_mm"`
		Base       *float64    `json:"base_mm"`
		Ratio      *float64    `json:"height_to_base"`
		Resistance *float64    `json:"resistance"`
		Edge       *float64    `json:"edge_radius_min_mm"`
	}{
		plain(r),
		number(&r.ConvergenceMDDeg), number(&r.ConvergenceBLDeg),
		[2]*float64{number(&r.ConvergenceDiagDeg[0]), number(&r.ConvergenceDiagDeg[1])},
		number(&r.ConvergenceMeanDeg), number(&r.WallHeightMinMm), number(&r.BaseMm),
		number(&r.HeightToBase), number(&r.Resistance), number(&r.EdgeRadiusMm),
	})
}

// MarshalJSON writes a value that does not exist as null.
func (q Quarters) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Mesial  *float64 `json:"mesial"`
		Buccal  *float64 `json:"buccal"`
		Distal  *float64 `json:"distal"`
		Lingual *float64 `json:"lingual"`
	}{number(&q.Mesial), number(&q.Buccal), number(&q.Distal), number(&q.Lingual)})
}

// MarshalJSON writes a value that does not exist as null.
func (m MarginTruth) MarshalJSON() ([]byte, error) {
	type plain MarginTruth
	return json.Marshal(struct {
		plain
		Spacing *float64 `json:"spacing_mm"`
		Root    *float64 `json:"root_seen_mm"`
	}{plain(m), number(&m.SpacingMm), number(&m.RootSeenMm)})
}

// MarshalJSON writes a value that does not exist as null.
func (f FinishLineTruth) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Kind   FinishLine `json:"kind"`
		Least  *float64   `json:"width_min_mm"`
		Median *float64   `json:"width_median_mm"`
	}{f.Kind, number(&f.WidthMinMm), number(&f.WidthMedianMm)})
}

// MarshalJSON writes a value that does not exist as null, without a place.
func (l Located) MarshalJSON() ([]byte, error) {
	if number(&l.Value) == nil {
		return []byte(`{"value":null}`), nil
	}
	type plain Located
	return json.Marshal(plain(l))
}
