package casefile

import (
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"selvage/finding"
	"selvage/tooth"
)

// Which arch a word names.
const (
	noJaw    tooth.Jaw = ""
	upperJaw           = tooth.Upper
	lowerJaw           = tooth.Lower
)

// The words of file names and what they hint at. A word counts only whole:
// "prep" in "prep_26.stl" and "UpperPrep.ply", not in "prepaid".
var (
	jawWords = map[string]tooth.Jaw{
		"upper": upperJaw, "maxilla": upperJaw, "maxillary": upperJaw, "superior": upperJaw,
		"lower": lowerJaw, "mandible": lowerJaw, "mandibular": lowerJaw, "inferior": lowerJaw,
		"upperjaw": upperJaw, "lowerjaw": lowerJaw, "upperteeth": upperJaw, "lowerteeth": lowerJaw,
	}
	roleWords = map[string]finding.Role{
		"prep": finding.RolePreparation, "preparation": finding.RolePreparation, "prepared": finding.RolePreparation,
		"stump": finding.RolePreparation, "die": finding.RolePreparation,
		"working": finding.RoleWorking, "work": finding.RoleWorking,
		"opposing": finding.RoleOpposing, "opposite": finding.RoleOpposing, "opposer": finding.RoleOpposing, "opp": finding.RoleOpposing,
		"antagonist": finding.RoleOpposing, "counter": finding.RoleOpposing,
		"bite": finding.RoleBite, "occlusion": finding.RoleBite, "occlusal": finding.RoleBite, "buccal": finding.RoleBite,
		"interocclusal": finding.RoleBite, "checkbite": finding.RoleBite,
		"before": finding.RoleBefore, "preop": finding.RoleBefore, "preoperative": finding.RoleBefore, "pretreatment": finding.RoleBefore,
		"preprep": finding.RoleBefore, "prepreparation": finding.RoleBefore, "initial": finding.RoleBefore, "diagnostic": finding.RoleBefore,
		"design": finding.RoleDesign, "crown": finding.RoleDesign, "restoration": finding.RoleDesign,
	}
	// beforeNext are the words that make "pre" mean before: pre-op, pre_prep.
	beforeNext = []string{"op", "operative", "prep", "preparation", "treatment"}
)

// hint is what the words of one file name say.
type hint struct {
	jaw   tooth.Jaw
	roles []finding.Role // each role named, once, in order of mention
}

// has reports whether the name mentions the role.
func (h hint) has(role finding.Role) bool { return slices.Contains(h.roles, role) }

// hintOf reads a file's name, without its folders and ending.
func hintOf(path string) hint {
	words := splitWords(strings.TrimSuffix(filepath.Base(path), filepath.Ext(path)))
	var h hint
	for i := 0; i < len(words); i++ {
		w := words[i]
		if w == "pre" && i+1 < len(words) && slices.Contains(beforeNext, words[i+1]) {
			w = "preop"
			i++
		}
		if j := jawWords[w]; j != noJaw {
			h.jaw = j
		}
		if r := roleWords[w]; r != "" && !h.has(r) {
			h.roles = append(h.roles, r)
		}
	}
	return h
}

// splitWords cuts a name at everything that is no letter and where a capital
// follows a small letter, and lowers it.
func splitWords(name string) []string {
	var words []string
	var word []rune
	end := func() {
		if len(word) > 0 {
			words = append(words, strings.ToLower(string(word)))
			word = word[:0]
		}
	}
	small := false
	for _, r := range name {
		if !unicode.IsLetter(r) {
			end()
			small = false
			continue
		}
		if small && unicode.IsUpper(r) {
			end()
		}
		small = unicode.IsLower(r)
		word = append(word, r)
	}
	end()
	return words
}

// RolesByName gives each file the role that its name states, for a tooth in the
// given jaw (empty where the tooth is not known). A role stays empty where the
// name says nothing, says two things, or where two files claim a role that only
// one can have: what the shapes say then decides.
func RolesByName(paths []string, working tooth.Jaw) []finding.Role {
	hints := make([]hint, len(paths))
	for i, p := range paths {
		hints[i] = hintOf(p)
	}
	roles := make([]finding.Role, len(paths))
	for i, h := range hints {
		roles[i] = roleOf(h, working)
	}
	settlePreparation(hints, roles, working)
	for _, role := range []finding.Role{finding.RoleWorking, finding.RoleOpposing, finding.RoleBefore} {
		clearTie(roles, role)
	}
	return roles
}

// roleOf decides from one name alone.
func roleOf(h hint, working tooth.Jaw) finding.Role {
	var byJaw finding.Role
	switch {
	case h.jaw == noJaw || working == noJaw:
	case h.jaw == working:
		byJaw = finding.RoleWorking
	default:
		byJaw = finding.RoleOpposing
	}
	strong := slices.DeleteFunc(slices.Clone(h.roles), func(r finding.Role) bool { return r == finding.RoleDesign })
	if h.has(finding.RoleBefore) && h.has(finding.RolePreparation) {
		strong = []finding.Role{finding.RoleBefore} // "before-preparation" names one thing
	}
	switch {
	case len(strong) > 1:
		return ""
	case len(strong) == 0 && byJaw != "":
		return byJaw // "crown-26-upper" is more likely an arch than a design
	case len(strong) == 0 && h.has(finding.RoleDesign):
		return finding.RoleDesign
	case len(strong) == 0:
		return ""
	}
	role := strong[0]
	if role == finding.RoleBite {
		return role // a bite record shows both jaws, whichever its name mentions
	}
	if byJaw == finding.RoleOpposing && role != finding.RoleOpposing {
		return "" // "lower-prep" for an upper tooth: a contradiction
	}
	if byJaw == finding.RoleWorking && role == finding.RoleOpposing {
		return ""
	}
	return role
}

// settlePreparation decides what "prep" means: the scan of the prepared tooth
// alone where another file is the working arch, else the working arch itself.
func settlePreparation(hints []hint, roles []finding.Role, working tooth.Jaw) {
	arch, preps := false, 0
	for i, r := range roles {
		arch = arch || r == finding.RoleWorking
		if r == finding.RolePreparation {
			preps++
			if hints[i].jaw != noJaw && hints[i].jaw == working && slices.Contains(roles, finding.RoleWorking) {
				// "upper" and "upper-prep": one of them is the working arch, and
				// the name does not say whether the other is from before.
				clearRole(roles, finding.RoleWorking)
				roles[i] = ""
				return
			}
		}
	}
	if arch || preps != 1 {
		return
	}
	roles[slices.Index(roles, finding.RolePreparation)] = finding.RoleWorking
}

// clearRole empties a role wherever it stands.
func clearRole(roles []finding.Role, role finding.Role) {
	for i, r := range roles {
		if r == role {
			roles[i] = ""
		}
	}
}

// clearTie empties a role that more than one file claims.
func clearTie(roles []finding.Role, role finding.Role) {
	n := 0
	for _, r := range roles {
		if r == role {
			n++
		}
	}
	if n > 1 {
		clearRole(roles, role)
	}
}
