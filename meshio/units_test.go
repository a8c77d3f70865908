package meshio_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"selvage/meshio"
	"selvage/r3"
)

// cube returns a box whose longest side is side, away from the origin.
func cube(side float64) r3.Box {
	from := r3.V(-3, 100, 7).Scale(side)
	return r3.BoxOf(from, from.Add(r3.V(side/3, side, side/2)))
}

// names joins the names of units.
func names(units []meshio.Unit) string {
	var out []string
	for _, u := range units {
		out = append(out, u.Name)
	}
	return strings.Join(out, " ")
}

func TestProposeUnits(t *testing.T) {
	for _, c := range []struct {
		side float64
		kind meshio.Kind
		want string
	}{
		// The check values of the trade page (row 48).
		{45, meshio.Arch, "mm"},
		{0.045, meshio.Arch, "m"},
		{1.77, meshio.Arch, "in"},
		{45000, meshio.Arch, "um"},
		{3.0, meshio.Arch, "cm in"},
		// The ranges that the trade page gives for each unit.
		{20.5, meshio.Arch, "mm"},
		{89, meshio.Arch, "mm"},
		{0.0205, meshio.Arch, "m"},
		{0.089, meshio.Arch, "m"},
		{20500, meshio.Arch, "um"},
		{89000, meshio.Arch, "um"},
		{0.81, meshio.Arch, "in"},
		{2.1, meshio.Arch, "cm in"},
		{3.5, meshio.Arch, "cm in"},
		{3.6, meshio.Arch, "cm"},
		{8.9, meshio.Arch, "cm"},
		{1.9, meshio.Arch, "in"},
		// Plaster casts with their bases, in metres.
		{0.0715, meshio.Arch, "m"},
		{0.0722, meshio.FullArch, "m"},
		// The kinds that a role can have.
		{30, meshio.Quadrant, "mm"},
		{60, meshio.Quadrant, "mm"},
		{2.5, meshio.Quadrant, "cm in"},
		{3, meshio.Quadrant, "cm"},
		{50, meshio.FullArch, "mm"},
		{80, meshio.FullArch, "mm"},
		{3.0, meshio.FullArch, "in"},
		{30, meshio.FullArch, ""},
		{8, meshio.Preparation, "mm"},
		{40, meshio.Preparation, "mm"},
		{1.2, meshio.Preparation, "cm in"},
		{0.012, meshio.Preparation, "m"},
		{12000, meshio.Preparation, "um"},
		{0.5, meshio.Preparation, "in"},
		{30, meshio.Record, "mm"},
		{1.5, meshio.Record, "cm in"},
		{10, meshio.Crown, "mm"},
		{60, meshio.Crown, ""},
		// Between the units, and no size at all.
		{0.2, meshio.Arch, ""},
		{300, meshio.Arch, ""},
		{0, meshio.Arch, ""},
		{1e9, meshio.Arch, ""},
	} {
		if got := names(meshio.ProposeUnits(cube(c.side), c.kind)); got != c.want {
			t.Errorf("side %g, kind %d: %q, want %q", c.side, c.kind, got, c.want)
		}
	}
	nan := r3.Box{Min: r3.V(0, 0, 0), Max: r3.V(math.NaN(), 1, 1)}
	for name, box := range map[string]r3.Box{"empty": r3.EmptyBox(), "not a number": nan} {
		if got := meshio.ProposeUnits(box, meshio.Arch); len(got) != 0 {
			t.Errorf("a box that is %s is in %v", name, got)
		}
	}
}

// Law: a scan of a plausible size is recognised in every unit it is written in,
// wherever it lies, and no unit but the right one is proposed alone.
func TestTheRightUnitIsAlwaysAmongThoseProposed(t *testing.T) {
	for kind, span := range map[meshio.Kind][2]float64{
		meshio.Quadrant: {30, 60}, meshio.FullArch: {50, 80}, meshio.Arch: {30, 80}, meshio.Preparation: {8, 40},
	} {
		for mm := span[0]; mm <= span[1]; mm += 0.37 {
			for _, name := range []string{"mm", "cm", "m", "in", "um"} {
				u, ok := meshio.UnitNamed(name)
				if !ok {
					t.Fatalf("no unit %s", name)
				}
				got := meshio.ProposeUnits(cube(mm/u.ToMM), kind)
				found := false
				for _, g := range got {
					found = found || g == u
				}
				if !found || (len(got) > 1 && names(got) != "cm in") {
					t.Errorf("kind %d of %g mm in %s: %q", kind, mm, name, names(got))
				}
			}
		}
	}
}

func TestUnitNamed(t *testing.T) {
	for _, c := range []struct {
		name string
		mm   float64
		ok   bool
	}{
		{"mm", 1, true},
		{"cm", 10, true},
		{"m", 1000, true},
		{"in", 25.4, true},
		{"um", 0.001, true},
		{"MM", 0, false},
		{"", 0, false},
		{"ft", 0, false},
	} {
		if u, ok := meshio.UnitNamed(c.name); ok != c.ok || u.ToMM != c.mm {
			t.Errorf("%q: %v, %v", c.name, u, ok)
		}
	}
}

func ExampleProposeUnits() {
	cast := r3.BoxOf(r3.V(0.04, -0.03, 0.1), r3.V(0.105, 0.0415, 0.14))
	for _, u := range meshio.ProposeUnits(cast, meshio.Arch) {
		fmt.Printf("%s: %.1f mm long\n", u.Name, cast.Longest()*u.ToMM)
	}
	// Output: m: 71.5 mm long
}
