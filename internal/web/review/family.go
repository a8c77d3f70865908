package review

import (
	"slices"

	"selvage/finding"
	"selvage/internal/seating"
)

// Family lists the findings that speak of the same thing as a fault that was seen when
// work was tried in: what a check might have said of it at hand-off. A fault that no scan
// shows has none. Margin, contact and bite are the places that the finding names; a crown
// that does not go down may hang on an undercut, on the way past a neighbour or on an edge
// that no tool cuts; one that broke was thin.
func Family(f seating.Fault) []finding.Code {
	switch f {
	case seating.FaultContact:
		return []finding.Code{finding.ContactAreaMissing, finding.NeighbourContour, finding.NeighbourDamaged, finding.GapNarrow, finding.PathBlocked, finding.SurfaceDoubled, finding.SurfaceInvented}
	case seating.FaultMargin:
		return []finding.Code{finding.MarginNotCaptured, finding.MarginUnclear, finding.MarginTwoLines, finding.MarginRough, finding.FinishLineNarrow, finding.SamplingCoarse, finding.SurfaceInvented}
	case seating.FaultFit:
		return []finding.Code{finding.Undercut, finding.PathBlocked, finding.SharpEdge, finding.SurfaceMissing, finding.SurfaceDoubled, finding.SurfaceInvented, finding.SamplingCoarse}
	case seating.FaultOcclusion:
		return []finding.Code{finding.BiteDiffers, finding.BitePenetrates, finding.BiteOpen, finding.BiteUnsupported, finding.ClearanceLow}
	case seating.FaultBroken:
		return []finding.Code{finding.ClearanceLow, finding.ReductionLow, finding.FinishLineNarrow, finding.SharpEdge}
	case seating.FaultShade, seating.FaultForm, seating.FaultWrong, seating.FaultOther:
	}
	return nil
}

// Speaks reports whether a finding speaks of any of the faults that were seen.
func Speaks(c finding.Code, faults []seating.Fault) bool {
	return slices.ContainsFunc(faults, func(f seating.Fault) bool { return slices.Contains(Family(f), c) })
}
