package check

import (
	"math"

	"selvage/coverage"
	"selvage/dentition"
	"selvage/finding"
	"selvage/limit"
	"selvage/measure"
	"selvage/occlusion"
	"selvage/prep"
	"selvage/r3"
	"selvage/tooth"
)

// scanFacts is what is known of one file.
func scanFacts(s *Scan) finding.Scan {
	f := finding.Scan{
		Role: s.Role, File: s.File, Tooth: s.Tooth, Fault: s.Fault,
		UnitsSaid: s.UnitSaid, UnitsUsed: s.Unit.Name, UnitsDoubt: s.UnitDoubt,
	}
	if s.Fault != "" {
		return f
	}
	if !s.Format.Named(s.File) {
		f.TypeSaid, f.TypeFound = s.extension(), s.Format.Container.String()
	}
	if s.NoiseOK {
		f.Noise = measure.Of(s.Noise*1000, 0.3*s.Noise*1000, measure.Micro)
	} else {
		f.Noise = measure.Not("too little even surface, or points too far apart, to tell noise from shape")
	}
	if s.Role != finding.RoleBite { // which shows the cheek's side in patches by its nature
		f.Fragments = s.Crumbs
	}
	f.Doubled, f.Invented = s.Doubled, s.Invented
	f.Mirrored = s.Mirrored
	f.OtherJaw = s.OtherJaw
	f.Outdated = finding.No
	if s.Newer != nil {
		f.Outdated, f.Newer = finding.Yes, s.Newer.File
	}
	return f
}

// facts collects what one restoration's analyses say.
func (r *restoration) facts(c *scanSet) finding.Restoration {
	f := finding.Restoration{Prescription: r.prescription(), Found: r.found()}
	f.AxisMeasured = look(r.axis.OK, r.axisWhy())
	w := &r.wall
	f.ConvergenceMD, f.ConvergenceBL, f.ConvergenceMean = w.Mesiodistal, w.Buccolingual, w.Mean
	f.WallHeight, f.HeightToBase, f.Resistance = w.HeightLeast, w.HeightToBase, w.Resistance
	if w.HeightLeast.Measured() {
		f.WallSurface = r.face(w.HeightLeastAt)
	}
	f.SharpEdge = r.edge.Radius
	u := &r.undercut
	f.Undercut = finding.UndercutFacts{Depth: u.Depth, Area: u.Area, NearDepth: u.NearDepth, NearArea: u.NearArea}
	f.Undercut.Surface = r.sideOf(u.Depth)
	if why := r.sheetOnWall(); why != "" && r.axis.OK {
		f.Undercut = finding.UndercutFacts{Depth: measure.Not(why), Area: measure.Not(why), NearDepth: measure.Not(why), NearArea: measure.Not(why)}
	}
	f.Path = r.pathFacts()
	f.Margin = r.marginFacts(c)
	f.FinishLine = r.finishFacts()
	f.ClearanceLook = look(r.clearanceWhy == "", r.clearanceWhy)
	f.ReductionLook = look(r.reductionWhy == "", r.reductionWhy)
	if r.clearanceWhy == "" {
		f.Clearance, f.Movement = r.rooms(), r.movements()
	}
	if r.reductionWhy == "" {
		f.Reduction = r.reductions()
	}
	f.Coverage = look(r.coverageWhy == "", r.coverageWhy)
	r.coverageFacts(&f)
	return f
}

func look(done bool, why string) finding.Look {
	if done {
		return finding.Looked()
	}
	return finding.NotLooked(why)
}

func (r *restoration) axisWhy() string {
	if r.margin == nil {
		return r.why
	}
	return r.axis.Why
}

func (r *restoration) found() finding.Found {
	f := finding.Found{Why: r.prepared.Why, Answer: finding.No}
	if !r.covered() && !r.seen() {
		f.Answer = finding.Unknown // the search knows crowns; an onlay may look like none
		return f
	}
	switch r.prepared.Sighting {
	case dentition.Seen:
		f.Answer, f.Tooth = finding.Yes, r.number
	case dentition.Elsewhere, dentition.WrongSide:
		f.Sure = true
	}
	return f
}

