package study

import (
	"math"
	"slices"

	"selvage/finding"
	"selvage/limit"
	"selvage/measure"
	"selvage/phantom"
)

// border says where the limit of a finding lies and how surely the value behind
// it was known, to tell the cases in which no answer is wrong. facts are the values
// that the rule held against the limit; the truth may lie within the uncertainty of
// any of them.
type border struct {
	code  finding.Code
	truth func(phantom.Truth) []float64
	facts func(finding.Facts) []measure.Value
	rows  func(limit.Table, limit.Selector) []limit.Row
}

// one takes a single truth of the restoration.
func one(pick func(phantom.Restoration) float64) func(phantom.Truth) []float64 {
	return func(t phantom.Truth) []float64 { return []float64{pick(t.Restorations[0])} }
}

// fact takes a single value of the restoration.
func fact(pick func(finding.Restoration) measure.Value) func(finding.Facts) []measure.Value {
	return func(f finding.Facts) []measure.Value { return []measure.Value{pick(f.Restorations[0])} }
}

// rows looks a plain limit up.
func rows(id limit.ID) func(limit.Table, limit.Selector) []limit.Row {
	return func(t limit.Table, q limit.Selector) []limit.Row {
		r, ok := t.Find(id, q)
		if !ok {
			return nil
		}
		return []limit.Row{r}
	}
}

// zoned looks a limit up in each of the zones given.
func zoned(find func(limit.Table, limit.Selector) (limit.Row, bool), zones ...limit.Zone) func(limit.Table, limit.Selector) []limit.Row {
	return func(t limit.Table, q limit.Selector) []limit.Row {
		var out []limit.Row
		for _, z := range zones {
			q.Zone = z
			if r, ok := find(t, q); ok {
				out = append(out, r)
			}
		}
		return out
	}
}

// patches takes the values of rooms that are compared.
func patches(rooms []finding.Room) []measure.Value {
	var out []measure.Value
	for _, r := range rooms {
		out = append(out, r.Patch)
	}
	return out
}

// neighbours takes a value of each neighbour, and sides the truth of each.
func neighbours(pick func(finding.Neighbour) measure.Value) func(finding.Facts) []measure.Value {
	return func(f finding.Facts) []measure.Value {
		var out []measure.Value
		for _, n := range f.Restorations[0].Neighbours {
			out = append(out, pick(n))
		}
		return out
	}
}

func sides(pick func(phantom.ContactTruth) float64) func(phantom.Truth) []float64 {
	return func(t phantom.Truth) []float64 {
		var out []float64
		for _, c := range t.Restorations[0].Contacts {
			out = append(out, pick(c))
		}
		return out
	}
}

// holes takes the widest ways across the true holes in the preparation, 0 where there is
// none.
func holes(t phantom.Truth) []float64 {
	out := []float64{0}
	for _, m := range t.Restorations[0].Missing {
		if m.What == "surface" {
			out = append(out, m.DiameterMm)
		}
	}
	return out
}

// missing takes those that were measured; what nobody reported is known to its ends, as a
// length along the margin is.
func missing(f finding.Facts) []measure.Value {
	out := []measure.Value{measure.Of(0, endsU(f.Restorations[0]), measure.MM)}
	for _, p := range f.Restorations[0].Missing {
		if p.Region == finding.RegionPreparation {
			out = append(out, p.Extent)
		}
	}
	return out
}

