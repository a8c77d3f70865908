package check

import (
	"fmt"

	"selvage/dentition"
	"selvage/finding"
	"selvage/tooth"
)

// settleRoles gives every scan without a role the one that its shape tells. A tie
// is an error that asks; a role is never taken twice.
func settleRoles(scans []*Scan, n tooth.Number) (assumed []string, err error) {
	var open []int
	for i, s := range scans {
		if s.Role == "" && s.Fault == "" {
			open = append(open, i)
		}
	}
	if len(open) == 0 {
		return nil, nil
	}
	var usable []int
	for i, s := range scans {
		if s.Fault == "" {
			usable = append(usable, i)
		}
	}
	looks := make([]dentition.Scan, len(usable))
	for k, i := range usable {
		looks[k] = scans[i].Look
	}
	guesses := dentition.GuessRoles(looks, n)
	for k, i := range usable {
		s := scans[i]
		if s.Role != "" {
			continue
		}
		g := guesses[k]
		if g.Role == "" {
			return nil, &InputError{
				File: s.File, What: "what this scan shows cannot be told from its name or shape (" + g.Why + ")",
				Try: "name it after its role, such as lower.stl or bite.stl, or list it in case.json",
			}
		}
		s.Role = finding.Role(g.Role)
		assumed = append(assumed, fmt.Sprintf("%s is taken as the %s scan: %s", s.File, s.Role, g.Why))
	}
	return assumed, doubledRole(scans)
}

// doubledRole refuses two scans of one role, except several preparations.
func doubledRole(scans []*Scan) error {
	by := map[finding.Role]string{}
	for _, s := range scans {
		if s.Role == finding.RolePreparation || s.Role == finding.RoleDesign || s.Role == "" {
			continue
		}
		if other, taken := by[s.Role]; taken {
			return &InputError{
				File: s.File, What: fmt.Sprintf("is a second %s scan beside %s", s.Role, other),
				Try: "leave one of them out, or give each its role in case.json",
			}
		}
		by[s.Role] = s.File
	}
	return nil
}

// find returns the scan of a role, or nil.
func find(scans []*Scan, role finding.Role) *Scan {
	for _, s := range scans {
		if s.Role == role && s.Fault == "" {
			return s
		}
	}
	return nil
}

// findFor returns the preparation scan of one tooth: the one that names it, else
// the only one there is. One from before the last cut is none.
func findFor(scans []*Scan, n tooth.Number) *Scan {
	var only *Scan
	count := 0
	for _, s := range scans {
		if s.Role != finding.RolePreparation || s.Fault != "" || s.Newer != nil {
			continue
		}
		if s.Tooth == n {
			return s
		}
		if s.Tooth == 0 {
			only = s
			count++
		}
	}
	if count == 1 {
		return only
	}
	return nil
}
