package phantom

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"selvage/phantom/solid"
	"selvage/phantom/stump"
	"selvage/r3"
	"selvage/tooth"
)

func converge(s *Spec, v float64) {
	s.Stump.ConvergenceMD, s.Stump.ConvergenceBL = v*math.Pi/180, v*math.Pi/180
}

func narrowShelf(s *Spec, v float64) {
	s.Stump.FinishWidth = v
	if s.Stump.FinishLine != KnifeEdge {
		s.Stump.FinishLine = Chamfer
	}
}

func sampleCoarsely(s *Spec, v float64) {
	s.Scanner.Fine, s.Scanner.Coarse = v, math.Max(v, s.Scanner.Coarse)
}

func narrowSulcus(s *Spec, v float64) { s.Sulcus.Width = v }

func addNoise(s *Spec, v float64) { s.Scanner.Noise = v }

func sharpen(s *Spec, v float64) { s.Stump.LineAngle = v }

func shallowSulcus(s *Spec, v float64) { s.Sulcus.Depth = v }

func wantColour(s *Spec, _ float64) { s.Colour = true }

// roughMargin gives the margin waves of about v µm RMS against its own 1 mm mean. A wave
// of amplitude A has A/√2; the mean, of about a wave's length, follows a little.
func roughMargin(s *Spec, v float64) { s.Stump.Ripple = v / 1000 * 2.2 }

// reduceLess leaves about v mm of room under the old surface at its tightest. Along the
// normal and in the groove, which a bur rounds, it is some 0.4 mm less than along the
// axis at the cusps.
func reduceLess(s *Spec, v float64) { s.Stump.OcclusalReduction = v + 0.4 }

// shortenArch leaves the teeth in front of the neighbour out. That is an arch too short
// where it then ends before the canine of the quadrant or, for a front tooth, before its
// twin: beside a first premolar the canine stands itself, and beside a central incisor
// its twin.
func shortenArch(b *build, _ float64) error {
	n := b.w.spec.Tooth
	canine, _ := tooth.New(10*n.Quadrant() + 3)
	need := map[tooth.Number]bool{canine: true}
	if n.Front() {
		need[n.OtherSide()] = true
	}
	teeth := b.w.working.Teeth
	at := slices.Index(teeth, b.w.prepared)
	first, last := max(at-1, 0), min(at+1, len(teeth)-1)
	for _, t := range teeth[first : last+1] {
		delete(need, t.Form.Number)
	}
	if len(need) == 0 {
		return fmt.Errorf("phantom: an arch of tooth %v and its neighbours is long enough", n)
	}
	b.w.first, b.w.last = first, last
	return nil
}

// recut cuts the prepared tooth anew.
func (w *world) recut() { w.stump = stump.New(w.prepared, w.spec.Stump) }

// shortenWalls cuts the top down until the lowest wall is v mm high.
func shortenWalls(b *build, v float64) error {
	for range 6 {
		d, err := stump.NewSections(b.w.stump)
		if err != nil {
			return err
		}
		off := Quarters(d.Heights()).Min() - v
		if math.IsNaN(off) {
			return fmt.Errorf("phantom: no wall to shorten to %.2f mm", v)
		}
		if math.Abs(off) < 0.005 {
			return nil
		}
		b.w.spec.Stump.OcclusalReduction += off
		b.w.recut()
	}
	return nil
}

// lowerClearance raises the top until the least clearance is v mm.
func lowerClearance(b *build, v float64) error {
	for range 8 {
		have, ok := b.w.leastClearance()
		if !ok {
			return fmt.Errorf("phantom: tooth %v has no opposing tooth to set a clearance of %.2f mm to", b.spec.Tooth, v)
		}
		if math.Abs(have-v) < 0.002 {
			return nil
		}
		b.w.spec.Stump.OcclusalReduction -= have - v
		b.w.recut()
	}
	return nil
}