func (r *restoration) pathFacts() finding.PathFacts {
	f := finding.PathFacts{Overlap: r.path.Overlap, Neighbour: r.prepared.Distally.Number}
	if r.path.Mesial {
		f.Neighbour = r.prepared.Mesially.Number
	}
	if r.path.Tilt > 0 && r.path.Tilt < r.axis.Cone {
		from := tooth.Mesial
		if r.path.Mesial {
			from = tooth.Distal
		}
		f.Free = &finding.Approach{Direction: r.path.Away.Array(), Tilt: r.path.Tilt, From: from}
	}
	return f
}

func (r *restoration) marginFacts(c *scanSet) finding.MarginFacts {
	m := r.margin
	if m == nil {
		return finding.MarginFacts{Look: finding.NotLooked(r.why)}
	}
	f := finding.MarginFacts{Look: finding.Looked(), Closed: true, Length: measure.Of(m.Length(), r.lengthU(), measure.MM)}
	for _, s := range r.stretches() {
		if r.inDoubled(m.Points[s.Middle].At) {
			continue
		}
		f.Stretches = append(f.Stretches, r.stretchFact(c, s))
	}
	f.Spacing = r.spacing
	f.RootBelow, f.Sulcus, f.Rough = r.below.Root, r.below.Sulcus, r.rough
	f.Coloured = r.coloured
	f.RootSide, f.SulcusAt = r.sideOf(f.RootBelow), r.sideOf(f.Sulcus)
	return f
}

// lengthU is the expanded uncertainty, mm, of a length along the margin: the two ends of a
// stretch are known to about a profile and a mesh edge of the scan there each.
func (r *restoration) lengthU() float64 {
	const profile = 0.05
	return math.Sqrt2 * math.Hypot(profile, r.prep.Spacing)
}

// joinStretches is the length of sound margin, in mm, under which two doubtful
// stretches are one place to scan again.
const joinStretches = 0.3

// stretches lists the doubtful stretches of the margin in order along it.
func (r *restoration) stretches() []prep.Stretch {
	s := r.margin.Stretches(prep.NotCaptured, joinStretches)
	return append(s, r.margin.Stretches(prep.Unclear, joinStretches)...)
}

func (r *restoration) stretchFact(c *scanSet, s prep.Stretch) finding.Stretch {
	m := r.margin
	mid := m.Points[s.Middle]
	out := finding.Stretch{State: finding.Unclear, Surface: r.surface(mid.At), LineAngle: r.touchesLineAngle(s)}
	if s.State == prep.NotCaptured {
		out.State = finding.NotCaptured
	}
	out.Tries = r.tries(s)
	normal := r.prep.Toward(mid.Azimuth)
	out.Length = measure.Of(s.Length, math.Hypot(r.lengthU(), m.AtLimit(s)), measure.MM).At(measure.Place{At: mid.At, Normal: normal, Scan: r.prep.Scan})
	if c.quick {
		return out
	}
	pts, nrm := r.wanting(s)
	out.Approach = approach(coverage.FindApproach(r.coverageInput(c), pts, nrm))
	return out
}

// wanting lists what has to be seen of a stretch, with the outward directions: the line
// and the root needed below it where the scan does not hold them. Where it holds both and
// only ends too near to them, the root; where tissue lies over the line, all.
func (r *restoration) wanting(s prep.Stretch) (pts, nrm []r3.Vec) {
	m := r.margin
	var roots, toward []r3.Vec
	for k, n := s.From, len(m.Points); ; k = (k + 1) % n {
		if k%4 == 0 || k == s.From {
			out := r.prep.Toward(m.Points[k].Azimuth)
			root := m.Points[k].At.AddScaled(-rootNeeded, r.direction())
			roots, toward = append(roots, root), append(toward, out)
			for _, p := range [2]r3.Vec{m.Points[k].At, root} {
				if s.State == prep.Unclear || !r.shows(p) {
					pts, nrm = append(pts, p), append(nrm, out)
				}
			}
		}
		if k == s.To {
			break
		}
	}
	if len(pts) == 0 {
		return roots, toward
	}
	return pts, nrm
}

