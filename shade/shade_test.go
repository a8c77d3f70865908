package shade_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"selvage/shade"
)

// published are the 34 pairs of [Sharma2005, table 1], chosen by its authors for the
// turns of the formula at which programs go wrong, with their differences ΔE00.
var published = []struct {
	p, q shade.Lab
	want float64
}{
	{shade.Lab{L: 50.0000, A: 2.6772, B: -79.7751}, shade.Lab{L: 50.0000, A: 0.0000, B: -82.7485}, 2.0425},
	{shade.Lab{L: 50.0000, A: 3.1571, B: -77.2803}, shade.Lab{L: 50.0000, A: 0.0000, B: -82.7485}, 2.8615},
	{shade.Lab{L: 50.0000, A: 2.8361, B: -74.0200}, shade.Lab{L: 50.0000, A: 0.0000, B: -82.7485}, 3.4412},
	{shade.Lab{L: 50.0000, A: -1.3802, B: -84.2814}, shade.Lab{L: 50.0000, A: 0.0000, B: -82.7485}, 1.0000},
	{shade.Lab{L: 50.0000, A: -1.1848, B: -84.8006}, shade.Lab{L: 50.0000, A: 0.0000, B: -82.7485}, 1.0000},
	{shade.Lab{L: 50.0000, A: -0.9009, B: -85.5211}, shade.Lab{L: 50.0000, A: 0.0000, B: -82.7485}, 1.0000},
	{shade.Lab{L: 50.0000, A: 0.0000, B: 0.0000}, shade.Lab{L: 50.0000, A: -1.0000, B: 2.0000}, 2.3669},
	{shade.Lab{L: 50.0000, A: -1.0000, B: 2.0000}, shade.Lab{L: 50.0000, A: 0.0000, B: 0.0000}, 2.3669},
	{shade.Lab{L: 50.0000, A: 2.4900, B: -0.0010}, shade.Lab{L: 50.0000, A: -2.4900, B: 0.0009}, 7.1792},
	{shade.Lab{L: 50.0000, A: 2.4900, B: -0.0010}, shade.Lab{L: 50.0000, A: -2.4900, B: 0.0010}, 7.1792},
	{shade.Lab{L: 50.0000, A: 2.4900, B: -0.0010}, shade.Lab{L: 50.0000, A: -2.4900, B: 0.0011}, 7.2195},
	{shade.Lab{L: 50.0000, A: 2.4900, B: -0.0010}, shade.Lab{L: 50.0000, A: -2.4900, B: 0.0012}, 7.2195},
	{shade.Lab{L: 50.0000, A: -0.0010, B: 2.4900}, shade.Lab{L: 50.0000, A: 0.0009, B: -2.4900}, 4.8045},
	{shade.Lab{L: 50.0000, A: -0.0010, B: 2.4900}, shade.Lab{L: 50.0000, A: 0.0010, B: -2.4900}, 4.8045},
	{shade.Lab{L: 50.0000, A: -0.0010, B: 2.4900}, shade.Lab{L: 50.0000, A: 0.0011, B: -2.4900}, 4.7461},
	{shade.Lab{L: 50.0000, A: 2.5000, B: 0.0000}, shade.Lab{L: 50.0000, A: 0.0000, B: -2.5000}, 4.3065},
	{shade.Lab{L: 50.0000, A: 2.5000, B: 0.0000}, shade.Lab{L: 73.0000, A: 25.0000, B: -18.0000}, 27.1492},
	{shade.Lab{L: 50.0000, A: 2.5000, B: 0.0000}, shade.Lab{L: 61.0000, A: -5.0000, B: 29.0000}, 22.8977},
	{shade.Lab{L: 50.0000, A: 2.5000, B: 0.0000}, shade.Lab{L: 56.0000, A: -27.0000, B: -3.0000}, 31.9030},
	{shade.Lab{L: 50.0000, A: 2.5000, B: 0.0000}, shade.Lab{L: 58.0000, A: 24.0000, B: 15.0000}, 19.4535},
	{shade.Lab{L: 50.0000, A: 2.5000, B: 0.0000}, shade.Lab{L: 50.0000, A: 3.1736, B: 0.5854}, 1.0000},
	{shade.Lab{L: 50.0000, A: 2.5000, B: 0.0000}, shade.Lab{L: 50.0000, A: 3.2972, B: 0.0000}, 1.0000},
	{shade.Lab{L: 50.0000, A: 2.5000, B: 0.0000}, shade.Lab{L: 50.0000, A: 1.8634, B: 0.5757}, 1.0000},
	{shade.Lab{L: 50.0000, A: 2.5000, B: 0.0000}, shade.Lab{L: 50.0000, A: 3.2592, B: 0.3350}, 1.0000},
	{shade.Lab{L: 60.2574, A: -34.0099, B: 36.2677}, shade.Lab{L: 60.4626, A: -34.1751, B: 39.4387}, 1.2644},
	{shade.Lab{L: 63.0109, A: -31.0961, B: -5.8663}, shade.Lab{L: 62.8187, A: -29.7946, B: -4.0864}, 1.2630},
	{shade.Lab{L: 61.2901, A: 3.7196, B: -5.3901}, shade.Lab{L: 61.4292, A: 2.2480, B: -4.9620}, 1.8731},
	{shade.Lab{L: 35.0831, A: -44.1164, B: 3.7933}, shade.Lab{L: 35.0232, A: -40.0716, B: 1.5901}, 1.8645},
	{shade.Lab{L: 22.7233, A: 20.0904, B: -46.6940}, shade.Lab{L: 23.0331, A: 14.9730, B: -42.5619}, 2.0373},
	{shade.Lab{L: 36.4612, A: 47.8580, B: 18.3852}, shade.Lab{L: 36.2715, A: 50.5065, B: 21.2231}, 1.4146},
	{shade.Lab{L: 90.8027, A: -2.0831, B: 1.4410}, shade.Lab{L: 91.1528, A: -1.6435, B: 0.0447}, 1.4441},
	{shade.Lab{L: 90.9257, A: -0.5406, B: -0.9208}, shade.Lab{L: 88.6381, A: -0.8985, B: -0.7239}, 1.5381},
	{shade.Lab{L: 6.7747, A: -0.2908, B: -2.4247}, shade.Lab{L: 5.8714, A: -0.0985, B: -2.2286}, 0.6377},
	{shade.Lab{L: 2.0776, A: 0.0795, B: -1.1350}, shade.Lab{L: 0.9033, A: -0.0636, B: -0.5514}, 0.9082},
}

