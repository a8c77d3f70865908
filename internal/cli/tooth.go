package cli

import (
	"fmt"
	"strings"
	"unicode"

	"selvage/tooth"
)

// parseTooth reads a tooth as a person types it. Without a system a code that
// begins with a letter is Palmer's, any other FDI's.
func parseTooth(system, code string) (tooth.Number, error) {
	s, err := numbering(system, code)
	if err != nil {
		return 0, err
	}
	n, err := tooth.Parse(s, code)
	if err != nil {
		try := "--tooth 26"
		if s == tooth.FDI && looksUniversal(code) {
			try = "--numbering universal if " + code + " is a universal number"
		}
		return 0, &inputError{What: fmt.Sprintf("--tooth %s: %v", code, err), Try: try, Err: err}
	}
	return n, nil
}

// numbering returns the system that a code is written in.
func numbering(system, code string) (tooth.System, error) {
	if system == "" {
		if code != "" && unicode.IsLetter(rune(code[0])) {
			return tooth.Palmer, nil
		}
		return tooth.FDI, nil
	}
	for _, s := range tooth.Systems() {
		if string(s) == strings.ToLower(system) {
			return s, nil
		}
	}
	return "", &inputError{What: fmt.Sprintf("--numbering %s is not known", system), Try: "fdi, universal or palmer"}
}

func looksUniversal(code string) bool {
	_, err := tooth.Parse(tooth.Universal, code)
	return err == nil
}
