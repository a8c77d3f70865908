package casefile_test

import (
	"reflect"
	"strings"
	"testing"

	"selvage/internal/casefile"
	"selvage/tooth"
)

// Teeth that were named on a scan are read, kept when the case is written, and read in
// the numbering of the prescription.
func TestNamedTeeth(t *testing.T) {
	const text = `{"restorations": [{"tooth": {"system": "universal", "code": "14"}}], "scans": [
		{"role": "working", "file": "w.stl", "teeth": [{"tooth": "13", "at": [1, 2, 3]}, {"tooth": {"system": "fdi", "code": "24"}, "at": [4, 5, 6]}]},
		{"role": "opposing", "file": "o.stl"}]}`
	c, err := casefile.Parse([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	n, at := c.NamedTeeth("w.stl")
	if !reflect.DeepEqual(n, []tooth.Number{25, 24}) || !reflect.DeepEqual(at, [][3]float64{{1, 2, 3}, {4, 5, 6}}) {
		t.Errorf("named are %v at %v", n, at)
	}
	if n, _ := c.NamedTeeth("o.stl"); n != nil {
		t.Errorf("nobody named %v", n)
	}
	data, err := c.Encode()
	if err != nil {
		t.Fatal(err)
	}
	again, err := casefile.Parse(data)
	if err != nil || !reflect.DeepEqual(again.Scans, c.Scans) {
		t.Errorf("written and read again: %v, %v", again.Scans, err)
	}
	for _, wrong := range []string{`{"at": [1, 2, 3]}`, `{"tooth": "13"}`, `{"tooth": "99", "at": [1, 2, 3]}`, `{"tooth": "13", "at": [1, 2]}`} {
		bad := strings.Replace(text, `{"tooth": "13", "at": [1, 2, 3]}`, wrong, 1)
		if _, err := casefile.Parse([]byte(bad)); err == nil {
			t.Errorf("%s is accepted", wrong)
		}
	}
}
