package check

import (
	"fmt"
	"strings"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/meshio"
	"selvage/r3"
)

// settleUnits decides the unit of every scan: the one given, else the one unit
// that is plausible for the working arch and not implausible for the others. Two
// plausible units are asked about, never chosen between.
func settleUnits(scans []*Scan, given string) error {
	if given != "" {
		u, ok := meshio.UnitNamed(given)
		if given == string(casefile.Inch) {
			u, ok = meshio.UnitNamed("in")
		}
		if !ok {
			return &InputError{What: fmt.Sprintf("unit %q is not known", given), Try: "use mm, cm, m, in or um"}
		}
		for _, s := range scans {
			s.Unit, s.UnitSaid = u, given
			s.UnitDoubt = s.Fault == "" && !contains(meshio.ProposeUnits(s.box(), s.sizeKind()), u)
		}
		return nil
	}
	lead := leading(scans)
	if lead == nil {
		return nil // nothing was decoded; another error says so
	}
	var fit []meshio.Unit
	for _, u := range meshio.ProposeUnits(lead.box(), lead.sizeKind()) {
		if plausibleForAll(scans, u) {
			fit = append(fit, u)
		}
	}
	size := lead.box().Longest()
	switch len(fit) {
	case 1:
		for _, s := range scans {
			s.Unit, s.UnitDoubt = fit[0], fit[0].Name != "mm"
		}
		return nil
	case 0:
		return &InputError{
			File: lead.File, What: fmt.Sprintf("its longest side is %.4g, which is a dental arch in no unit", size),
			Try: "say the unit with --units, or export the right file",
		}
	default:
		names := make([]string, len(fit))
		for i, u := range fit {
			names[i] = u.Name
		}
		return &InputError{
			File: lead.File, What: fmt.Sprintf("its longest side is %.4g, which fits %s", size, strings.Join(names, " and ")),
			Try: "say which with --units",
		}
	}
}

// leading is the working arch, else the largest scan that was decoded.
func leading(scans []*Scan) *Scan {
	var best *Scan
	for _, s := range scans {
		if s.Fault != "" {
			continue
		}
		if s.Role == finding.RoleWorking {
			return s
		}
		if best == nil || s.box().Longest() > best.box().Longest() {
			best = s
		}
	}
	return best
}

// plausibleForAll asks the other scans: a scan none of whose plausible units is u
// speaks against it, unless it fits no unit at all.
func plausibleForAll(scans []*Scan, u meshio.Unit) bool {
	for _, s := range scans {
		if s.Fault != "" {
			continue
		}
		if units := meshio.ProposeUnits(s.box(), s.sizeKind()); len(units) > 0 && !contains(units, u) {
			return false
		}
	}
	return true
}

func contains(units []meshio.Unit, u meshio.Unit) bool {
	for _, v := range units {
		if v.Name == u.Name {
			return true
		}
	}
	return false
}

// sizeKind says what size a scan of this role has. A bite record is a strip of a
// few teeth up to an arch; a design is one tooth.
func (s *Scan) sizeKind() meshio.Kind {
	switch s.Role {
	case finding.RolePreparation, finding.RoleDesign:
		return meshio.Preparation
	default:
		return meshio.Arch
	}
}

// box is the bounding box of the file's own numbers.
func (s *Scan) box() r3.Box { return s.span }

// unitsOf names a unit as case.json does.
func unitsOf(u meshio.Unit) casefile.Units {
	if u.Name == "in" {
		return casefile.Inch
	}
	return casefile.Units(u.Name)
}
