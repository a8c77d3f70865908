package finding_test

import (
	"slices"
	"strings"
	"testing"

	"selvage/finding"
	"selvage/limit"
	"selvage/measure"
	"selvage/tooth"
)

// broken is a case one file of which cannot be read.
func broken(f finding.Facts, role finding.Role) finding.Facts {
	for i := range f.Scans {
		if f.Scans[i].Role == role {
			f.Scans[i].Fault = "it is empty"
		}
	}
	return f
}

// quietCase is what is no fault, and beside it the least further change that is told.
type quietCase struct {
	name         string
	code         finding.Code
	silent, told finding.Facts
}

func quietScans() []quietCase {
	named := func(said, is string) finding.Facts {
		return scanOf("bite", func(s *finding.Scan) { s.TypeSaid, s.TypeFound = said, is })
	}
	filled := func(at finding.Region, area float64) finding.Facts {
		return scanOf("working", func(s *finding.Scan) {
			s.Invented = []finding.Patch{{Region: at, Tooth: 26, Area: mm2(area, 0.05)}}
		})
	}
	early := func(at finding.Region) finding.Facts { // before the gum is pressed back
		f := filled(at, 3)
		f.Stage = finding.Preparation
		return f
	}
	wanting := func(at finding.Region, extent float64) finding.Facts {
		return hole(finding.Patch{Region: at, Tooth: 26, Surface: tooth.Distal, Extent: mm(extent, 0.05)})
	}
	short := func(stage finding.Stage) finding.Facts {
		f := with(func(r *R) { r.ShortOf = []finding.ShortArch{{Role: "working", Tooth: 23, Side: tooth.Mesial}} })
		f.Stage = stage
		return f
	}
	rough := func(mirrored finding.Answer) finding.Facts {
		return scanOf("working", func(s *finding.Scan) { s.Noise, s.Mirrored = um(45, 5), mirrored })
	}
	unsure := func(fault string) finding.Facts {
		return scanOf("bite", func(s *finding.Scan) { s.UnitsDoubt, s.Fault = true, fault })
	}
	return []quietCase{
		{"a file as it is named", finding.FileTypeDiffers, named("PLY", "PLY"), named("stl", "PLY")},
		{"a file whose type was not told", finding.FileTypeDiffers, named("stl", ""), named("stl", "OBJ")},
		{"the unit of a file that cannot be read", finding.UnitsUnlikely, unsure("it is empty"), unsure("")},
		{"the noise of a mirrored scan", finding.SurfaceNoisy, rough(finding.Yes), rough(finding.No)},
		{"a filled hole that nothing needs", finding.SurfaceInvented, filled("", 3), filled(finding.RegionPreparation, 3)},
		{"a filled hole of a few triangles", finding.SurfaceInvented, filled(finding.RegionPreparation, 0.05), filled(finding.RegionPreparation, 3)},
		{"a filled contact before the final scan", finding.SurfaceInvented, early(finding.RegionContact), early(finding.RegionOpposing)},
		{"a filled margin before the final scan", finding.SurfaceInvented, early(finding.RegionMargin), early(finding.RegionPreparation)},
		{"a hole in the preparation of half a millimetre", finding.SurfaceMissing, wanting(finding.RegionPreparation, 0.5), wanting(finding.RegionPreparation, 1.5)},
		{"a hole that the margin's own stretches tell", finding.SurfaceMissing, wanting(finding.RegionMargin, 4), wanting(finding.RegionTissue, 4)},
		{"a short arch before the final scan", finding.ArchTooShort, short(finding.Preparation), short(finding.Final)},
	}
}

func quietLines() []quietCase {
	lines := func(apart float64) finding.Facts {
		return with(func(r *R) {
			r.Margin.TwoLines = []finding.Stretch{{Surface: tooth.Lingual, Length: mm(3, 0.2), Apart: mm(apart, 0.02)}}
		})
	}
	line := func(is, asked limit.FinishLine) finding.Facts {
		return with(func(r *R) { r.FinishLine.Kind, r.Prescription.FinishLine = is, asked })
	}
	return []quietCase{
		{"a second line near by", finding.MarginTwoLines, lines(0.02), lines(0.6)},
		{"a finish line that could not be told", finding.FinishLineDiffers, line("", limit.HeavyChamfer), line(limit.Chamfer, limit.HeavyChamfer)},
		{"a finish line that nobody asked for", finding.FinishLineDiffers, line(limit.Chamfer, ""), line(limit.Chamfer, limit.Shoulder)},
	}
}

