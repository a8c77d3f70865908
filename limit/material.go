package limit

// Material is what the crown will be made of, in the words of case.json. The
// empty Material is unknown and is never guessed.
type Material string

// The materials that a prescription may name.
const (
	Zirconia3Y        Material = "zirconia-3y"
	Zirconia4Y        Material = "zirconia-4y"
	Zirconia5Y        Material = "zirconia-5y"
	LithiumDisilicate Material = "lithium-disilicate"
	Leucite           Material = "leucite"
	LayeredCeramic    Material = "layered-ceramic"
	MetalCeramic      Material = "metal-ceramic"
	NobleAlloy        Material = "noble-alloy"
	BaseAlloy         Material = "base-alloy"
	ResinComposite    Material = "resin-composite"
	PMMAProvisional   Material = "pmma-provisional"
)

// Materials lists the materials in the order in which they are offered.
func Materials() []Material {
	return []Material{
		Zirconia3Y, Zirconia4Y, Zirconia5Y, LithiumDisilicate, Leucite, LayeredCeramic,
		MetalCeramic, NobleAlloy, BaseAlloy, ResinComposite, PMMAProvisional,
	}
}

// Cement is how the crown will be fixed; the empty Cement is unknown.
type Cement string

// The two ways of fixing a crown.
const (
	Adhesive     Cement = "adhesive"
	Conventional Cement = "conventional"
)

// Cements lists the ways of fixing a crown.
func Cements() []Cement { return []Cement{Adhesive, Conventional} }

// FinishLine is the form of the edge of a preparation; empty is unknown.
type FinishLine string

// The finish lines that a prescription may name, and Mixed, which only a
// measurement says: the form changes around the tooth.
const (
	KnifeEdge      FinishLine = "knife-edge"
	Chamfer        FinishLine = "chamfer"
	HeavyChamfer   FinishLine = "heavy-chamfer"
	Shoulder       FinishLine = "shoulder"
	SlopedShoulder FinishLine = "sloped-shoulder"
	Mixed          FinishLine = "mixed"
)

// FinishLines lists the finish lines that a prescription may name.
func FinishLines() []FinishLine {
	return []FinishLine{KnifeEdge, Chamfer, HeavyChamfer, Shoulder, SlopedShoulder}
}

// Zone is a part of a preparation that has limits of its own.
type Zone string

// The zones. Functional and NonFunctional are the cusps that do and do not hold
// the bite; Fossa is the middle of the biting surface; Incisal is the edge of a
// front tooth, LingualFront its inner face, where the opposing tooth slides;
// Axial is a side wall; Edge is the finish line.
const (
	Functional    Zone = "functional"
	NonFunctional Zone = "non-functional"
	Fossa         Zone = "fossa"
	Incisal       Zone = "incisal"
	LingualFront  Zone = "lingual-front"
	Axial         Zone = "axial"
	Edge          Zone = "margin"
)

// Zones lists the zones.
func Zones() []Zone {
	return []Zone{Functional, NonFunctional, Fossa, Incisal, LingualFront, Axial, Edge}
}