var borders = []border{
	{
		code: finding.ClearanceLow, rows: zoned(limit.Table.Clearance, limit.Functional, limit.NonFunctional, limit.Incisal, limit.LingualFront),
		truth: func(t phantom.Truth) []float64 {
			r := t.Restorations[0]
			return []float64{r.ClearancePatchMinMm.Value, r.ClearanceFunctionalPatchMm.Value, r.ClearanceIncisalMm.Value, r.ClearanceLingualMm.Value}
		},
		facts: func(f finding.Facts) []measure.Value { return patches(f.Restorations[0].Clearance) },
	},
	{
		code: finding.ReductionLow, rows: zoned(limit.Table.Minimum, limit.Functional, limit.NonFunctional, limit.Axial, limit.Incisal),
		truth: func(t phantom.Truth) []float64 {
			r := t.Restorations[0]
			return []float64{r.ReductionOcclusalMm.Value, r.ReductionFunctionalMm.Value, r.ReductionAxialMm.Value}
		},
		facts: func(f finding.Facts) []measure.Value { return patches(f.Restorations[0].Reduction) },
	},
	{
		code: finding.Undercut, rows: rows(limit.UndercutDepth),
		truth: one(func(r phantom.Restoration) float64 { return r.UndercutDepthMm.Value }),
		facts: fact(func(r finding.Restoration) measure.Value { return r.Undercut.Depth }),
	},
	{
		code: finding.Undercut, rows: rows(limit.UndercutArea),
		truth: one(func(r phantom.Restoration) float64 { return r.UndercutAreaMm2 }),
		facts: fact(func(r finding.Restoration) measure.Value { return r.Undercut.Area }),
	},
	{
		code: finding.ConvergenceHigh, rows: rows(limit.ConvergenceHigh),
		truth: one(func(r phantom.Restoration) float64 { return r.ConvergenceMeanDeg }),
		facts: fact(func(r finding.Restoration) measure.Value { return r.ConvergenceMean }),
	},
	{
		code: finding.ConvergenceLow, rows: rows(limit.ConvergenceLow),
		truth: one(func(r phantom.Restoration) float64 { return min(r.ConvergenceMDDeg, r.ConvergenceBLDeg) }),
		facts: fact(func(r finding.Restoration) measure.Value { return lower(r.ConvergenceMD, r.ConvergenceBL) }),
	},
	{
		code: finding.WallsShort, rows: rows(limit.WallHeight),
		truth: one(func(r phantom.Restoration) float64 { return r.WallHeightMinMm }),
		facts: fact(func(r finding.Restoration) measure.Value { return r.WallHeight }),
	},
	{
		code: finding.WallsShort, rows: rows(limit.HeightToBase),
		truth: one(func(r phantom.Restoration) float64 { return r.HeightToBase }),
		facts: fact(func(r finding.Restoration) measure.Value { return r.HeightToBase }),
	},
	{
		code: finding.ResistanceLow, rows: rows(limit.Resistance),
		truth: one(func(r phantom.Restoration) float64 { return r.Resistance }),
		facts: fact(func(r finding.Restoration) measure.Value { return r.Resistance }),
	},
	{
		code: finding.SharpEdge, rows: rows(limit.SharpEdge),
		truth: one(func(r phantom.Restoration) float64 { return r.EdgeRadiusMm }),
		facts: fact(func(r finding.Restoration) measure.Value { return r.SharpEdge }),
	},
	{
		code: finding.FinishLineNarrow, rows: zoned(limit.Table.Minimum, limit.Edge),
		truth: one(func(r phantom.Restoration) float64 { return r.FinishLine.WidthMinMm }),
		facts: fact(func(r finding.Restoration) measure.Value { return r.FinishLine.WidthMin }),
	},
	{
		code: finding.SurfaceMissing, rows: rows(limit.HolePreparation),
		truth: holes, facts: missing,
	},
	{
		code: finding.MarginRough, rows: rows(limit.MarginRough),
		truth: one(func(r phantom.Restoration) float64 { return r.Margin.RoughnessUm }),
		facts: fact(func(r finding.Restoration) measure.Value { return r.Margin.Rough }),
	},
	{
		code: finding.RootNotSeen, rows: rows(limit.RootNotSeen),
		truth: one(func(r phantom.Restoration) float64 { return r.Margin.RootSeenMm }),
		facts: fact(func(r finding.Restoration) measure.Value { return r.Margin.RootBelow }),
	},
	{
		code: finding.SulcusNarrow, rows: rows(limit.SulcusNarrow),
		truth: one(func(r phantom.Restoration) float64 { return r.Margin.SulcusMm }),
		facts: fact(func(r finding.Restoration) measure.Value { return r.Margin.Sulcus }),
	},
	{
		code: finding.SamplingCoarse, rows: rows(limit.SamplingCoarse),
		truth: one(func(r phantom.Restoration) float64 { return r.Margin.SpacingMm }),
		facts: fact(func(r finding.Restoration) measure.Value { return r.Margin.Spacing }),
	},
	{
		code: finding.PathBlocked, rows: rows(limit.PathOverlap),
		truth: sides(func(c phantom.ContactTruth) float64 { return c.PathOverlapMm }),
		facts: fact(func(r finding.Restoration) measure.Value { return r.Path.Overlap }),
	},
	{
		code: finding.GapNarrow, rows: rows(limit.GapToNeighbour),
		truth: sides(func(c phantom.ContactTruth) float64 { return c.GapMm }),
		facts: neighbours(func(n finding.Neighbour) measure.Value { return n.Gap }),
	},
	{
		code: finding.NeighbourContour, rows: rows(limit.NeighbourBulge),
		truth: sides(func(c phantom.ContactTruth) float64 { return c.BulgeMm }),
		facts: neighbours(func(n finding.Neighbour) measure.Value { return n.Bulge }),
	},
	{
		code: finding.NeighbourDamaged, rows: rows(limit.NeighbourLoss),
		truth: sides(func(c phantom.ContactTruth) float64 { return c.DamageMm }),
		facts: neighbours(func(n finding.Neighbour) measure.Value { return n.Damage }),
	},
	{
		code: finding.BiteDiffers, rows: rows(limit.BiteShift),
		truth: func(t phantom.Truth) []float64 { return []float64{t.Bite.ShiftMm} },
		facts: func(f finding.Facts) []measure.Value { return []measure.Value{f.Bite.Shift} },
	},
	{
		code: finding.BitePenetrates, rows: rows(limit.BitePenetration),
		truth: func(t phantom.Truth) []float64 { return []float64{t.Bite.PenetrationMm} },
		facts: func(f finding.Facts) []measure.Value { return []measure.Value{f.Bite.Penetration} },
	},
	{
		code: finding.BiteOpen, rows: rows(limit.BiteGap),
		truth: func(t phantom.Truth) []float64 {
			var out []float64
			for _, g := range t.Bite.Gaps {
				out = append(out, g.GapMm*1000)
			}
			return out
		},
		facts: func(f finding.Facts) []measure.Value {
			var out []measure.Value
			for _, s := range f.Bite.Support {
				out = append(out, s.Gap)
			}
			return out
		},
	},
	{
		code: finding.SurfaceNoisy, rows: rows(limit.Noise),
		truth: func(t phantom.Truth) []float64 { return []float64{t.Scans[0].NoiseUm} },
		facts: func(f finding.Facts) []measure.Value {
			var out []measure.Value
			for _, s := range f.Scans {
				out = append(out, s.Noise)
			}
			return out
		},
	},
}

