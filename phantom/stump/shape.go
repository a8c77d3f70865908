package stump

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

// Shape says how a tooth is cut. Angles are radians, lengths mm.
type Shape struct {
	ConvergenceMD float64 // sum of the mesial and distal taper
	ConvergenceBL float64 // sum of the buccal and lingual taper
	TiltMesial    float64 // lean of the insertion axis from the tooth's long axis
	TiltBuccal    float64

	FinishLine  FinishLine
	FinishWidth float64 // of the shelf, across the axis, without the rounding of the corner
	EdgeRadius  float64 // of the margin, the outer edge of the shelf
	LineAngle   float64 // radius where wall and occlusal surface meet

	OcclusalReduction float64 // along the tooth's axis
	FunctionalBevel   float64 // taken off the holding cusps of a back tooth besides
	FaceReduction     float64 // of a front tooth's face, its second plane, across the surface; 0 for none
	LingualReduction  float64 // of a front tooth's lingual hollow, above the wall of its cingulum; 0 for none
	MarginHeight      float64 // of the margin mid-buccally above the cementoenamel junction
	Scallop           float64 // by how much the margin rises towards the papillae
	Ripple            float64 // amplitude of waves in the margin's height, as a hasty bur leaves them
}