func quietBites() []quietCase {
	open := func(gap float64, held finding.Answer) finding.Facts {
		return withCase(func(f *finding.Facts) { f.Bite.Support[1].Gap, f.Bite.Support[1].Held = um(gap, 20), held })
	}
	tried := func(gap float64, held finding.Answer) finding.Facts {
		return withCase(func(f *finding.Facts) { f.Bite.Tried = []finding.Support{{Tooth: 24, Gap: um(gap, 20), Held: held}} })
	}
	untouched := func(contacts measure.Value) finding.Facts {
		return withCase(func(f *finding.Facts) { f.Bite.Support, f.Bite.Contacts = nil, contacts })
	}
	return []quietCase{
		{"an open neighbour that did not hold before", finding.BiteOpen, open(300, finding.No), open(300, finding.Unknown)},
		{"a tried tooth that did not hold", finding.BiteOpen, tried(300, finding.No), tried(300, finding.Yes)},
		{"a tried tooth not known to have held", finding.BiteOpen, tried(300, finding.Unknown), tried(300, finding.Yes)},
		{"a tried tooth that holds", finding.BiteOpen, tried(10, finding.Yes), tried(300, finding.Yes)},
		{"contacts that were not counted", finding.BiteOpen, untouched(measure.Not("no bite")), untouched(one(0, 0))},
		{"contacts on other teeth", finding.BiteOpen, untouched(one(1, 0)), untouched(one(0, 0))},
		{"a bite on an arch that cannot be read", finding.BiteOpen, broken(open(300, finding.Yes), "opposing"), broken(open(300, finding.Yes), "bite")},
		{"a neighbour that held and may be open", finding.BiteOpen, open(60, finding.Yes), open(300, finding.Yes)},
	}
}

func quietShapes() []quietCase {
	undercut := func(depth, u, area float64, change func(*finding.Facts)) finding.Facts {
		f := with(func(r *R) { r.Undercut.Depth, r.Undercut.Area = mm(depth, u), mm2(area, 0.05) })
		if change != nil {
			change(&f)
		}
		return f
	}
	sheet := func(role finding.Role, at finding.Region) func(*finding.Facts) {
		return func(f *finding.Facts) {
			for i := range f.Scans {
				if f.Scans[i].Role == role {
					f.Scans[i].Doubled = []finding.Patch{{Region: at, Tooth: 26, Area: mm2(3, 0.3)}}
				}
			}
		}
	}
	inventedWall := func(f *finding.Facts) {
		f.Scans[1].Invented = []finding.Patch{{Region: finding.RegionPreparation, Tooth: 26, Area: mm2(3, 0.3)}}
	}
	gap := func(v float64) finding.Facts { return with(func(r *R) { r.Neighbours[0].Gap = mm(v, 0.05) }) }
	weak := func(cement limit.Cement) finding.Facts {
		return with(func(r *R) { r.Prescription.Material, r.Prescription.Cement = limit.Leucite, cement })
	}
	holds := func(cement limit.Cement) finding.Facts {
		return with(func(r *R) {
			r.Resistance, r.Prescription.Cement, r.Prescription.Material = one(0.3, 0.02), cement, limit.Zirconia3Y
		})
	}
	cut := func(broken bool) finding.Facts {
		f := with(func(r *R) { r.Neighbours[1].Damage = mm(0.3, 0.05) })
		if broken {
			f.Scans[4].Fault = "it is empty"
		}
		return f
	}
	return []quietCase{
		{"an undercut on a doubled wall", finding.Undercut, undercut(0.3, 0.03, 2, sheet("working", finding.RegionPreparation)), undercut(0.3, 0.03, 2, sheet("working", finding.RegionNeighbour))},
		{"an undercut on the doubled wall of its own scan", finding.Undercut, undercut(0.3, 0.03, 2, sheet("preparation", finding.RegionPreparation)), undercut(0.3, 0.03, 2, nil)},
		{"an undercut under a filled hole", finding.Undercut, undercut(0.3, 0.03, 2, inventedWall), undercut(0.3, 0.03, 2, sheet("before", finding.RegionPreparation))},
		{"a shallow undercut over little", finding.Undercut, undercut(0.06, 0.03, 0.1, nil), undercut(0.06, 0.03, 1.5, nil)},
		{"an undercut of a preparation that cannot be read", finding.Undercut, broken(undercut(0.3, 0.03, 2, nil), "preparation"), broken(undercut(0.3, 0.03, 2, nil), "before")},
		{"an undercut of an arch that cannot be read", finding.Undercut, broken(undercut(0.3, 0.03, 2, nil), "working"), undercut(0.3, 0.03, 2, nil)},
		{"a wide gap", finding.GapNarrow, gap(1), broken(gap(0.2), "before")},
		{"a weak ceramic whose cement is not known", finding.CeramicWeak, weak(""), weak(limit.Conventional)},
		{"a weak ceramic under an adhesive", finding.CeramicWeak, weak(limit.Adhesive), weak(limit.Conventional)},
		{"what holds, under an adhesive", finding.ResistanceLow, holds(limit.Adhesive), holds(limit.Conventional)},
		{"a loss since a scan that cannot be read", finding.NeighbourDamaged, cut(true), cut(false)},
	}
}