// lower is the value that a rule takes of two: the lower of those measured.
func lower(a, b measure.Value) measure.Value {
	if !a.Measured() || b.Measured() && b.V < a.V {
		return b
	}
	return a
}

// closeness says to which levels of its limits a truth is too near to call.
type closeness struct{ flag, advise bool }

// closeTo reports whether a truth behind a finding lies within the stated uncertainty
// of one of its limits, so that neither answer is wrong.
func closeTo(code finding.Code, t phantom.Truth, f finding.Facts, table limit.Table, q limit.Selector) closeness {
	var c closeness
	if len(t.Restorations) == 0 || len(f.Restorations) == 0 {
		return c
	}
	switch code {
	case finding.MarginNotCaptured:
		return closeness{flag: stretchesClose(finding.NotCaptured, t.Restorations[0].Margin.Stretches, f.Restorations[0], table)}
	case finding.MarginUnclear:
		return closeness{flag: stretchesClose(finding.Unclear, t.Restorations[0].Margin.Stretches, f.Restorations[0], table)}
	}
	for _, b := range borders {
		if b.code != code {
			continue
		}
		u := 0.0
		for _, v := range b.facts(f) {
			if v.Measured() {
				u = math.Max(u, v.U)
			}
		}
		truths := b.truth(t)
		if len(truths) > 0 && !slices.ContainsFunc(truths, func(v float64) bool { return !math.IsNaN(v) }) {
			return closeness{true, true} // nothing is known of it: no answer is wrong
		}
		for _, v := range truths {
			for _, row := range b.rows(table, q) {
				c.flag = c.flag || row.Flag.Set && math.Abs(v-row.Flag.V) <= u
				c.advise = c.advise || row.Advise.Set && math.Abs(v-row.Advise.V) <= u
			}
		}
	}
	return c
}
