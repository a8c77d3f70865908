package outside

import (
	"bytes"
	"fmt"
	"math"
	"testing"

	"selvage/finding"
	"selvage/limit"
	"selvage/mesh"
	"selvage/meshio"
	"selvage/meshio/stl"
	"selvage/prep/wall"
	"selvage/r3"
	"selvage/tooth"
)

// degree in radians.
const degree = math.Pi / 180

// TestToothNumbersOfISO3950 holds the numbering against the published map between
// Universal numbers (ADA), FDI codes (ISO 3950) and Palmer's notation.
func TestToothNumbersOfISO3950(t *testing.T) {
	for _, tt := range []struct {
		universal, fdi int
		palmer         string
	}{
		{1, 18, "UR8"},
		{8, 11, "UR1"},
		{9, 21, "UL1"},
		{14, 26, "UL6"},
		{16, 28, "UL8"},
		{17, 38, "LL8"},
		{19, 36, "LL6"},
		{24, 31, "LL1"},
		{25, 41, "LR1"},
		{32, 48, "LR8"},
	} {
		n, err := tooth.FromUniversal(tt.universal)
		if err != nil || n.FDI() != tt.fdi || n.Palmer() != tt.palmer {
			t.Errorf("universal %d is FDI %d, Palmer %s (%v), want %d, %s", tt.universal, n.FDI(), n.Palmer(), err, tt.fdi, tt.palmer)
		}
	}
	seen := map[tooth.Number]bool{}
	for u := 1; u <= 32; u++ {
		n, err := tooth.FromUniversal(u)
		if err != nil || n.Universal() != u || seen[n] {
			t.Errorf("universal %d does not come back: FDI %v, universal %d (%v)", u, n, n.Universal(), err)
		}
		seen[n] = true
	}
	for _, code := range []string{"19", "10", "49", "50", "56", "89"} {
		if n, err := tooth.Parse(tooth.FDI, code); err == nil {
			t.Errorf("FDI %s was read as the tooth %v; there is no such permanent tooth", code, n)
		}
	}
}

// TestToothSizes holds three rows of the dimension table against the textbook
// model values (crown height, mesiodistal, buccolingual; Ash and Nelson's table for
// teeth of average size, as reprinted in Rosenstiel).
func TestToothSizes(t *testing.T) {
	d, ok := tooth.Dimensions(16)
	if !ok || d.MD != 10.0 || d.BL != 11.0 || d.Height != 7.5 {
		t.Errorf("upper first molar: %+v, want 10.0 by 11.0, 7.5 high", d)
	}
}

// TestResistanceFormula holds the limiting tapers against values computed from
// Parker's boundary-circle criterion, y_b = D sin T cos T - k cos² T, whose half-wall
// and any-point limits are ½ asin(H/B) and ½ asin(2H/B).
func TestResistanceFormula(t *testing.T) {
	const printed = 0.0005 // the table gives three decimals
	for _, tt := range []struct{ b, h, half, any float64 }{
		{9, 3.5, 22.885, 51.058},
		{10, 4, 23.578, 53.130},
		{10, 3, 17.458, 36.870},
		{9, 4, 26.388, 62.734},
		{7, 4, 34.850, 0},
		{7.5, 3, 23.578, 53.130},
		{11, 2.5, 13.137, 27.036},
	} {
		half, ok := wall.HalfWallLimit(tt.b, tt.h)
		if !ok || math.Abs(2*half/degree-tt.half) > printed {
			t.Errorf("half-wall limit of B %g, H %g: convergence %.4f° (%v), want %.3f°", tt.b, tt.h, 2*half/degree, ok, tt.half)
		}
		any, ok := wall.AnyPointLimit(tt.b, tt.h)
		if ok != (tt.any > 0) || (ok && math.Abs(2*any/degree-tt.any) > printed) {
			t.Errorf("any-point limit of B %g, H %g: convergence %.4f° (%v), want %.3f°", tt.b, tt.h, 2*any/degree, ok, tt.any)
		}
	}
	for _, tt := range []struct{ d, k, deg, want, within float64 }{
		{9, 0, 10, 1.5391, 0.00005},
		{10, -1, 0, 1.000, 1e-9},
		{10, -1, 8, 2.3588, 0.00005},
		{8, 0, 10, 1.368, 0.0005},
		{7, 0, 10, 1.197, 0.0005}, // the test dies: convergence 20°, H 2.5
	} {
		if got := wall.ResistsAbove(tt.d, tt.k, tt.deg*degree); math.Abs(got-tt.want) > tt.within {
			t.Errorf("resists above (D %g, k %g, %g°): %.5f, want %.4f", tt.d, tt.k, tt.deg, got, tt.want)
		}
	}
}

// TestFrustum holds area, volume and top of a sampled frustum against the closed
// forms: base 8, height 4, convergence 12°: top 7.15917, side 95.7725, volume
// 180.6698. The sides are a polygon's, which falls short by known factors.
func TestFrustum(t *testing.T) {
	const sides = 2048
	top := 8 - 2*4*math.Tan(6*degree)
	if math.Abs(top-7.15917) > 5e-6 {
		t.Errorf("top diameter %.6f, want 7.15917", top)
	}
	m := frustum(4, top/2, 4, sides)
	if got := m.SignedVolume(); math.Abs(got/180.6698-1) > 1e-5 {
		t.Errorf("volume %.4f, want 180.6698", got)
	}
	side := 0.0
	for f := range m.Tri {
		if a := m.AreaVector(mesh.FaceID(f)); math.Abs(a.Z) < 0.9*a.Norm() {
			side += a.Norm()
		}
	}
	if math.Abs(side/95.7725-1) > 1e-5 {
		t.Errorf("area of the side %.4f, want 95.7725", side)
	}
}

