package occlusion

// Lengths are mm, areas mm².
const (
	// contactBand is the distance within which two surfaces count as touching. A
	// bite record repeats to 0.02-0.04 mm and is worth no better than 0.05-0.1, so
	// a finer band would read the record's error, a wider one bridges an open bite.
	contactBand = 0.05

	// ignoredDepth is the crossing of the arches that is left alone: below it a
	// contact of two real scans cannot be told from a crossing.
	ignoredDepth = 0.05

	// chordMost bounds what is laid to the sampling of a contact: a facet of 0.4 mm, the
	// coarsest of a usable scan, over an edge of 0.45 mm radius.
	chordMost = 0.06

	// biteReach is how far from the working arch the opposing surface is looked for
	// when the bite is judged: ten times the deepest crossing that a limit names.
	biteReach = 1.5

	// openReach is how far apart two arches may stand and still be measured: more
	// than a jaw opened by a wax wafer, less than the way to the wrong file.
	openReach = 5.0

	// bitePatch is the area by which a contact or a crossing proves itself: eight
	// to ten vertices of a scan at 0.1 mm spacing. A contact between real teeth is
	// some tenths of a square millimetre within contactBand.
	bitePatch = 0.1

	// crumbArea is the largest loose piece of the opposing scan that is taken for a
	// crumb: the smallest tooth seen alone is fifty times larger.
	crumbArea = 2.0

	// recordU is the expanded uncertainty of a digital bite record: average maximum
	// errors above 0.05 mm, and 0.04 mm more from tilt, have been published.
	recordU = 0.1

	// defaultSigma stands in for a scan noise that is not known: published noise
	// floors of scanners on a flat are 5-13 µm.
	defaultSigma = 0.01

	// fitMargin is how far above the raw level of a patch values are fitted: five
	// standard deviations of the noisiest scan that is measured at all, 0.02 mm.
	fitMargin = 0.1

	// signReach is how far from the opposing surface a point may lie and still be
	// called inside it. Deeper than this no bite goes; the sign of a far point says
	// more about an open border than about a crossing.
	signReach = 3.0

	// facing is the least cosine between one surface's normal and the reversed
	// normal of the other where they meet: 60°. Surfaces that touch are tangent;
	// those that lie near each other side by side are not in contact.
	facing = 0.5
)

// sigmaOr returns s, or the default where the noise is not known.
func sigmaOr(s float64) float64 {
	if s > 0 {
		return s
	}
	return defaultSigma
}