// TestSilent: what is no fault raises nothing, however near it comes to one that is.
func TestSilent(t *testing.T) {
	for _, c := range slices.Concat(quietScans(), quietLines(), quietBites(), quietShapes()) {
		has := func(f finding.Facts) bool {
			return slices.ContainsFunc(judge(f).Findings, func(g finding.Finding) bool { return g.Code == c.code })
		}
		if has(c.silent) {
			t.Errorf("%s raises %s", c.name, c.code)
		}
		if !has(c.told) {
			t.Errorf("beside %s, %s is not raised where it is due", c.name, c.code)
		}
	}
}

// TestWhichIsTold: of several the finding is about the one that counts.
func TestWhichIsTold(t *testing.T) {
	for _, c := range []struct {
		name  string
		facts finding.Facts
		code  finding.Code
		ok    func(finding.Finding) bool
	}{
		{"the longest of two short stretches", with(func(r *R) {
			r.Margin.Stretches = []finding.Stretch{
				{State: finding.Unclear, Surface: tooth.Mesial, Length: mm(0.1, 0.05)},
				{State: finding.NotCaptured, Surface: tooth.Distal, Length: mm(0.2, 0.05)},
			}
		}), finding.MarginNotCaptured, func(f finding.Finding) bool { return f.Surface == tooth.Distal }},
		{"a stretch beside a line of unknown length has its side", with(func(r *R) {
			r.Margin.Length = measure.Not("not closed")
			r.Margin.Stretches = []finding.Stretch{{State: finding.Unclear, Surface: tooth.Distal, Length: mm(2, 0.1)}}
		}), finding.MarginUnclear, func(f finding.Finding) bool { return f.Surface == tooth.Distal }},
		{"more than half of the line has none", with(func(r *R) {
			r.Margin.Stretches = []finding.Stretch{{State: finding.Unclear, Surface: tooth.Distal, Length: mm(20, 0.1)}}
		}), finding.MarginUnclear, func(f finding.Finding) bool { return f.Surface == "" }},
		{
			"the lower of two convergences", with(func(r *R) { r.ConvergenceMD, r.ConvergenceBL = deg(3, 0.5), deg(4, 0.5) }), finding.ConvergenceLow,
			func(f finding.Finding) bool { return f.Measured.V == 3 },
		},
		{
			"the one convergence that was measured", with(func(r *R) { r.ConvergenceMD, r.ConvergenceBL = measure.Not("hidden"), deg(4, 0.5) }), finding.ConvergenceLow,
			func(f finding.Finding) bool { return f.Measured.V == 4 },
		},
		{
			"the other convergence that was measured", with(func(r *R) { r.ConvergenceMD, r.ConvergenceBL = deg(4, 0.5), measure.Not("hidden") }), finding.ConvergenceLow,
			func(f finding.Finding) bool { return f.Measured.V == 4 },
		},
		{"a shallow undercut, close to a margin that is not judged yet", withCase(func(f *finding.Facts) {
			u := &f.Restorations[0].Undercut
			u.Depth, u.Area, f.Stage = mm(0.06, 0.03), mm2(0.4, 0.05), finding.Preparation
			u.NearDepth, u.NearArea = u.Depth, u.Area
		}), finding.Undercut, func(f finding.Finding) bool { return f.Action == finding.Note }},
		{"a path with a lean that frees it", with(func(r *R) {
			r.Path = finding.PathFacts{Overlap: mm(0.2, 0.03), Neighbour: 27, Free: &finding.Approach{Tilt: 0.07, From: tooth.Mesial}}
		}), finding.PathBlocked, func(f finding.Finding) bool { return f.Approach != nil && strings.Contains(f.Text+f.Advice, "4°") }},
		{
			"low walls, once", with(func(r *R) { r.WallHeight, r.HeightToBase = mm(3, 0.05), one(0.3, 0.01) }), finding.WallsShort,
			func(f finding.Finding) bool { return f.Measured.V == 3 },
		},
		{"the neighbour open the widest", withCase(func(f *finding.Facts) {
			f.Bite.Support[0].Gap, f.Bite.Support[1].Gap = um(400, 20), um(300, 20)
		}), finding.BiteOpen, func(f finding.Finding) bool { return f.Measured.V == 400 && f.Action == finding.ScanAgain }},
		{"the neighbour that held, though open less", withCase(func(f *finding.Facts) {
			f.Bite.Support[0].Gap, f.Bite.Support[1].Gap, f.Bite.Support[1].Held = um(400, 20), um(300, 20), finding.Yes
		}), finding.BiteOpen, func(f finding.Finding) bool { return f.Measured.V == 300 && f.Action == finding.ScanAgain }},
		{"a front tooth open where too few others meet", withCase(func(f *finding.Facts) {
			f.Bite.Contacts = one(1, 0)
			for i, n := range []tooth.Number{21, 23} {
				f.Bite.Support[i].Gap, f.Bite.Support[i].Tooth = um(300, 20), n
			}
		}), finding.BiteOpen, func(f finding.Finding) bool { return f.Action == finding.ScanAgain }},
		{"a back tooth open where others meet", withCase(func(f *finding.Facts) {
			f.Bite.Contacts = one(9, 0)
			f.Bite.Support[0].Gap, f.Bite.Support[1].Gap = um(300, 20), um(300, 20)
		}), finding.BiteOpen, func(f finding.Finding) bool { return f.Action == finding.ScanAgain }},
	} {
		var got []finding.Finding
		for _, f := range judge(c.facts).Findings {
			if f.Code == c.code {
				got = append(got, f)
			}
		}
		if len(got) != 1 || !c.ok(got[0]) {
			t.Errorf("%s: %d findings %s: %+v", c.name, len(got), c.code, got)
		}
	}
}

// TestWhatRestsOnSurfaceComesFirst: wanting surface on which measures rest, of the preparation
// and of the opposing teeth, decides before the rest of what is wanting.
func TestWhatRestsOnSurfaceComesFirst(t *testing.T) {
	for at, first := range map[finding.Region]bool{
		finding.RegionPreparation: true, finding.RegionOpposing: true, finding.RegionContact: false, finding.RegionTissue: false,
	} {
		j := judge(hole(finding.Patch{Region: at, Tooth: 26, Surface: tooth.Distal, Extent: mm(4, 0.05)}))
		if want := map[bool]int{true: 2, false: 4}[first]; j.Step != want || j.Verdict != finding.ScanAgainNow {
			t.Errorf("%s: %s by step %d, want %d", at, j.Verdict, j.Step, want)
		}
	}
}
