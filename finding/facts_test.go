package finding_test

import (
	"selvage/finding"
	"selvage/limit"
	"selvage/measure"
	"selvage/r3"
	"selvage/tooth"
)

// at is a place on the working scan for values that have one.
var at = measure.Place{At: r3.V(1, 2, 3), Normal: r3.V(0, 0, 1), Scan: "working"}

func mm(v, u float64) measure.Value  { return measure.Of(v, u, measure.MM).At(at) }
func mm2(v, u float64) measure.Value { return measure.Of(v, u, measure.MM2).At(at) }
func um(v, u float64) measure.Value  { return measure.Of(v, u, measure.Micro).At(at) }
func deg(v, u float64) measure.Value { return measure.Of(v, u, measure.Deg) }
func one(v, u float64) measure.Value { return measure.Of(v, u, measure.One) }

// sound is a case without a fault: a bonded lithium disilicate crown on 26, every
// measure made, every value on the good side of every limit, advice included.
func sound() finding.Facts {
	f := finding.Facts{
		Stage: finding.Final,
		Mouth: []finding.Match{{A: finding.RoleBefore, B: finding.RoleWorking, RMS: mm(0.03, 0.01)}},
		Bite: finding.Bite{
			RecordGiven: true, Residual: um(24, 6), Shift: mm(0.02, 0.02), Penetration: mm(0.04, 0.02),
			Area: mm2(1, 0.2), Contacts: one(9, 0), Unsupported: finding.No,
			Support: []finding.Support{{Tooth: 25, Gap: um(0, 10)}, {Tooth: 27, Gap: um(5, 10)}},
		},
		Order: finding.Order{Prepared: "2026-05-04", Due: "2026-05-15", Seat: "2026-05-19"},
	}
	for _, role := range []finding.Role{finding.RolePreparation, finding.RoleWorking, finding.RoleOpposing, finding.RoleBite, finding.RoleBefore} {
		f.Scans = append(f.Scans, finding.Scan{
			Role: role, File: string(role) + ".stl", UnitsUsed: "mm", Noise: um(10, 3),
			Mirrored: finding.No, OtherJaw: finding.No, Outdated: finding.No,
		})
	}
	f.Restorations = []finding.Restoration{soundTooth(26)}
	return f
}

// soundTooth is a sound preparation of tooth n.
func soundTooth(n tooth.Number) finding.Restoration {
	r := finding.Restoration{
		Prescription: finding.Prescription{
			Tooth: n, Kind: "crown", Material: limit.LithiumDisilicate, Cement: limit.Adhesive,
			FinishLine: limit.HeavyChamfer, MadeBy: finding.Laboratory,
		},
		Found:        finding.Found{Answer: finding.Yes, Tooth: n, Sure: true},
		AxisMeasured: finding.Looked(),

		ConvergenceMD: deg(14.2, 0.6), ConvergenceBL: deg(17.9, 0.7), ConvergenceMean: deg(16, 0.5),
		WallHeight: mm(4.4, 0.05), WallSurface: tooth.Lingual, HeightToBase: one(0.44, 0.01), Resistance: one(0.56, 0.02),
		SharpEdge: mm(0.6, 0.05),
		Undercut:  finding.UndercutFacts{Depth: mm(0, 0.03), Area: mm2(0, 0.1), NearDepth: mm(0, 0.03), NearArea: mm2(0, 0.1)},
		Path:      finding.PathFacts{Overlap: mm(-0.4, 0.03)},
		Margin: finding.MarginFacts{
			Look: finding.Looked(), Closed: true, Length: mm(31.4, 0.2), Rough: um(15, 5),
			RootBelow: mm(0.8, 0.1), Sulcus: mm(0.3, 0.05), Spacing: mm(0.08, 0.01), Coloured: mm2(0, 0.1),
		},
		FinishLine: finding.FinishLineFacts{Kind: limit.HeavyChamfer, WidthMin: mm(1.05, 0.05), WidthMedian: mm(1.1, 0.05)},
		Clearance: []finding.Room{
			{Zone: limit.Functional, Surface: tooth.Lingual, Least: mm(1.5, 0.1), Patch: mm(1.6, 0.1)},
			{Zone: limit.NonFunctional, Least: mm(1.4, 0.1), Patch: mm(1.5, 0.1)},
			{Zone: limit.Fossa, Least: mm(1.4, 0.1), Patch: mm(1.5, 0.1)},
		},
		ClearanceLook: finding.Looked(),
		Reduction: []finding.Room{
			{Zone: limit.Functional, Surface: tooth.Lingual, Least: mm(1.6, 0.05), Patch: mm(1.7, 0.05)},
			{Zone: limit.Axial, Surface: tooth.Buccal, Least: mm(1.1, 0.05), Patch: mm(1.2, 0.05)},
		},
		ReductionLook: finding.Looked(),
		Movement:      []finding.Room{{Zone: limit.NonFunctional, Least: mm(1.3, 0.1), Patch: mm(1.4, 0.1)}},
		Coverage:      finding.Looked(),
	}
	for _, side := range []tooth.Surface{tooth.Mesial, tooth.Distal} {
		beside, _ := n.Mesial()
		if side == tooth.Distal {
			beside, _ = n.Distal()
		}
		r.Neighbours = append(r.Neighbours, finding.Neighbour{
			Tooth: beside, Side: side, Gap: mm(1.3, 0.05), Bulge: mm(0.1, 0.05), Damage: mm(0, 0.05), Contact: finding.Looked(),
		})
	}
	return r
}

// with returns the sound case after one change to its only restoration.
func with(change func(*finding.Restoration)) finding.Facts {
	f := sound()
	change(&f.Restorations[0])
	return f
}

// withCase returns the sound case after one change to the whole.
func withCase(change func(*finding.Facts)) finding.Facts {
	f := sound()
	change(&f)
	return f
}

func judge(f finding.Facts) finding.Judgement { return finding.Judge(f, limit.Default()) }