// leastClearance returns the exact least distance from the top of the stump to the
// opposing teeth: the best of a raster of starts, walked to the closest pair.
func (w *world) leastClearance() (float64, bool) {
	opposing := w.opposingScene()
	f := &w.prepared.Form
	type start struct {
		p r3.Vec
		d float64
	}
	var starts []start
	const n = 25
	for i := range n * n {
		x := f.Width / 2 * (2*float64(i%n)/(n-1) - 1)
		y := f.Depth / 2 * (2*float64(i/n)/(n-1) - 1)
		z, _, _ := f.Relief.Height(x, y)
		q, ok := solid.Project(w.stump.Local, r3.V(x, y, z-w.spec.Stump.OcclusalReduction), 4)
		if !ok || q.Z < w.spec.Stump.MarginHeight+1.5 {
			continue
		}
		p := w.prepared.Mouth.Point(q)
		starts = append(starts, start{p, opposing.At(p).D})
	}
	if len(starts) == 0 {
		return 0, false
	}
	sort.SliceStable(starts, func(i, j int) bool { return starts[i].d < starts[j].d })
	least := math.Inf(1)
	for _, s := range starts[:min(len(starts), 12)] {
		q, ok := solid.Project(opposing.At, s.p, 8)
		if !ok {
			continue
		}
		_, _, d := refine(w.stump.Field, opposing.At, s.p, q, nil)
		least = min(least, d)
	}
	return least, !math.IsInf(least, 1)
}

// hollowWall grinds a dent with an undercut of depth v mm into one wall.
func hollowWall(b *build, v float64) error {
	side := b.side()
	d, err := stump.NewSections(b.w.stump)
	if err != nil {
		return err
	}
	h := d.Heights()
	height := [4]float64{h.Mesial, h.Buccal, h.Distal, h.Lingual}[side]
	if math.IsNaN(height) || height < 2 {
		return fmt.Errorf("phantom: the wall is too low for an undercut")
	}
	shelf := b.spec.Stump.FinishWidth * 0.6
	dent := stump.Dent{
		Nu: float64(side) * math.Pi / 2, HalfNu: 0.5,
		Z: shelf + (height-shelf)*0.5, HalfZ: math.Min(1.3, (height-shelf)*0.42),
		Depth: v,
	}
	for range 12 {
		try := b.w.stump.Sound()
		try.Hollow(dent)
		deep, _, _ := try.Undercut()
		if math.Abs(deep-v) < 1e-4 {
			break
		}
		dent.Depth += v - deep
	}
	b.w.stump.Hollow(dent)
	return nil
}

// side picks one of the four surfaces: 0 mesial, 1 buccal, 2 distal, 3 lingual.
func (b *build) side() int { return b.rng.IntN(4) }

// coverMargin lays tissue over v mm of the margin.
func coverMargin(b *build, v float64) error {
	mid, half, err := b.arc(v)
	if err != nil {
		return err
	}
	b.w.cover = func(phi float64) (f, df float64) {
		x := math.Abs(math.Remainder(phi-mid, 2*math.Pi))
		const edge = 0.12 // radians over which the tissue ends
		t := (half + edge - x) / edge
		switch {
		case t >= 1:
			return 1, 0
		case t <= 0:
			return 0, 0
		}
		df = 6 * t * (1 - t) / edge
		if math.Remainder(phi-mid, 2*math.Pi) > 0 {
			df = -df
		}
		return t * t * (3 - 2*t), df
	}
	b.buried = func(p r3.Vec) bool { return b.w.tissueNow.At(p).D < buriedWithin }
	return nil
}

// buriedWithin is how near to the surface of the tissue the margin counts as hidden,
// mm: no convex turn is left there at the spacing of a scan.
const buriedWithin = 0.05

// arc picks an arc of v mm of the margin: its middle and half its azimuth.
func (b *build) arc(v float64) (mid, half float64, err error) {
	mid = b.rng.Float64() * 2 * math.Pi
	p, err := b.w.stump.MarginAt(mid)
	if err != nil {
		return 0, 0, err
	}
	return mid, v / 2 / math.Hypot(p.X, p.Y), nil
}

// openBite holds the jaws v mm apart while opposing jaw and bite are scanned.
func openBite(b *build, v float64) error {
	b.opened = r3.V(0, 0, v)
	return nil
}

// sinkBite lets the jaws pass v mm into each other.
func sinkBite(b *build, v float64) error {
	b.opened = r3.V(0, 0, -v)
	return nil
}

