package casefile_test

import (
	"strings"
	"testing"

	"selvage/internal/casefile"
	"selvage/tooth"
)

func TestShimStock(t *testing.T) {
	const scans = `"scans": [{"role": "working", "file": "a.stl"}]`
	c, err := casefile.Parse([]byte(`{"tooth": "26", ` + scans + `, "shim_stock": [
		{"upper": "25", "lower": "35", "held": true}, {"upper": "27", "lower": "37", "held": false}]}`))
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range []struct {
		n        int
		held, ok bool
	}{{25, true, true}, {35, true, true}, {27, false, true}, {24, false, false}} {
		if held, ok := c.Shim(tooth.Number(w.n)); held != w.held || ok != w.ok {
			t.Errorf("%d: held %v, tried %v", w.n, held, ok)
		}
	}
	for _, bad := range []string{
		`[{"upper": "25", "lower": "35"}]`, `[{"upper": "35", "lower": "25", "held": true}]`,
		`[{"lower": "35", "held": true}]`, `[{"upper": "99", "lower": "35", "held": true}]`,
	} {
		_, err := casefile.Parse([]byte(`{"tooth": "26", ` + scans + `, "shim_stock": ` + bad + `}`))
		if err == nil || !strings.Contains(err.Error(), "shim_stock[0]") {
			t.Errorf("%s: %v", bad, err)
		}
	}
}
