// Package mill knows what speaks against cutting a block for a crown now: room for its
// material, a finish line that cannot be milled, edges that the tool is too round for, an
// undercut, a margin with gaps, a block that is too small.
//
// It rests on the report of a check and measures nothing. Whatever matters and was not
// measured stops, too: a block is cut once.
package mill

import (
	"math"
	"slices"

	"selvage/internal/casefile"
	"selvage/limit"
	"selvage/r3"
	"selvage/tooth"
)

// Code is what speaks against cutting.
type Code string

// The codes.
const (
	NotMade     Code = "material" // this material is not cut from a block in a practice
	NotSaid     Code = "material-unsaid"
	NoLimit     Code = "no-limit"     // the table of limits does not say what this material needs
	Unsuited    Code = "finish-line"  // an edge without bulk chips where it is milled
	Mixed       Code = "finish-mixed" // the finish line changes its form around the tooth
	EdgeThin    Code = "edge"         // the finish line is narrower than the material needs
	RoomShort   Code = "room"         // there is too little room for the material
	ToolCuts    Code = "tool"         // the tool is too round for an edge, and cuts into the crown
	Undercut    Code = "undercut"     // the crown would not go on
	MarginOpen  Code = "margin"       // the margin has gaps
	NotMeasured Code = "not-measured" // nobody knows
	BlockUnsaid Code = "block-unsaid" // nobody said which block
	BlockSmall  Code = "block"        // the block is smaller than what has to come out of it
	BlockUsual  Code = "block-usual"  // it is smaller than the usual tooth of this number
)

// Codes lists the codes.
func Codes() []Code {
	return []Code{NotMade, NotSaid, NoLimit, Unsuited, Mixed, EdgeThin, RoomShort, ToolCuts, Undercut, MarginOpen, NotMeasured, BlockUnsaid, BlockSmall, BlockUsual}
}

// Doubt is one thing that speaks against cutting.
type Doubt struct {
	Code  Code    `json:"code"`
	Stops bool    `json:"stops,omitempty"` // it needs a name and a reason; else it is worth a word
	What  string  `json:"what,omitempty"`  // the name in a report of what was not measured, or has no limit
	Is    float64 `json:"is,omitempty"`    // mm
	U     float64 `json:"u,omitempty"`     // expanded uncertainty of it, k = 2, mm
	Need  float64 `json:"need,omitempty"`  // mm
}

// Block is what is to be cut: its three sides in mm, in any order.
type Block [3]float64

// Said reports whether a block was named.
func (b Block) Said() bool { return b[0] > 0 && b[1] > 0 && b[2] > 0 }

// cutFrom are the materials that a practice cuts from blocks. Metals are cast or milled in
// workshops, and layers are fired on.
var cutFrom = []limit.Material{
	limit.Zirconia3Y, limit.Zirconia4Y, limit.Zirconia5Y, limit.LithiumDisilicate, limit.Leucite, limit.ResinComposite, limit.PMMAProvisional,
}

// Doubts lists what speaks against cutting a block for a restoration, what stops first. rep
// is what the check measured.
func Doubts(t limit.Table, order casefile.Restoration, rep casefile.RestorationReport, b Block) []Doubt {
	k := look{t: t, order: order, m: rep.Measures, class: string(order.Tooth.Number().Class())}
	switch {
	case order.Material == "":
		k.add(Doubt{Code: NotSaid, Stops: true})
	case !slices.Contains(cutFrom, order.Material):
		k.add(Doubt{Code: NotMade, Stops: true})
	}
	k.margin()
	k.finishLine()
	k.room()
	k.tool()
	k.undercut()
	k.block(b)
	slices.SortStableFunc(k.out, func(a, b Doubt) int { return weight(a) - weight(b) })
	return k.out
}

func weight(d Doubt) int {
	if d.Stops {
		return 0
	}
	return 1
}

// Stopped reports whether a doubt needs a name and a reason.
func Stopped(all []Doubt) bool {
	return slices.ContainsFunc(all, func(d Doubt) bool { return d.Stops })
}

type look struct {
	t     limit.Table
	order casefile.Restoration
	m     casefile.Measures
	class string
	out   []Doubt
}

