package phantom

import (
	"math"

	"selvage/tooth"
)

// FinishLine is the kind of finish line, in the words of case.json.
type FinishLine string

// The finish lines of trade.md §1.5.
const (
	KnifeEdge      FinishLine = "knife-edge"
	Chamfer        FinishLine = "chamfer"
	HeavyChamfer   FinishLine = "heavy-chamfer"
	Shoulder       FinishLine = "shoulder"
	SlopedShoulder FinishLine = "sloped-shoulder"
)

// Spec says what to make. Start from [Default]; every field has a meaning at
// zero, which is not always a tooth that anybody would cut.
type Spec struct {
	Tooth tooth.Number
	Seed  uint64 // of noise, ragged rims, small variations and chosen places

	Stump   Stump
	Sulcus  Sulcus
	Scanner Scanner

	Material string // of the prescription, as in case.json
	Cement   string

	Roles     []string // scans to make, in this order; nil for working, opposing, bite, before
	FullArch  bool     // the whole arch instead of the quadrant
	Exact     bool     // no scanner: whole surfaces, no noise, no missing places
	OwnFrames bool     // move each scan but the working one by its own rigid motion

	Faults []Fault
}

// Stump is the prepared tooth. Angles are radians, lengths mm.
type Stump struct {
	ConvergenceMD float64 // sum of the mesial and distal taper
	ConvergenceBL float64 // sum of the buccal and lingual taper
	TiltMesial    float64 // lean of the insertion axis from the tooth's long axis
	TiltBuccal    float64

	FinishLine  FinishLine
	FinishWidth float64 // of the shelf, across the axis
	EdgeRadius  float64 // of the margin, the outer edge of the shelf
	LineAngle   float64 // radius where wall and occlusal surface meet

	OcclusalReduction float64 // along the tooth's axis
	MarginHeight      float64 // of the margin mid-buccally above the cementoenamel junction
	Scallop           float64 // by how much the margin rises towards the papillae
}

// Sulcus is the opened space between the prepared root and the gum.
type Sulcus struct {
	Width       float64 // at the level of the margin
	Depth       float64 // below the margin, to where root and gum meet
	MarginDepth float64 // of the margin below the crest of the gum; negative above it
}

// Scanner says how the virtual scanner sees and samples.
type Scanner struct {
	Fine      float64 // spacing on the preparation and its margin
	Coarse    float64 // spacing far from it; equal to Fine for a uniform mesh
	Triangles int     // if not 0, scale the spacing so that the working scan has about so many

	Noise       float64 // standard deviation along the normal, mm
	NoiseLength float64 // correlation length of part of the noise, mm; 0 for white noise
}

// Fault is something wrong with a case, named like the finding that it should
// raise. Value is in the finding's unit; NaN or 0 asks for the usual value.
type Fault struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
}

// Default returns a sound preparation of tooth n as it might be cut for a crown
// of lithium disilicate, in a case that a perfect check would call clear.
func Default(n tooth.Number) Spec {
	s := Spec{
		Tooth: n,
		Seed:  1,
		Stump: Stump{
			ConvergenceMD: 12 * math.Pi / 180, ConvergenceBL: 14 * math.Pi / 180,
			FinishLine: HeavyChamfer, FinishWidth: 1.0, EdgeRadius: 0.04, LineAngle: 0.5,
			OcclusalReduction: 1.6, MarginHeight: 0.2, Scallop: 0.5,
		},
		Sulcus:   Sulcus{Width: 0.35, Depth: 0.8, MarginDepth: 0},
		Scanner:  Scanner{Fine: 0.1, Coarse: 0.22, Noise: 0.010},
		Material: "lithium-disilicate",
		Cement:   "adhesive",
	}
	if n.Front() {
		s.Stump.Scallop = 1.6
	}
	return s
}
