package casefile

import "strings"

// ShownName makes a file's name fit to be shown: the last part of a path, without
// control characters, not too long. It is never used as a path.
func ShownName(name string) string {
	if i := strings.LastIndexAny(name, `/\`); i >= 0 {
		name = name[i+1:]
	}
	name = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || (r >= 0x202a && r <= 0x202e) || (r >= 0x2066 && r <= 0x2069) {
			return -1
		}
		return r
	}, strings.ToValidUTF8(name, ""))
	const most = 100
	if r := []rune(name); len(r) > most {
		name = string(r[:most/2]) + "…" + string(r[len(r)-most/2:])
	}
	if strings.Trim(name, " .") == "" {
		return "unnamed"
	}
	return name
}
