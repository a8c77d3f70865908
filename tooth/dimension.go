package tooth

// Dimension holds the usual size of a crown, in mm. Textbook values are those
// given for drawing and carving teeth of average size and have no spread; the
// mesiodistal statistics come from a survey of one population and are kept apart.
type Dimension struct {
	Height      float64 // crown height
	MD          float64 // mesiodistal width at the contacts
	MDCervix    float64 // mesiodistal width at the neck
	BL          float64 // buccolingual (faciolingual) width
	BLCervix    float64 // buccolingual width at the neck
	CurveMesial float64 // rise of the neckline on the mesial side
	CurveDistal float64 // rise of the neckline on the distal side
	Men, Women  Width   // measured mesiodistal widths; zero for third molars
	FromMemory  bool    // the textbook row was not displayed by a source at hand
}

// Width is a mean and its standard deviation, in mm; N of the survey is not kept.
type Width struct{ Mean, SD float64 }

// Dimensions returns the usual size of tooth n; ok is false for no tooth. Both
// sides of a jaw share a row. For sanity checks only: populations differ by
// 0.5-1 mm and no verdict may rest on it.
//
// Textbook values: the model table of Wheeler's dental anatomy (rows marked
// FromMemory were not displayed by a source). Survey: Moorrees, Thomsen, Jensen,
// Yen, J Dent Res 1957;36:39, from memory.
func Dimensions(n Number) (Dimension, bool) {
	if !n.Valid() {
		return Dimension{}, false
	}
	if n.Jaw() == Upper {
		return upperDimension[n.Position()-1], true
	}
	return lowerDimension[n.Position()-1], true
}

// MDRange returns the mesiodistal widths outside of which a tooth's number may be
// wrong: four standard deviations below the smaller and above the larger mean of
// men and women. Third molars, without a survey, get the textbook width ± 3 mm.
func (d Dimension) MDRange() (low, high float64) {
	if d.Men.Mean == 0 {
		return d.MD - 3, d.MD + 3
	}
	low = min(d.Men.Mean-4*d.Men.SD, d.Women.Mean-4*d.Women.SD)
	high = max(d.Men.Mean+4*d.Men.SD, d.Women.Mean+4*d.Women.SD)
	return low, high
}

var upperDimension = [8]Dimension{
	{10.5, 8.5, 7.0, 7.0, 6.0, 3.5, 2.5, Width{8.78, 0.46}, Width{8.40, 0.53}, false},
	{9.0, 6.5, 5.0, 6.0, 5.0, 3.0, 2.0, Width{6.64, 0.63}, Width{6.47, 0.62}, false},
	{10.0, 7.5, 5.5, 8.0, 7.0, 2.5, 1.5, Width{7.95, 0.42}, Width{7.53, 0.37}, true},
	{8.5, 7.0, 5.0, 9.0, 8.0, 1.0, 0.0, Width{7.01, 0.38}, Width{6.85, 0.42}, true},
	{8.5, 7.0, 5.0, 9.0, 8.0, 1.0, 0.0, Width{6.82, 0.37}, Width{6.62, 0.40}, false},
	{7.5, 10.0, 8.0, 11.0, 10.0, 1.0, 0.0, Width{10.81, 0.56}, Width{10.52, 0.51}, false},
	{7.0, 9.0, 7.0, 11.0, 10.0, 1.0, 0.0, Width{10.35, 0.63}, Width{9.81, 0.48}, true},
	{6.5, 8.5, 6.5, 10.0, 9.5, 1.0, 0.0, Width{}, Width{}, true},
}

var lowerDimension = [8]Dimension{
	{9.0, 5.0, 3.5, 6.0, 5.3, 3.0, 2.0, Width{5.42, 0.31}, Width{5.25, 0.36}, true},
	{9.5, 5.5, 4.0, 6.5, 5.8, 3.0, 2.0, Width{5.95, 0.36}, Width{5.78, 0.38}, true},
	{11.0, 7.0, 5.5, 7.5, 7.0, 2.5, 1.0, Width{6.96, 0.36}, Width{6.47, 0.32}, true},
	{8.5, 7.0, 5.0, 7.5, 6.5, 1.0, 0.0, Width{7.07, 0.35}, Width{6.87, 0.39}, true},
	{8.0, 7.0, 5.0, 8.0, 7.0, 1.0, 0.0, Width{7.29, 0.52}, Width{7.02, 0.40}, true},
	{7.5, 11.0, 9.0, 10.5, 9.0, 1.0, 0.0, Width{11.18, 0.47}, Width{10.74, 0.56}, true},
	{7.0, 10.5, 8.0, 10.0, 9.0, 1.0, 0.0, Width{10.76, 0.71}, Width{10.34, 0.63}, true},
	{7.0, 10.0, 7.5, 9.5, 9.0, 1.0, 0.0, Width{}, Width{}, true},
}
