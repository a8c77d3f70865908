package mill_test

import (
	"math"
	"slices"
	"testing"

	"selvage/internal/casefile"
	"selvage/internal/mill"
	"selvage/limit"
	"selvage/measure"
	"selvage/tooth"
)

func mm(v, u float64) casefile.Measure { return casefile.Of(measure.Of(v, u, measure.MM)) }

func at(m casefile.Measure, x float64) casefile.Measure {
	m.At = &[3]float64{x, 0, 0}
	return m
}

// sound is a molar against which nothing speaks, and a block that is large enough. Its
// margin is an ellipse of 8 by 10 mm, turned by thirty degrees.
func sound() (casefile.Restoration, casefile.RestorationReport, mill.Block) {
	o := casefile.Restoration{
		Tooth: casefile.CodeOf(26), Kind: casefile.Crown, Material: limit.LithiumDisilicate, Cement: limit.Adhesive,
		FinishLine: limit.HeavyChamfer, MadeBy: casefile.InHouse,
	}
	var margin [][3]float64
	for i := range 72 {
		sin, cos := math.Sincos(math.Pi * float64(i) / 36)
		x, y := 5*cos, 4*sin
		margin = append(margin, [3]float64{x*0.8660254 - y*0.5, x*0.5 + y*0.8660254, 0.3 * cos})
	}
	return o, casefile.RestorationReport{Measures: casefile.Measures{
		InsertionAxis:  casefile.AxisMeasure{Value: [3]float64{0, 0, 1}},
		Margin:         casefile.Margin{Closed: true, LengthMM: 28, Points: margin},
		FinishLine:     casefile.FinishLine{Kind: limit.HeavyChamfer, WidthMinMM: 1.3, WidthMedianMM: 1.4, U: 0.05},
		WallHeightMin:  mm(4, 0.1),
		ClearancePatch: at(mm(2.4, 0.1), 0),
		ClearanceFunc:  mm(2.6, 0.1),
		ToolThins:      at(mm(0, 0.02), 0),
		UndercutDepth:  mm(0, 0.02),
	}}, mill.Block{18, 14, 12}
}

func TestNothingSpeaksAgainstASoundCase(t *testing.T) {
	o, rep, b := sound()
	if all := mill.Doubts(limit.Default(), o, rep, b); len(all) > 0 {
		t.Errorf("doubts: %+v", all)
	}
}

// TestDoubts spoils one thing at a time.
func TestDoubts(t *testing.T) {
	type edit func(*casefile.Restoration, *casefile.Measures, *mill.Block)
	for _, tt := range []struct {
		name  string
		spoil edit
		want  mill.Code
		stops bool
	}{
		{"cast metal", func(o *casefile.Restoration, _ *casefile.Measures, _ *mill.Block) { o.Material = limit.NobleAlloy }, mill.NotMade, true},
		{"knife edge measured", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) {
			m.FinishLine.Kind = limit.KnifeEdge
		}, mill.Unsuited, true},
		{"knife edge meant", func(o *casefile.Restoration, _ *casefile.Measures, _ *mill.Block) { o.FinishLine = limit.KnifeEdge }, mill.Unsuited, true},
		{"mixed", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) { m.FinishLine.Kind = limit.Mixed }, mill.Mixed, false},
		{"narrow finish line", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) { m.FinishLine.WidthMinMM = 0.4 }, mill.EdgeThin, true},
		{"little room", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) {
			m.ClearancePatch = at(mm(0.8, 0.1), 0)
		}, mill.RoomShort, true},
		{"little room at the holding cusp", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) { m.ClearanceFunc = mm(0.8, 0.1) }, mill.RoomShort, true},
		{"room not measured", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) {
			m.ClearancePatch = casefile.NotMeasured("no opposing scan")
		}, mill.NotMeasured, true},
		{"room at the holding cusp not measured", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) {
			m.ClearanceFunc = casefile.NotMeasured("no opposing scan")
		}, mill.NotMeasured, true},
		{"the tool thins the thinnest spot", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) {
			m.ToolThins = at(mm(1.5, 0.05), 0.5)
		}, mill.ToolCuts, true},
		{"the tool cuts elsewhere", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) {
			m.ToolThins = at(mm(1.5, 0.05), 5)
		}, mill.ToolCuts, false},
		{"edges not measured", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) {
			m.ToolThins = casefile.NotMeasured("no margin")
		}, mill.NotMeasured, true},
		{"undercut", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) { m.UndercutDepth = mm(0.4, 0.02) }, mill.Undercut, true},
		{"undercut too close to call", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) {
			row, _ := limit.Default().Find(limit.UndercutDepth, limit.Selector{})
			m.UndercutDepth = mm(row.Flag.V-0.01, 0.02)
		}, mill.Undercut, false},
		{"undercut not measured", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) {
			m.UndercutDepth = casefile.NotMeasured("no axis")
		}, mill.NotMeasured, true},
		{"a gap in the margin", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) { m.Margin.NotCapturedMM = 2 }, mill.MarginOpen, true},
		{"no margin", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) {
			m.Margin = casefile.Margin{Not: "no tooth"}
		}, mill.NotMeasured, true},
		{"no block", func(_ *casefile.Restoration, _ *casefile.Measures, b *mill.Block) { *b = mill.Block{} }, mill.BlockUnsaid, true},
		// The margin alone is 8 by 10 mm, with half a millimetre on every side.
		{"nobody said what it is made of", func(o *casefile.Restoration, _ *casefile.Measures, _ *mill.Block) { o.Material = "" }, mill.NotSaid, true},
		{"walls not measured", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) {
			m.WallHeightMin = casefile.NotMeasured("no margin")
		}, mill.NotMeasured, true},
		{"walls not measured, and a block that the outline does not fit", func(_ *casefile.Restoration, m *casefile.Measures, b *mill.Block) {
			m.WallHeightMin = casefile.NotMeasured("no margin")
			*b = mill.Block{18, 8.9, 8.8}
		}, mill.BlockSmall, true},
		{"no axis", func(_ *casefile.Restoration, m *casefile.Measures, _ *mill.Block) {
			m.InsertionAxis = casefile.AxisMeasure{Not: "no walls"}
		}, mill.NotMeasured, true},
		{"a small block", func(_ *casefile.Restoration, _ *casefile.Measures, b *mill.Block) { *b = mill.Block{18, 8.9, 8} }, mill.BlockSmall, true},
		{"a block for a smaller tooth", func(_ *casefile.Restoration, _ *casefile.Measures, b *mill.Block) { *b = mill.Block{11.5, 11.2, 8} }, mill.BlockUsual, false},
	} {
		o, rep, b := sound()
		tt.spoil(&o, &rep.Measures, &b)
		all := mill.Doubts(limit.Default(), o, rep, b)
		i := slices.IndexFunc(all, func(d mill.Doubt) bool { return d.Code == tt.want })
		if i < 0 || all[i].Stops != tt.stops || mill.Stopped(all) != tt.stops {
			t.Errorf("%s: doubts %+v, want %s (stops: %v)", tt.name, all, tt.want, tt.stops)
		}
	}
}

