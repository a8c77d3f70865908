package study

import "selvage/quality"

// Rate is a share of successes with its 95 % interval; see [quality.NewRate].
type Rate quality.Rate

// NewRate returns hits/of with its interval.
func NewRate(hits, of int) Rate { return Rate(quality.NewRate(hits, of)) }
