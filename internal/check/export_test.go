package check

import "selvage/finding"

// CodesOfParts counts by how many parts each code can be told.
func CodesOfParts() map[finding.Code]int {
	out := map[finding.Code]int{}
	for _, p := range Parts() {
		for _, c := range codesOf[p] {
			out[c]++
		}
	}
	return out
}