// loseResistance widens and lowers the walls until no more than the share v of a wall
// holds the crown, under a conventional cement.
func loseResistance(b *build, v float64) error {
	s := &b.w.spec.Stump
	b.spec.Cement, b.order.Cement = "conventional", "conventional"
	b.spec.Material, b.order.Material = "zirconia-3y", "zirconia-3y"
	for range 30 {
		b.w.recut()
		d, err := stump.NewSections(b.w.stump)
		if err != nil {
			return err
		}
		if d.Resistance() <= v {
			return nil
		}
		s.ConvergenceMD += 0.03
		s.ConvergenceBL += 0.03
		if s.OcclusalReduction < 3 {
			s.OcclusalReduction += 0.12
		}
	}
	return fmt.Errorf("phantom: tooth %v keeps resistance", b.spec.Tooth)
}

// neighbour picks one of the teeth beside the prepared one.
func (b *build) neighbour() (contact, error) {
	c := b.w.contacts()
	if len(c) == 0 {
		return contact{}, fmt.Errorf("phantom: tooth %v has no neighbour", b.spec.Tooth)
	}
	return c[b.rng.IntN(len(c))], nil
}

// driftNeighbour moves a neighbour towards the tooth until the margin is v mm away.
func driftNeighbour(b *build, v float64) error {
	c, err := b.neighbour()
	if err != nil {
		return err
	}
	var margin []Point
	for a := 0.0; a < 360; a += 2 {
		p, err := b.w.stump.MarginAt(a * math.Pi / 180)
		if err != nil {
			return err
		}
		margin = append(margin, pointOf(b.w.prepared.Mouth.Point(p)))
	}
	to := b.w.prepared.Center().Sub(c.neighbour.Center()).Reject(r3.V(0, 0, 1)).UnitOr(r3.V(1, 0, 0))
	b.w.stirred = true
	for range 20 {
		off := b.w.gap(c.neighbour, margin) - v
		if math.Abs(off) < 1e-4 {
			break
		}
		c.neighbour.Move(to.Scale(off))
	}
	return nil
}

// tipNeighbour tips a neighbour over the tooth until it reaches v mm over the margin's
// outline.
func tipNeighbour(b *build, v float64) error {
	c, err := b.neighbour()
	if err != nil {
		return err
	}
	if b.die, err = stump.NewSections(b.w.stump); err != nil {
		return err
	}
	to := b.w.prepared.Center().Sub(c.neighbour.Center()).Reject(r3.V(0, 0, 1)).UnitOr(r3.V(1, 0, 0))
	axis := r3.V(0, 0, 1).Cross(to) // turns up towards the tooth
	about := c.neighbour.Mouth.T
	const step = 0.01
	b.w.stirred = true
	for range 60 {
		over := b.pathOverlap(c.neighbour)
		if over >= v-0.005 {
			return nil
		}
		// Lower down the crown the arm is shorter: go half the way each time.
		turn := step
		if over > 0 {
			turn = min(step, (v-over)/c.neighbour.Form.Height)
		}
		c.neighbour.Tilt(about, r3.Rotation(axis, turn))
	}
	return fmt.Errorf("phantom: tooth %v cannot be tipped so far", c.neighbour.Form.Number)
}

// overhang puts an old filling into a back neighbour whose edge hangs over the gap: an
// ellipsoid in the upper third of the facing side that stands out v mm before all below.
func overhang(b *build, v float64) error {
	c, err := b.neighbour()
	if err != nil {
		return err
	}
	if b.die, err = stump.NewSections(b.w.stump); err != nil {
		return err
	}
	n := c.neighbour
	column := b.facing(n, 0)
	if n.Form.Number.Front() || len(column) == 0 {
		return fmt.Errorf("phantom: no filling of tooth %v overhangs", n.Form.Number)
	}
	b.w.stirred = true
	toTooth := n.Mouth.Inverse().After(b.w.prepared.Mouth).After(b.die.Frame.Inverse())
	toward := b.toward(n)
	at := column[len(column)*5/6]
	out := toTooth.Dir(r3.V(toward, 0, 0))
	lo, hi := 0.0, v+fillingOut
	for range 12 { // to a fraction of a micrometre
		far := (lo + hi) / 2
		n.Form.Filling = filling(toTooth.Point(r3.V(toward*(at.X+far-fillingOut), at.Y, at.Z)), out)
		if b.bulge(n) < v {
			lo = far
		} else {
			hi = far
		}
	}
	if off := b.bulge(n) - v; math.Abs(off) > 0.02 {
		return fmt.Errorf("phantom: a filling of tooth %v hangs over by %.2f mm more than it should", n.Form.Number, off)
	}
	return nil
}