func TestPublishedPairs(t *testing.T) {
	if len(published) != 34 {
		t.Fatalf("%d pairs, the table has 34", len(published))
	}
	for i, c := range published {
		for _, got := range []float64{shade.Delta(c.p, c.q), shade.Delta(c.q, c.p)} {
			if math.Abs(got-c.want) > 0.5e-4+1e-9 { // the table has four digits
				t.Errorf("pair %d: %.5f, published %.4f", i+1, got, c.want)
			}
		}
	}
}

// A pair of tooth colours, computed apart from this code; ΔE*ab is a hand's sum,
// sqrt(9 + 1 + 16).
func TestToothColours(t *testing.T) {
	p, q := shade.Lab{L: 74, A: 1.5, B: 18}, shade.Lab{L: 71, A: 2.5, B: 22}
	if got := shade.Delta(p, q); math.Abs(got-3.1936) > 1e-4 {
		t.Errorf("ΔE00 %.5f, want 3.1936", got)
	}
	if got := shade.DeltaAB(p, q); math.Abs(got-math.Sqrt(26)) > 1e-12 {
		t.Errorf("ΔE*ab %.5f, want %.5f", got, math.Sqrt(26))
	}
}

func TestGrades(t *testing.T) {
	for _, c := range []struct {
		delta float64
		want  shade.Grade
	}{
		{0, shade.Excellent},
		{0.80, shade.Excellent},
		{0.81, shade.Accepted},
		{1.80, shade.Accepted},
		{1.81, shade.ModeratelyUnacceptable},
		{3.60, shade.ModeratelyUnacceptable},
		{3.61, shade.Unacceptable},
		{40, shade.Unacceptable},
	} {
		if got := shade.GradeOf(c.delta); got != c.want {
			t.Errorf("ΔE00 %.2f is %q, want %q", c.delta, got, c.want)
		}
	}
}

func TestDifferenceIsSymmetricAndZeroForEqual(t *testing.T) {
	colour := rapid.Custom(func(t *rapid.T) shade.Lab {
		return shade.Lab{
			L: rapid.Float64Range(0, 100).Draw(t, "L"),
			A: rapid.Float64Range(-128, 128).Draw(t, "a"), B: rapid.Float64Range(-128, 128).Draw(t, "b"),
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		p, q := colour.Draw(t, "p"), colour.Draw(t, "q")
		there, back := shade.Delta(p, q), shade.Delta(q, p)
		if math.IsNaN(there) || there < 0 || math.Abs(there-back) > 1e-9*(1+there) {
			t.Fatalf("there %v, back %v", there, back)
		}
		if d := shade.Delta(p, p); d != 0 {
			t.Fatalf("a colour differs from itself by %v", d)
		}
	})
}

func TestImpossibleColours(t *testing.T) {
	for _, c := range []shade.Lab{{L: -1}, {L: 101}, {L: 50, A: math.NaN()}, {L: 50, B: math.Inf(1)}, {L: math.NaN()}} {
		if c.Valid() {
			t.Errorf("%v is taken for a colour", c)
		}
	}
	if c := (shade.Lab{L: 74, A: 1.5, B: 18}); !c.Valid() {
		t.Errorf("%v is not taken for a colour", c)
	}
}

func ExampleDelta() {
	wanted, made := shade.Lab{L: 74.0, A: 1.5, B: 18.0}, shade.Lab{L: 73.2, A: 1.8, B: 19.1}
	d := shade.Delta(wanted, made)
	fmt.Printf("%.1f: %s\n", d, shade.GradeOf(d))
	// Output: 0.9: acceptable
}
