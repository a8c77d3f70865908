package report

import (
	"strings"
	"unicode"
)

// letters are drawn 5 rows high; a space in a row is empty, anything else full.
var letters = map[rune][5]string{ // looked up only, never walked
	'A': {" ### ", "#   #", "#####", "#   #", "#   #"},
	'C': {" ####", "#    ", "#    ", "#    ", " ####"},
	'D': {"#### ", "#   #", "#   #", "#   #", "#### "},
	'E': {"#####", "#    ", "###  ", "#    ", "#####"},
	'G': {" ####", "#    ", "#  ##", "#   #", " ####"},
	'H': {"#   #", "#   #", "#####", "#   #", "#   #"},
	'I': {"#", "#", "#", "#", "#"},
	'K': {"#  #", "# # ", "##  ", "# # ", "#  #"},
	'N': {"#   #", "##  #", "# # #", "#  ##", "#   #"},
	'O': {" ### ", "#   #", "#   #", "#   #", " ### "},
	'R': {"#### ", "#   #", "#### ", "#  # ", "#   #"},
	'S': {" ####", "#    ", " ### ", "    #", "#### "},
	'T': {"#####", "  #  ", "  #  ", "  #  ", "  #  "},
	' ': {"  ", "  ", "  ", "  ", "  "},
}

// banner sets a short text in large letters of blocks, two rows of the drawing to
// one of the terminal. ok is false if it does not fit the width or has a letter
// that is not drawn.
func banner(s string, width int) (art string, ok bool) {
	var rows [6]string // one empty row below, so that two go into each line
	for i, c := range s {
		l, known := letters[c]
		if !known {
			return "", false
		}
		for r := range l {
			if i > 0 {
				rows[r] += " "
			}
			rows[r] += l[r]
		}
	}
	if len(rows[0]) == 0 || len(rows[0]) > width {
		return "", false
	}
	rows[5] = strings.Repeat(" ", len(rows[0]))
	var b strings.Builder
	for r := 0; r < 6; r += 2 {
		var line strings.Builder
		for i := range rows[r] {
			line.WriteRune(half(rows[r][i] != ' ', rows[r+1][i] != ' '))
		}
		b.WriteString(strings.TrimRight(line.String(), " "))
		if r < 4 {
			b.WriteByte('\n')
		}
	}
	return b.String() + "\n", true
}

func half(top, bottom bool) rune {
	switch {
	case top && bottom:
		return '█'
	case top:
		return '▀'
	case bottom:
		return '▄'
	default:
		return ' '
	}
}

// columns is the width of a text on a terminal: combining marks take none, wide
// East Asian characters two.
func columns(s string) int {
	n := 0
	for _, r := range s {
		switch {
		case unicode.Is(unicode.Mn, r) || unicode.Is(unicode.Me, r) || r == 0x200b || r == 0x200d:
		case r >= 0x1100 && (r <= 0x115f || r >= 0x2e80 && r <= 0xa4cf || r >= 0xac00 && r <= 0xd7a3 ||
			r >= 0xf900 && r <= 0xfaff || r >= 0xfe30 && r <= 0xfe6f || r >= 0xff00 && r <= 0xff60 ||
			r >= 0x1f300 && r <= 0x1faff):
			n += 2
		default:
			n++
		}
	}
	return n
}

// wrapped breaks a text at spaces; a word longer than the width stands alone.
func wrapped(s string, width int) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(s) {
		if line != "" && columns(line)+1+columns(word) > width {
			out, line = append(out, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}
