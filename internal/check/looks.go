package check

import "selvage/measure"

// sheet is a doubled surface found on a scan.
type sheet struct {
	Found        bool
	Extent, Area measure.Value
}

// looks examines the surface of the scans near the preparation.
func (r *restoration) looks(c *scanSet) {
}
