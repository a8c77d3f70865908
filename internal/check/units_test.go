package check

import (
	"errors"
	"strings"
	"testing"

	"selvage/finding"
	"selvage/r3"
)

// sized is a scan whose longest side has a length in the unit of its file.
func sized(role finding.Role, size float64) *Scan {
	return &Scan{File: string(role) + ".stl", Role: role, span: r3.BoxOf(r3.Vec{}, r3.V(size, size/2, size/4))}
}

// TestSettleUnits: the working arch tells its unit by its size, another scan speaks against
// one that cannot be its own, and where two are left a person is asked. A unit that was
// given is taken, and doubted where no arch has that size.
func TestSettleUnits(t *testing.T) {
	const working, opposing, preparation = finding.RoleWorking, finding.RoleOpposing, finding.RolePreparation
	broken := sized(opposing, 0.06)
	wreck := sized("", 900)
	broken.Fault, wreck.Fault = "holds no triangle", "holds no triangle"
	for _, c := range []struct {
		name  string
		scans []*Scan
		given string
		unit  string // "" an error
		doubt bool
		says  string
	}{
		{"millimetres", []*Scan{sized(working, 60)}, "", "mm", false, ""},
		{"metres", []*Scan{sized(working, 0.06)}, "", "m", true, ""},
		{"inches or centimetres", []*Scan{sized(working, 2.2)}, "", "", false, "fits cm and in"},
		{"inches by the other arch", []*Scan{sized(working, 2.2), sized(opposing, 1.9)}, "", "in", true, ""},
		{"asked where the other fits nothing", []*Scan{sized(working, 2.2), sized(opposing, 900)}, "", "", false, "fits cm and in"},
		{"asked where the other is broken", []*Scan{sized(working, 2.2), broken}, "", "", false, "fits cm and in"},
		{"a preparation is smaller", []*Scan{sized(preparation, 0.4), sized(working, 2.2)}, "", "in", true, ""},
		{"no arch at all", []*Scan{sized(working, 700)}, "", "", false, "in no unit"},
		{"contradicted", []*Scan{sized(working, 60), sized(opposing, 0.06)}, "", "", false, "in no unit"},
		{"the largest leads where roles are not known", []*Scan{sized("", 15), sized("", 60)}, "", "mm", false, ""},
		{"a broken one does not lead", []*Scan{wreck, sized(opposing, 60)}, "", "mm", false, ""},
		{"given", []*Scan{sized(working, 2.2)}, "inch", "in", false, ""},
		{"given against the size", []*Scan{sized(working, 60)}, "m", "m", true, ""},
		{"given a word", []*Scan{sized(working, 60)}, "ell", "", false, "not known"},
	} {
		err := settleUnits(c.scans, c.given)
		var asks *InputError
		if c.unit == "" {
			if !errors.As(err, &asks) || !strings.Contains(asks.What, c.says) || asks.Try == "" {
				t.Errorf("%s: error %v, want one that says %q and what to try", c.name, err, c.says)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		for _, s := range c.scans {
			if s.Unit.Name != c.unit || s.UnitDoubt != c.doubt {
				t.Errorf("%s: %s in %s, doubt %v; want %s, %v", c.name, s.File, s.Unit.Name, s.UnitDoubt, c.unit, c.doubt)
			}
		}
	}
}
