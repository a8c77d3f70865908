package wire_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"selvage/meshio/wire"
)

// seed starts the random generators of this package's tests.
const seed = 20260504

// sameAsStrconv checks that ParseFloat accepts what strconv accepts, if finite,
// and rounds to the same bits.
func sameAsStrconv(t *testing.T, word string) {
	t.Helper()
	got, ok := wire.ParseFloat([]byte(word))
	want, err := strconv.ParseFloat(word, 64)
	finite := err == nil && !math.IsInf(want, 0) && !math.IsNaN(want)
	if ok != finite || (ok && math.Float64bits(got) != math.Float64bits(want)) {
		t.Errorf("ParseFloat(%q) = %v, %v; strconv has %v, %v", word, got, ok, want, err)
	}
}

func TestParseFloatOfOddWords(t *testing.T) {
	for _, w := range []string{
		"", "0", "-0", "+0", "1", "+1", "-1", ".", "-", "+", ".5", "5.", "-.5", "+5.e1",
		"1e", "1e+", "1e-", "e5", "1e5", "1E5", "1e+05", "1e-05", "1.e2", ".e2", "1e22", "1e23", "1e-22", "1e-23",
		"1e308", "1e309", "-1e309", "1e-400", "1e99999", "1e-99999", "1e00000000005", "1e000000000000000000000",
		"9007199254740992", "9007199254740993", "9007199254740991e22", "9007199254740993e-3",
		"0.1", "0.30000000000000004", "123456789012345678", "1234567890123456789", "12345678901234567890",
		"99999999999999999999999999", "0.0000000000000000000000000001", "00000000000000000000000001",
		"nan", "NaN", "inf", "-inf", "Infinity", "0x1p-2", "0x10", "1_000", "1,5", "1.5.2", "--1", "1-", "1e1.5",
		"1e2e3", " 1", "1 ", "1\t", "½", "1\x00", "4.9406564584124654e-324", "1.7976931348623157e308",
	} {
		sameAsStrconv(t, w)
	}
}

func TestParseFloatAgainstStrconv(t *testing.T) {
	rng := rand.New(rand.NewPCG(seed, 1))
	for range 200_000 {
		v := math.Float64frombits(rng.Uint64())
		single := float64(math.Float32frombits(rng.Uint32()))
		usual := (rng.Float64() - 0.5) * math.Pow(10, float64(rng.IntN(8)))
		sameAsStrconv(t, strconv.FormatFloat(v, 'g', -1, 64))
		sameAsStrconv(t, strconv.FormatFloat(single, 'g', -1, 32))
		sameAsStrconv(t, strconv.FormatFloat(single, 'e', 6, 64))
		sameAsStrconv(t, strconv.FormatFloat(usual, 'f', rng.IntN(20), 64))
		sameAsStrconv(t, fmt.Sprintf("%de%d", rng.Int64(), rng.IntN(60)-30))
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
}

func FuzzParseFloat(f *testing.F) {
	for _, w := range []string{"1.5", "-0", "1e-22", "9007199254740993", ".5", "1e400", "0x1p3"} {
		f.Add(w)
	}
	f.Fuzz(sameAsStrconv)
}

func TestParseInt(t *testing.T) {
	for _, c := range []struct {
		word string
		v    int
		ok   bool
	}{
		{"0", 0, true},
		{"-0", 0, true},
		{"7", 7, true},
		{"+7", 7, true},
		{"-12", -12, true},
		{"007", 7, true},
		{"999999999999999999", 999999999999999999, true},
		{"9999999999999999999", 0, false},
		{"99999999999999999999", 0, false},
		{"", 0, false},
		{"-", 0, false},
		{"+", 0, false},
		{"1.0", 0, false},
		{"1e3", 0, false},
		{"0x1", 0, false},
		{"1_0", 0, false},
		{"a", 0, false},
		{"--1", 0, false},
		{" 1", 0, false},
	} {
		if v, ok := wire.ParseInt([]byte(c.word)); v != c.v || ok != c.ok {
			t.Errorf("ParseInt(%q) = %d, %v; want %d, %v", c.word, v, ok, c.v, c.ok)
		}
	}
}

func TestParseFloatDoesNotAllocate(t *testing.T) {
	for _, w := range []string{"-12.345678", "0.12345678901234567", "1e-30"} {
		word := []byte(w)
		if n := testing.AllocsPerRun(100, func() { wire.ParseFloat(word) }); n != 0 {
			t.Errorf("ParseFloat(%s) allocates %g times", w, n)
		}
	}
}

func BenchmarkParseFloat(b *testing.B) {
	for _, w := range []string{"-12.345678", "1.234567e+01", "-12.34567890123456789"} {
		word := []byte(w)
		b.Run(w, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				wire.ParseFloat(word)
			}
		})
	}
}
