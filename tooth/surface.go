package tooth

import "math"

// Surface names a face of a tooth, or one of the four corners between two
// faces. Buccal is used for every outward face, front teeth included; lingual
// for every inward one. [Surface.Word] gives the word that is said at the chair.
type Surface string

// The surfaces. Occlusal stands for the incisal edge of a front tooth too.
const (
	Mesial       Surface = "mesial"
	Distal       Surface = "distal"
	Buccal       Surface = "buccal"
	Lingual      Surface = "lingual"
	Occlusal     Surface = "occlusal"
	Mesiobuccal  Surface = "mesiobuccal"
	Distobuccal  Surface = "distobuccal"
	Mesiolingual Surface = "mesiolingual"
	Distolingual Surface = "distolingual"
)

// Sectors returns the eight directions around a tooth, counted from mesial by
// way of buccal.
func Sectors() []Surface {
	return []Surface{Mesial, Mesiobuccal, Buccal, Distobuccal, Distal, Distolingual, Lingual, Mesiolingual}
}

// SectorOf returns the sector of 45° into which a direction across the tooth
// falls, by its components towards mesial and towards buccal. It is empty for the
// zero direction. On a border the corner wins over the face, because a line angle
// is the place to look at first.
func SectorOf(mesial, buccal float64) Surface {
	if mesial == 0 && buccal == 0 || math.IsNaN(mesial) || math.IsNaN(buccal) {
		return ""
	}
	a := math.Atan2(buccal, mesial) / (math.Pi / 4) // in sectors, 0 = mesial, 2 = buccal
	i := int(math.Round(a))
	if f := a - math.Floor(a); f == 0.5 {
		i = int(math.Floor(a))
		if i%2 == 0 {
			i++
		}
	}
	return Sectors()[(i+8)%8]
}

// Corner reports whether s is one of the four corners (line angles).
func (s Surface) Corner() bool {
	switch s {
	case Mesiobuccal, Distobuccal, Mesiolingual, Distolingual:
		return true
	default:
		return false
	}
}

// Word returns the word that is said at the chair for surface s of tooth n: the
// inward face of an upper tooth is palatal, the biting edge of a front tooth
// incisal. For no tooth it is the plain word.
func (s Surface) Word(n Number) string {
	upper := n.Jaw() == Upper
	switch {
	case s == Lingual && upper:
		return "palatal"
	case s == Mesiolingual && upper:
		return "mesiopalatal"
	case s == Distolingual && upper:
		return "distopalatal"
	case s == Occlusal && n.Front():
		return "incisal"
	default:
		return string(s)
	}
}

// Spot returns the words for the place on tooth n: "distobuccal line angle" for a
// corner, "distal side" for a face, "biting surface" or "biting edge" on top.
func (s Surface) Spot(n Number) string {
	switch {
	case s == "":
		return ""
	case s.Corner():
		return s.Word(n) + " line angle"
	case s == Occlusal && n.Front():
		return "biting edge"
	case s == Occlusal:
		return "biting surface"
	default:
		return s.Word(n) + " side"
	}
}

// FunctionalSide returns the side of the cusps that hold the bite when the
// arches meet in the usual way: lingual (palatal) in the upper jaw, buccal in the
// lower. In a crossbite it is the other one; the scan decides, this is the
// expectation. Empty for no tooth.
func (n Number) FunctionalSide() Surface {
	switch n.Jaw() {
	case Upper:
		return Lingual
	case Lower:
		return Buccal
	default:
		return ""
	}
}
