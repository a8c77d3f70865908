package phantom

import (
	"math"

	"selvage/phantom/stump"
	"selvage/tooth"
)

// Stump says how the tooth is cut.
type Stump = stump.Shape

// FinishLine is the kind of finish line, in the words of case.json.
type FinishLine = stump.FinishLine

// The finish lines of trade.md §1.5.
const (
	KnifeEdge      = stump.KnifeEdge
	Chamfer        = stump.Chamfer
	HeavyChamfer   = stump.HeavyChamfer
	Shoulder       = stump.Shoulder
	SlopedShoulder = stump.SlopedShoulder
)

// Spec says what to make. Start from [Default]; every field has a meaning at
// zero, which is not always a tooth that anybody would cut.
type Spec struct {
	Tooth   tooth.Number
	Seed    uint64  // of noise, of the places that faults choose and, where Mouth is 0, of the mouth
	Mouth   uint64  // of the mouth: the same one for many preparations; 0 for Seed
	Variety float64 // how much mouths differ from the average: 1 as people do, 0 not at all

	Stump   Stump
	Sulcus  Sulcus
	Scanner Scanner

	Material string // of the prescription, as in case.json
	Cement   string

	Roles     []string // scans to make, in this order; nil for working, opposing, bite, before
	Colour    bool     // give the working scan the colours of teeth and gum; its file is then PLY
	FullArch  bool     // the whole arch instead of the quadrant
	Teeth     Set      // which teeth there are
	Exact     bool     // no scanner: whole surfaces, no noise, no missing places
	OwnFrames bool     // move each scan but the working one by its own rigid motion

	Faults []Fault
}

// Sulcus is the opened space between the prepared root and the gum.
type Sulcus struct {
	Width       float64 // at the level of the margin
	Depth       float64 // below the margin, to where root and gum meet
	MarginDepth float64 // of the margin below the crest of the gum; negative above it
}

// Set says in what the teeth of a mouth differ from fourteen in each jaw, in line.
type Set struct {
	Absent []tooth.Number // lost, with gum grown over the gap; of the working jaw
	Beside []tooth.Number // cut in the same way as Spec.Tooth, which alone the truth tells of
	Thirds bool           // third molars have come
	Drawn  int            // position drawn in every quadrant, the gap closed; 0 for none
	Crowd  float64        // front teeth out of line: by a millimetre and 12° if 1, one standard deviation
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
// of lithium disilicate, a front one of zirconia, in a case that a perfect check would call clear.
func Default(n tooth.Number) Spec {
	s := Spec{
		Tooth:   n,
		Seed:    1,
		Variety: 1,
		Stump: Stump{
			ConvergenceMD: 12 * math.Pi / 180, ConvergenceBL: 14 * math.Pi / 180,
			FinishLine: HeavyChamfer, FinishWidth: 1.0, EdgeRadius: 0.04, LineAngle: 0.6,
			OcclusalReduction: 1.8, FunctionalBevel: 0.35, MarginHeight: 0.1, Scallop: 0.5,
		},
		Sulcus:   Sulcus{Width: 0.35, Depth: 0.8, MarginDepth: 0},
		Scanner:  Scanner{Fine: 0.09, Coarse: 0.28, Noise: 0.010},
		Material: "lithium-disilicate",
		Cement:   "adhesive",
	}
	switch n.Position() {
	case 6:
		s.Stump.MarginHeight = -0.6 // molars are short: the wall needs 4 mm
	case 7, 8:
		s.Stump.MarginHeight, s.Stump.Scallop = -0.95, 0.3
	case 1, 2, 3:
		s.Stump.Scallop, s.Stump.OcclusalReduction = 1.0, 2.5
		s.Stump.FaceReduction, s.Stump.LingualReduction = 1.1, 1.0
	}
	if n.Front() { // too thin for the room that glass-ceramic asks for at the edge
		s.Material = "zirconia-3y"
	}
	if n.Class() == tooth.Incisor && n.Jaw() == tooth.Lower { // and for a wide shelf
		s.Stump.FinishWidth, s.Stump.FaceReduction, s.Stump.LingualReduction = 0.6, 0.6, 0.6
	}
	return s
}

// mouth is the seed of the mouth.
func (s Spec) mouth() uint64 {
	if s.Mouth != 0 {
		return s.Mouth
	}
	return s.Seed
}
