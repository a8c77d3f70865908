package tooth

import (
	"fmt"
	"strconv"
	"strings"
)

// System names a way of numbering teeth.
type System string

// The systems that [Parse] reads.
const (
	FDI       System = "fdi"       // ISO 3950, two digits
	Universal System = "universal" // 1-32
	Palmer    System = "palmer"    // UR6
)

// Systems lists the numbering systems in the order in which they are offered.
func Systems() []System { return []System{FDI, Universal, Palmer} }

// Parse reads the code of a tooth in the given system. Surrounding spaces are
// ignored, signs and leading zeros are not: "+26" and "026" are errors. Errors
// say what was read and what would be right.
func Parse(system System, code string) (Number, error) {
	code = strings.TrimSpace(code)
	if code == "" {
		return 0, fmt.Errorf("the tooth number is empty")
	}
	switch system {
	case FDI:
		return parseFDI(code)
	case Universal:
		return parseUniversal(code)
	case Palmer:
		return FromPalmer(code)
	default:
		return 0, fmt.Errorf("unknown tooth system %q; use fdi, universal or palmer", string(system))
	}
}

// FromPalmer reads a designation such as UR6: quadrant UR, UL, LL or LR in either
// case, then 1-8. The letters A-E of deciduous teeth are refused.
func FromPalmer(code string) (Number, error) {
	s := strings.ToUpper(strings.TrimSpace(code))
	if len(s) == 3 {
		for q := 1; q <= 4; q++ {
			if s[:2] != quadrantSign[q] {
				continue
			}
			switch p := s[2]; {
			case p >= '1' && p <= '8':
				return Number(q*10 + int(p-'0')), nil
			case p >= 'A' && p <= 'E':
				return 0, fmt.Errorf("tooth %s is a deciduous tooth; only permanent teeth are covered", s)
			}
		}
	}
	return 0, fmt.Errorf("%q is not a Palmer designation; write quadrant and position such as UR6", code)
}

func parseFDI(code string) (Number, error) {
	if !digits(code) || len(code) > 2 {
		return 0, fmt.Errorf("%q is not an FDI tooth number; write two digits such as 26", code)
	}
	v, _ := strconv.Atoi(code) // one or two digits
	return New(v)
}

func parseUniversal(code string) (Number, error) {
	if c := strings.ToUpper(code); len(c) == 1 && c[0] >= 'A' && c[0] <= 'T' {
		return 0, fmt.Errorf("tooth %s is a deciduous tooth; only permanent teeth (1 to 32) are covered", c)
	}
	if !digits(code) || len(code) > 2 || code[0] == '0' {
		return 0, fmt.Errorf("%q is not a universal tooth number; write 1 to 32", code)
	}
	v, _ := strconv.Atoi(code) // one or two digits
	return FromUniversal(v)
}

func digits(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}
