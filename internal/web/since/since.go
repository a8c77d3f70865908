// Package since counts what changed from one check of a case to the next.
package since

import (
	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/report"
	"selvage/tooth"
)

// Since is what changed from one check to the next.
type Since struct {
	Mended, New, Same int
}

// Compare counts what became of the findings that act. A finding is the same where code,
// tooth and side are.
func Compare(before, now casefile.Report) *Since {
	type key struct {
		code finding.Code
		side tooth.Surface
		in   string
	}
	count := func(rep casefile.Report) map[key]int {
		out := map[key]int{}
		for _, f := range report.Order(rep) {
			if f.Action != finding.Note && f.Action != finding.FillIn {
				out[key{f.Code, f.Surface, f.Tooth}]++
			}
		}
		return out
	}
	was, is := count(before), count(now)
	var d Since
	for k, n := range was {
		d.Mended += max(0, n-is[k])
		d.Same += min(n, is[k])
	}
	for k, n := range is {
		d.New += max(0, n-was[k])
	}
	return &d
}