// Half the size of a filling, mm: towards the gap, and along and up the side.
const (
	fillingOut   = 1.4
	fillingAlong = 1.9
	fillingUp    = 1.0
)

// filling is an ellipsoid about c in the tooth's frame, out its axis towards the gap.
func filling(c, out r3.Vec) solid.Field {
	along := r3.V(0, 0, 1).Cross(out).UnitOr(r3.V(0, 1, 0))
	up := out.Cross(along)
	return func(q r3.Vec) solid.Sample {
		d := q.Sub(c)
		x, y, z := d.Dot(out)/fillingOut, d.Dot(along)/fillingAlong, d.Dot(up)/fillingUp
		k := math.Sqrt(x*x + y*y + z*z)
		g := out.Scale(x/fillingOut).AddScaled(y/fillingAlong, along).AddScaled(z/fillingUp, up)
		slope := g.Norm()
		if slope < 1e-9 {
			return solid.Sample{D: -fillingUp, N: out}
		}
		// (k-1)/|∇k| with ∇k = g/k: unit slope on the surface
		return solid.Sample{D: max(k*(k-1)/slope, -fillingUp), N: g.Scale(1 / slope)}
	}
}

// loseLastTeeth takes the teeth behind the prepared one out of the jaw.
func loseLastTeeth(s *Spec, _ float64) {
	for n := s.Tooth; n.Position() < thirdMolar; {
		n, _ = tooth.New(n.FDI() + 1) // the next position of the same quadrant
		s.Teeth.Absent = append(slices.Clone(s.Teeth.Absent), n)
	}
}

// wantAlone asks for a scan of the prepared tooth alone.
func wantAlone(s *Spec, _ float64) {
	if s.Roles == nil {
		s.Roles = []string{Working, Opposing, Bite, Before}
	}
	if !slices.Contains(s.Roles, Preparation) {
		s.Roles = append(slices.Clone(s.Roles), Preparation)
	}
}

// keepEarlier leaves the scan of the prepared tooth alone as it was before the last cut,
// which took v mm off the top and half of that off the walls.
func keepEarlier(b *build, v float64) error {
	s := b.w.spec
	s.Stump.OcclusalReduction -= v
	s.Stump.FinishWidth -= v / 2
	b.earlier = newWorld(s, b.bank)
	return nil
}

// gougeNeighbour takes v mm off a neighbour's contact area with a bur of 1.2 mm radius.
func gougeNeighbour(b *build, v float64) error {
	c, err := b.neighbour()
	if err != nil {
		return err
	}
	const radius = 1.2
	n := c.neighbour.Field(c.at).N.UnitOr(r3.V(1, 0, 0))
	centre := c.at.AddScaled(radius-v, n)
	b.w.gouged, b.w.gougeDepth = c.neighbour, v
	b.w.gouge = func(p r3.Vec) solid.Sample {
		d := p.Sub(centre)
		return solid.Sample{D: d.Norm() - radius, N: d.UnitOr(n)}
	}
	return nil
}

// strangeness is how much farther than two drawn mouths a stranger's lies from the
// average. The cusps and fissures of all phantoms are alike but for their size, so that
// the crowns of two of them lie 0.15 to 0.5 mm RMS from each other over four teeth; those
// of different people lie 0.72 to 2.28 mm apart over whole arches (job.md [S115]).
const strangeness = 2.5

// swapMouth takes the scan from before from another person.
func swapMouth(b *build, _ float64) error {
	s := b.w.spec
	s.Mouth = s.mouth() + 1000
	s.Variety = strangeness * max(s.Variety, 1)
	b.stranger = newWorld(s, newBank(s))
	return nil
}