// TestTooCloseToCall: nearer to the need than the uncertainty is worth a word and stops nothing.
func TestTooCloseToCall(t *testing.T) {
	table := limit.Default()
	o, rep, b := sound()
	need, ok := table.Clearance(limit.Selector{Material: o.Material, Cement: o.Cement, Zone: limit.NonFunctional, Class: "molar"})
	if !ok {
		t.Fatal("no limit")
	}
	for _, tt := range []struct {
		off         float64
		doubt, stop bool
	}{{-0.11, true, true}, {-0.09, true, false}, {0.09, true, false}, {0.11, false, false}} {
		rep.Measures.ClearancePatch = mm(need.Flag.V+tt.off, 0.1)
		all := mill.Doubts(table, o, rep, b)
		if len(all) > 0 != tt.doubt || mill.Stopped(all) != tt.stop {
			t.Errorf("%+.2f mm of the need: %+v", tt.off, all)
		}
	}
}

// TestZirconiaIsCutLarger: a blank that holds the crown of one material does not hold that of
// another, which shrinks.
func TestZirconiaIsCutLarger(t *testing.T) {
	o, rep, _ := sound()
	b := mill.Block{14, 12, 10}
	if all := mill.Doubts(limit.Default(), o, rep, b); len(all) > 0 {
		t.Errorf("lithium disilicate: %+v", all)
	}
	o.Material = limit.Zirconia3Y
	all := mill.Doubts(limit.Default(), o, rep, b)
	if len(all) != 1 || all[0].Code != mill.BlockSmall && all[0].Code != mill.BlockUsual {
		t.Errorf("zirconia: %+v", all)
	}
}

// TestTheSideThatIsShort: the numbers of a doubt are those of a side that is short, whichever
// way round the block is named.
func TestTheSideThatIsShort(t *testing.T) {
	for _, b := range []mill.Block{{18, 8.7, 12}, {8.7, 12, 18}, {12, 18, 8.7}} {
		o, rep, _ := sound()
		rep.Measures.WallHeightMin = mm(9.1, 0.1) // as high as wide, and wider than the block is thick
		all := mill.Doubts(limit.Default(), o, rep, b)
		if len(all) != 1 || all[0].Code != mill.BlockSmall || all[0].Is != 8.7 || all[0].Need < 8.9 || all[0].Need > 9.1 {
			t.Errorf("block %v: %+v; want 8.7 mm, needed 9 mm", b, all)
		}
	}
}

// TestEveryMaterialHasItsLimits: what is cut from blocks is held against a need everywhere,
// and where a table has none that is said rather than passed over.
func TestEveryMaterialHasItsLimits(t *testing.T) {
	for _, m := range limit.Materials() {
		for _, tooth := range []tooth.Number{11, 14, 26} {
			o, rep, b := sound()
			o.Material, o.Tooth = m, casefile.CodeOf(tooth)
			for _, d := range mill.Doubts(limit.Default(), o, rep, b) {
				if d.Code == mill.NoLimit {
					t.Errorf("%s on %d: %+v", m, tooth, d)
				}
			}
		}
	}
	o, rep, b := sound()
	var of []string
	for _, d := range mill.Doubts(limit.Table{}, o, rep, b) { // no rows
		if d.Code == mill.NoLimit && d.Stops {
			of = append(of, d.What)
		}
	}
	if want := []string{"finish_line", "clearance_patch_min_mm", "clearance_functional_min_mm", "undercut_depth_max_mm"}; !slices.Equal(of, want) {
		t.Errorf("no limit is known of %v, want %v", of, want)
	}
}
