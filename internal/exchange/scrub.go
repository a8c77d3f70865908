package exchange

import (
	"bytes"
	"strings"
	"unicode"

	"selvage/meshio/obj"
	"selvage/meshio/ply"
	"selvage/meshio/stl"
)

// stlHeader is the size of the free text at the beginning of a binary STL file.
const stlHeader = 80

// HeaderText returns the free text that a mesh file carries beside its geometry: the header
// of a binary STL, the names of solids and groups, comments. It may name a person or a
// practice. Empty: there is none.
func HeaderText(data []byte) string {
	var said []string
	split(data, func(text string) { said = append(said, text) })
	out := strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(strings.Join(said, " "), " "))), " ")
	if !telling(out) {
		return ""
	}
	const most = 300
	if r := []rune(out); len(r) > most {
		out = string(r[:most]) + "…"
	}
	return out
}

// telling reports whether a text says more than what kind of file it stands in.
func telling(text string) bool {
	for _, w := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }) {
		switch w {
		case "binary", "ascii", "stl", "ply", "obj", "mesh", "file", "format", "part", "solid":
		default:
			return true
		}
	}
	return false
}

// Scrub returns a mesh file without its free text. Every coordinate and index stays byte
// for byte; data that is no mesh comes back as it is.
func Scrub(data []byte) []byte { return split(data, func(string) {}) }

// split parts free text, which it tells, from geometry, which it returns.
func split(data []byte, tell func(string)) []byte {
	switch {
	case stl.Fits(data):
		return splitBinarySTL(data, tell)
	case ply.Is(data):
		return splitPLY(data, tell)
	case stl.IsText(data):
		return lines(data, func(line string) (string, bool) { return stlLine(line, tell) })
	case stl.LooksBinary(data):
		return splitBinarySTL(data, tell)
	case obj.Is(data):
		return lines(data, func(line string) (string, bool) { return objLine(line, tell) })
	}
	return data
}

func splitBinarySTL(data []byte, tell func(string)) []byte {
	blank := bytes.Repeat([]byte{' '}, stlHeader)
	if bytes.Equal(data[:stlHeader], blank) || bytes.Equal(data[:stlHeader], make([]byte, stlHeader)) {
		return data
	}
	tell(string(data[:stlHeader]))
	return append(blank, data[stlHeader:]...)
}

// stlLine takes the names of solids out of a line of ASCII STL. A whole file may stand in
// one line: a name ends where the first facet begins.
func stlLine(line string, tell func(string)) (string, bool) {
	lower := strings.ToLower(line)
	begin, end := strings.Index(lower, "facet"), strings.LastIndex(lower, "endsolid")
	trimmed := strings.TrimSpace(lower)
	switch {
	case strings.HasPrefix(trimmed, "endsolid"):
		tell(line[end+len("endsolid"):])
		return "endsolid", true
	case strings.HasPrefix(trimmed, "solid"):
		at := strings.Index(lower, "solid") + len("solid")
		if begin < 0 {
			tell(line[at:])
			return "solid", true
		}
		tell(line[at:begin])
		if end > begin {
			tell(line[end+len("endsolid"):])
			return "solid " + line[begin:end] + "endsolid", true
		}
		return "solid " + line[begin:], true
	}
	return "", false
}

// splitPLY drops comments from the header, which ends where the geometry begins.
func splitPLY(data []byte, tell func(string)) []byte {
	end := 0
	for end < len(data) {
		n := bytes.IndexAny(data[end:], "\r\n")
		if n < 0 || strings.TrimSpace(string(data[end:end+n])) == "end_header" {
			break
		}
		end += n + 1
	}
	head := lines(data[:end], func(line string) (string, bool) {
		word, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		if word == "comment" || word == "obj_info" {
			tell(rest)
			return "", true
		}
		return "", false
	})
	return append(head, data[end:]...)
}

// objLine takes names and comments out of a line of OBJ.
func objLine(line string, tell func(string)) (string, bool) {
	bare, comment, found := strings.Cut(line, "#")
	if found {
		tell(comment)
	}
	word, rest, _ := strings.Cut(strings.TrimSpace(bare), " ")
	switch word {
	case "o", "g":
		if rest = strings.TrimSpace(rest); rest != "" && rest != "part" {
			tell(rest)
		}
		return word + " part", true
	case "mtllib", "usemtl":
		tell(rest)
		return "", true
	}
	return strings.TrimRight(bare, " \t"), found
}

// lines copies text line by line with its line ends, which may be LF, CR LF or CR. change
// returns what stands in place of a line, and whether it does; nothing in its place drops
// the line.
func lines(data []byte, change func(string) (string, bool)) []byte {
	out := make([]byte, 0, len(data))
	for len(data) > 0 {
		n := bytes.IndexAny(data, "\r\n")
		if n < 0 {
			n = len(data)
		}
		body := data[:n]
		switch {
		case bytes.HasPrefix(data[n:], []byte("\r\n")):
			n += 2
		case n < len(data):
			n++
		}
		if is, changed := change(string(body)); !changed {
			out = append(out, data[:n]...)
		} else if is != "" {
			out = append(append(out, is...), data[len(body):n]...)
		}
		data = data[n:]
	}
	return out
}