func (k *look) add(d Doubt) { k.out = append(k.out, d) }

func (k *look) unknown(what string) { k.add(Doubt{Code: NotMeasured, Stops: true, What: what}) }

// unlimited adds that a measure can be held against nothing. Where nobody said which
// material it is, that says it.
func (k *look) unlimited(what string) {
	if k.order.Material != "" {
		k.add(Doubt{Code: NoLimit, Stops: true, What: what})
	}
}

// below adds a doubt where a measure is below a need: proven it stops, too close to call it
// is worth a word.
func (k *look) below(c Code, is, u, need float64) {
	if is < need+u {
		k.add(Doubt{Code: c, Stops: is+u < need, Is: is, U: u, Need: need})
	}
}

func (k *look) margin() {
	g := k.m.Margin
	if g.Not != "" || len(g.Points) == 0 {
		k.unknown("margin")
		return
	}
	gap, _ := k.t.Find(limit.MarginNotCaptured, limit.Selector{})
	if open := g.UnclearMM + g.NotCapturedMM; !g.Closed || open-g.U > gap.Flag.V {
		k.add(Doubt{Code: MarginOpen, Stops: true, Is: open, U: g.U, Need: gap.Flag.V})
	}
}

// finishLine holds the form of the edge and its width against what can be milled.
func (k *look) finishLine() {
	f := k.m.FinishLine
	switch {
	case f.Not != "" || f.Kind == "":
		k.unknown("finish_line")
		return
	case f.Kind == limit.KnifeEdge || k.order.FinishLine == limit.KnifeEdge:
		k.add(Doubt{Code: Unsuited, Stops: true})
	case f.Kind == limit.Mixed:
		k.add(Doubt{Code: Mixed})
	}
	need, ok := k.t.Minimum(limit.Selector{Material: k.order.Material, Cement: k.order.Cement, Zone: limit.Edge, Class: k.class})
	switch {
	case !ok:
		k.unlimited("finish_line")
	case need.Flag.Set: // some are only advised
		k.below(EdgeThin, f.WidthMinMM, f.U, need.Flag.V)
	}
}

// room holds the room over the tooth against what the material needs there, with cement.
func (k *look) room() {
	for _, z := range []struct {
		zone limit.Zone
		m    casefile.Measure
		name string
	}{
		{limit.NonFunctional, k.m.ClearancePatch, "clearance_patch_min_mm"},
		{limit.Functional, k.m.ClearanceFunc, "clearance_functional_min_mm"},
	} {
		need, ok := k.t.Clearance(limit.Selector{Material: k.order.Material, Cement: k.order.Cement, Zone: z.zone, Class: k.class})
		switch {
		case z.m.Measured() && ok:
			k.below(RoomShort, z.m.Value, z.m.U, need.Flag.V)
		case !z.m.Measured():
			k.unknown(z.name)
		default:
			k.unlimited(z.name)
		}
	}
}

// sameSpot is how near to each other two places are one, mm.
const sameSpot = 1.0

// tool holds what is left of the crown where the tool has to cut into it against the least
// thickness. WHY it stops only at one spot: the least room elsewhere is not the crown's
// thickness at that edge.
func (k *look) tool() {
	cut, room := k.m.ToolThins, k.m.ClearancePatch
	if !cut.Measured() {
		k.unknown("tool_thins_max_mm")
		return
	}
	need, ok := k.t.Minimum(limit.Selector{Material: k.order.Material, Cement: k.order.Cement, Zone: limit.NonFunctional, Class: k.class})
	if cut.Value <= cut.U || !ok || !room.Measured() {
		return
	}
	left, u := room.Value-k.t.Setting(limit.CementSpace)-cut.Value, math.Hypot(room.U, cut.U)
	if left >= need.Flag.V+u {
		return
	}
	k.add(Doubt{Code: ToolCuts, Stops: left+u < need.Flag.V && near(cut.At, room.At), Is: left, U: u, Need: need.Flag.V})
}

func near(a, b *[3]float64) bool {
	if a == nil || b == nil {
		return false
	}
	return vec(*a).Dist(vec(*b)) <= sameSpot
}

