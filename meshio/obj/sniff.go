package obj

import "selvage/meshio/wire"

// Is reports whether some line of the text gives a vertex or a face as OBJ does:
// the word v or f, and a number. Cost: O(len(data)), stopping at the first.
func Is(data []byte) bool {
	t := wire.NewText(data)
	t.Continued = true
	for len(t.Rest()) > 0 {
		if word := string(t.WordOnLine()); word == "v" || word == "f" {
			number := t.WordOnLine()
			for i, c := range number {
				if c == '/' { // the first part of a corner
					number = number[:i]
					break
				}
			}
			if _, ok := wire.ParseFloat(number); ok {
				return true
			}
		}
		t.SkipLine()
	}
	return false
}