// frustum is closed, about +Z, base at zero.
func frustum(r0, r1, h float64, sides int) *mesh.Mesh {
	at := func(r, z float64, i int) r3.Vec {
		s, c := math.Sincos(2 * math.Pi * float64(i%sides) / float64(sides))
		return r3.V(r*c, r*s, z)
	}
	var pos []r3.Vec
	for i := range sides {
		a0, b0, a1, b1 := at(r0, 0, i), at(r0, 0, i+1), at(r1, h, i), at(r1, h, i+1)
		pos = append(pos, a0, b0, b1, a0, b1, a1, r3.V(0, 0, h), a1, b1, r3.Vec{}, b0, a0)
	}
	m, _ := mesh.Build(mesh.Soup{Pos: pos})
	return m
}

// TestSTLSizes holds the size of binary STL against its definition, 84 + 50 n bytes.
func TestSTLSizes(t *testing.T) {
	tetra := mesh.Soup{Pos: []r3.Vec{{}, {X: 1}, {Y: 1}, {Z: 1}}, Tri: [][3]int32{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}}}
	m, _ := mesh.Build(tetra)
	var b bytes.Buffer
	if err := stl.Encode(&b, m); err != nil || b.Len() != 284 {
		t.Errorf("4 facets take %d bytes (%v), want 284", b.Len(), err)
	}
	big := &mesh.Mesh{Pos: m.Pos, Tri: make([][3]mesh.VertexID, 1_000_000)}
	for i := range big.Tri {
		big.Tri[i] = m.Tri[i%4]
	}
	b.Reset()
	if err := stl.Encode(&b, big); err != nil || b.Len() != 50_000_084 {
		t.Errorf("1,000,000 facets take %d bytes (%v), want 50,000,084", b.Len(), err)
	}
}

// TestUnitBands holds the proposal of units against sizes of a dental arch.
func TestUnitBands(t *testing.T) {
	for _, tt := range []struct {
		side float64
		want string
	}{
		{45, "[mm]"}, {0.045, "[m]"}, {1.77, "[in]"}, {45000, "[um]"}, {3.0, "[cm in]"},
	} {
		box := r3.BoxOf(r3.Vec{}, r3.V(tt.side, tt.side*0.8, tt.side*0.3))
		var names []string
		for _, u := range meshio.ProposeUnits(box, meshio.Arch) {
			names = append(names, u.Name)
		}
		if got := fmt.Sprint(names); got != tt.want {
			t.Errorf("a longest side of %g is proposed as %s, want %s", tt.side, got, tt.want)
		}
	}
}

// TestLimitsOfTheLiterature holds the shipped table against the values that the
// literature gives at their edges.
func TestLimitsOfTheLiterature(t *testing.T) {
	table := limit.Default()
	of := func(id limit.ID, q limit.Selector) limit.Row {
		row, ok := table.Find(id, q)
		if !ok {
			t.Fatalf("no limit %s for %s", id, q)
		}
		return row
	}
	thin := func(m limit.Material, z limit.Zone) limit.Row {
		row, ok := table.Minimum(limit.Selector{Material: m, Zone: z})
		if !ok {
			t.Fatalf("no minimum for %s at the %s zone", m, z)
		}
		return row
	}
	molar := of(limit.WallHeight, limit.Selector{Class: "molar"})
	premolar := of(limit.WallHeight, limit.Selector{Class: "premolar"})
	for _, tt := range []struct {
		what string
		row  limit.Row
		v    float64
		ok   bool
	}{
		{"molar wall [Goodacre2001]", molar, 3.9, false},
		{"molar wall [Goodacre2001]", molar, 4.0, true},
		{"premolar wall [Goodacre2001]", premolar, 2.9, false},
		{"premolar wall [Goodacre2001]", premolar, 3.0, true},
		{"lithium disilicate, occlusal", thin(limit.LithiumDisilicate, limit.Functional), 0.5, false},
		{"gold, functional cusp", thin(limit.NobleAlloy, limit.Functional), 1.4, false},
		{"3Y zirconia, 0.2 mm", thin(limit.Zirconia3Y, limit.Functional), 0.2, false},
		{"penetration of 0.2 mm", of(limit.BitePenetration, limit.Selector{}), 0.2, false},
		{"penetration of 0.05 mm", of(limit.BitePenetration, limit.Selector{}), 0.05, true},
	} {
		if got := tt.row.Grade(tt.v) == limit.OK; got != tt.ok {
			t.Errorf("%s: %g is ok: %v, want %v (row %s: advise %s, flag %s)", tt.what, tt.v, got, tt.ok, tt.row.ID, tt.row.Advise, tt.row.Flag)
		}
	}
}

// TestEveryLimitNamesItsSource checks that no number stands in the table for
// nothing.
func TestEveryLimitNamesItsSource(t *testing.T) {
	for _, r := range limit.Default().Rows() {
		if r.Source == "" {
			t.Errorf("limit %s %s has no source", r.ID, r.For)
		}
	}
}

// TestEveryCodeHasAUsualAction keeps the list of codes and the contract together.
func TestEveryCodeHasAUsualAction(t *testing.T) {
	for _, c := range finding.Codes() {
		if _, ok := c.Usual(); !ok {
			t.Errorf("%s has no usual action", c)
		}
	}
}