func (k *look) undercut() {
	d := k.m.UndercutDepth
	if !d.Measured() {
		k.unknown("undercut_depth_max_mm")
		return
	}
	most, ok := k.t.Find(limit.UndercutDepth, limit.Selector{})
	switch {
	case !ok:
		k.unlimited("undercut_depth_max_mm")
	case d.Value+d.U > most.Flag.V:
		k.add(Doubt{Code: Undercut, Stops: d.Value-d.U > most.Flag.V, Is: d.Value, U: d.U, Need: most.Flag.V})
	}
}

// block holds the block against what has to come out of it: at the least the outline of the
// margin, as wide as it is, with the height of the walls and the room above them; as a rule
// the usual tooth of its number, on which no refusal may rest. Where the walls were not
// measured the outline is held against it all the same.
func (k *look) block(b Block) {
	if !b.Said() {
		k.add(Doubt{Code: BlockUnsaid, Stops: true})
		return
	}
	least, high, ok := k.least()
	if !ok && len(k.m.Margin.Points) > 0 { // else that is said of the margin
		k.unknown("insertion_axis")
	}
	if is, need, short := b.short(k.blank(least)); short {
		k.add(Doubt{Code: BlockSmall, Stops: true, Is: is, Need: need})
		return
	}
	if !high {
		k.unknown("wall_height_min_mm")
	}
	usual, ok := tooth.Dimensions(k.order.Tooth.Number())
	if !ok {
		return
	}
	if is, need, short := b.short(k.blank(Block{usual.Height, usual.MD, usual.BL})); short {
		k.add(Doubt{Code: BlockUsual, Is: is, Need: need})
	}
}

// blank is the block that a crown of a size is cut from: enlarged by as much as its material
// shrinks when it is sintered, with a border on every side.
func (k *look) blank(crown Block) Block {
	scale := 1.0
	if r, ok := k.t.Find(limit.MillEnlargement, limit.Selector{Material: k.order.Material}); ok {
		scale = r.Flag.V
	}
	for i := range crown {
		crown[i] = crown[i]*scale + 2*k.t.Setting(limit.MillBorder)
	}
	return crown
}

// short reports whether another block does not fit into b, whichever way round, and returns
// the side that lacks most, with what it would have to be, mm.
func (b Block) short(o Block) (is, need float64, short bool) {
	slices.Sort(b[:])
	slices.Sort(o[:])
	for i := range b {
		if lacks := o[i] - b[i]; lacks > 0 && lacks > need-is {
			is, need, short = b[i], o[i], true
		}
	}
	return is, need, short
}

// least is the size that the crown has at the least: the outline of the margin across the
// insertion axis, and along it the lowest wall with the least room above it. ok is false
// where the outline is not known, high where the walls are not; what is not known counts as
// nothing.
func (k *look) least() (crown Block, high, ok bool) {
	h, room := k.m.WallHeightMin, k.m.ClearancePatch
	if high = h.Measured(); high {
		crown[2] = math.Max(0, h.Value-h.U)
	}
	if room.Measured() { // else that is said of the room
		crown[2] += math.Max(0, room.Value-room.U)
	}
	g, a := k.m.Margin, k.m.InsertionAxis
	if len(g.Points) < 3 || a.Not != "" || a.Value == ([3]float64{}) {
		return crown, high, false
	}
	crown[0], crown[1] = outline(g.Points, vec(a.Value))
	return crown, high, true
}

// outline returns the least width of the points across an axis over all directions, and
// the width at a right angle to it, mm. Directions are tried in steps of one degree.
func outline(points [][3]float64, axis r3.Vec) (wide, narrow float64) {
	u, v := axis.Basis()
	narrow = math.Inf(1)
	const steps = 180
	widths := make([]float64, steps)
	for i := range widths {
		sin, cos := math.Sincos(math.Pi * float64(i) / steps)
		d := u.Scale(cos).AddScaled(sin, v)
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range points {
			s := vec(p).Dot(d)
			low, high = min(low, s), max(high, s)
		}
		widths[i] = high - low
	}
	for i, w := range widths {
		if w < narrow {
			narrow, wide = w, widths[(i+steps/2)%steps]
		}
	}
	return wide, narrow
}

func vec(a [3]float64) r3.Vec { return r3.V(a[0], a[1], a[2]) }