// onScan is how near to the scan, mm, a place is shown: the root below the margin leans
// in by as much over rootNeeded.
const onScan = 0.1

// shows reports whether the scan that the margin was traced on holds a place. Of a
// stretch whose line is held and whose root is not, the root is what has to be seen.
func (r *restoration) shows(p r3.Vec) bool {
	_, ok := r.source.Tree.Nearest(p, onScan)
	return ok
}

// rootNeeded is how much of the root below the margin, mm, is needed with it.
const rootNeeded = 0.2

// touchesLineAngle reports whether a stretch reaches one of the four corners.
func (r *restoration) touchesLineAngle(s prep.Stretch) bool {
	n := len(r.margin.Points)
	for k := s.From; ; k = (k + 1) % n {
		if r.surface(r.margin.Points[k].At).Corner() {
			return true
		}
		if k == s.To {
			return false
		}
	}
}

func (r *restoration) finishFacts() finding.FinishLineFacts {
	if r.margin == nil {
		return finding.FinishLineFacts{Why: r.why}
	}
	f := finding.FinishLineFacts{
		Kind: limit.FinishLine(r.finish.Kind), Why: r.finish.KindWhy,
		WidthMin: r.finish.WidthLeast, WidthMedian: r.finish.WidthMedian,
	}
	f.Surface = r.sideOf(r.finish.WidthLeast)
	return f
}

// zoneOf translates the zones of clearance into those of the limit table.
func (r *restoration) zoneOf(z occlusion.Zone) limit.Zone {
	front := r.number.Front()
	switch {
	case front && z == occlusion.Functional:
		return limit.LingualFront
	case front:
		return limit.Incisal
	case z == occlusion.Functional:
		return limit.Functional
	case z == occlusion.NonFunctional:
		return limit.NonFunctional
	default:
		return limit.Fossa
	}
}

func (r *restoration) rooms() []finding.Room {
	var out []finding.Room
	for z, c := range r.clearance.Zones {
		if !c.PatchMin.Measured() {
			continue
		}
		room := finding.Room{Zone: r.zoneOf(occlusion.Zone(z)), Least: c.Min, Patch: c.PatchMin}
		room.Surface = r.cuspOf(c.PatchMin)
		out = append(out, room)
	}
	return out
}

// sideOf names the side on which a value was found.
func (r *restoration) sideOf(v measure.Value) tooth.Surface {
	if v.Place == nil {
		return ""
	}
	return r.surface(v.Place.At)
}

// cuspOf names the side of the tooth on which a value was found, occlusal where it
// lies within a millimetre of the axis.
func (r *restoration) cuspOf(v measure.Value) tooth.Surface {
	if v.Place == nil {
		return ""
	}
	const middle = 1.0
	d := v.Place.At.Sub(r.margin.Centroid()).Reject(r.direction())
	if d.Norm() < middle {
		return tooth.Occlusal
	}
	return tooth.SectorOf(d.Dot(r.prep.Mesial), d.Dot(r.prep.Buccal))
}

func (r *restoration) reductions() []finding.Room {
	var out []finding.Room
	add := func(z limit.Zone, point, patch measure.Value) {
		if patch.Measured() {
			out = append(out, finding.Room{Zone: z, Least: point, Patch: patch, Surface: r.cuspOf(patch)})
		}
	}
	occl := limit.Zone(limit.Fossa)
	if r.number.Front() {
		occl = limit.Incisal
	}
	add(occl, r.reduction.OcclusalPoint, r.reduction.OcclusalMin)
	add(limit.Axial, r.reduction.AxialPoint, r.reduction.AxialMin)
	if !r.number.Front() {
		add(limit.Functional, r.reduction.Functional, r.reduction.Functional)
	}
	return out
}
