package finding

import (
	"selvage/limit"
	"selvage/tooth"
)

// zoneSpot returns the key of the words for the place of a zone.
func zoneSpot(z limit.Zone) string { return "zone." + string(z) }

// zoneSurface returns the side of tooth n on which a value in a zone was found. A
// cusp has a buccal or a lingual side: where the scan says only mesial, distal or
// nothing, the usual side of the zone is added.
func zoneSurface(z limit.Zone, given tooth.Surface, n tooth.Number) tooth.Surface {
	side, isCusp := usualSide(z, n)
	switch {
	case !isCusp && given != "":
		return given
	case given == tooth.Mesial && side == tooth.Buccal:
		return tooth.Mesiobuccal
	case given == tooth.Mesial:
		return tooth.Mesiolingual
	case given == tooth.Distal && side == tooth.Buccal:
		return tooth.Distobuccal
	case given == tooth.Distal:
		return tooth.Distolingual
	case given == "" || given == tooth.Occlusal:
		return side
	default:
		return given
	}
}

// usualSide returns the side on which a zone normally lies, and whether it is a
// zone of cusps.
func usualSide(z limit.Zone, n tooth.Number) (side tooth.Surface, isCusp bool) {
	switch {
	case z == limit.Functional:
		return n.FunctionalSide(), true
	case z == limit.NonFunctional && n.FunctionalSide() == tooth.Buccal:
		return tooth.Lingual, true
	case z == limit.NonFunctional:
		return tooth.Buccal, true
	case z == limit.LingualFront:
		return tooth.Lingual, false
	default:
		return tooth.Occlusal, false
	}
}
