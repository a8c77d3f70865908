package dentition

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"selvage/mesh"
	"selvage/r3"
)

// Limits of the arch.
const (
	// planeNoise is how far crests lie from the occlusal plane, mm (one standard
	// deviation): the curve of Spee, a long canine, a prepared tooth.
	planeNoise = 1.2
	// openPrior and basePrior say how well the open side and the base tell the
	// occlusal direction, radians (one standard deviation): a rim runs up and down,
	// plaster is trimmed by eye.
	openPrior = 10 * math.Pi / 180
	basePrior = 12 * math.Pi / 180
	// maxTilt bounds the correction by the crests; more means that they are none.
	maxTilt = 25 * math.Pi / 180
	// planeRounds of drawing, tracing and tilting; the second moves under 1° on
	// the casts.
	planeRounds = 6
	// planeStill ends the rounds, radians.
	planeStill = 1 * math.Pi / 180
	// minArch is the least length of a ridge, mm: two teeth.
	minArch = 8.0
	// sideClear is how far, on average, the row must lie off its own chord for the
	// concave side to be certain, mm: more than teeth out of line, a stump that is cut
	// more on one side or the edge of a scan leave in it, which came to 0.57 the wrong
	// way. From canine to second molar it is 0.6 to 1.8 mm.
	sideClear = 0.6
	// fullTurn is the turn of the ridge, radians, beyond which it shows both sides
	// of the jaw; a half arch turns by 60 to 90°.
	fullTurn = 115 * math.Pi / 180
	// quadrantTurn is the turn beyond which a ridge reaches round the canine.
	quadrantTurn = 15 * math.Pi / 180
)

// FindArch finds the ridge of the dental arch of a scan that winds outward, and
// refines the occlusal direction by the plane through its crests.
//
// The scan is drawn as a height field against o.Occlusal; the crest is what
// stands out of everything wider than a tooth; the ridge is the principal curve
// of the crest. The plane z = a·s + b·t fitted to the ridge's heights tilts the
// occlusal direction, weighed against the direction it started from:
//
//	minimise Σ (z - a·s - b·t)²/(n σz²) + |(a, b) - (a₀, b₀)|²/(m σθ²)
//
// over m independent teeth, (a₀, b₀) the slopes of the start: a curved arch sets
// both tilts, a straight row only the one along it.
//
// Extent is NoArch, and Why says so, where nothing stands out. The concave side
// is lingual; SideKnown is false for a row too straight to tell.
// Cost: O(faces + cells). Deterministic.
func FindArch(m *mesh.Mesh, topo *mesh.Topology, o Orientation) Arch {
	a := Arch{Occlusal: o.Occlusal, Middle: math.NaN(), rewound: o.InsideOut}
	if o.Occlusal == (r3.Vec{}) {
		a.Why = "the occlusal direction is not known"
		return a
	}
	u := o.Occlusal
	var c *chart
	var pts []xy
	frame := levelFrame(u)
	for round := range planeRounds {
		c = newChart(m, frame, crestCell)
		mask := c.crest()
		c.dropSpecks(mask)
		pts = trimHooks(c.spine(mask, c.longestPath(mask)))
		if float64(len(pts))*spineStep < minArch {
			a.Why = "nothing stands out of the scan like a row of teeth"
			return a
		}
		v := c.level(pts, o)
		turn := v.Angle(u)
		if turn > maxTilt || v.Angle(o.Occlusal) > maxTilt {
			break
		}
		u = v
		frame = c.chordFrame(pts, u)
		if round > 0 && turn < planeStill {
			break
		}
	}
	a.Occlusal = u
	a.frame = frame
	a.lay(c, pts)
	a.strip = a.unroll(m)
	return a
}

// levelFrame returns the motion to coordinates with z along u.
func levelFrame(u r3.Vec) r3.Rigid {
	e1, e2 := u.Basis()
	return r3.FrameTo(r3.Vec{}, e1, e2, u)
}

// chordFrame returns the motion to coordinates with z along u and x along the
// chord of the curve, so that the raster falls alike however the scan is posed.
func (c *chart) chordFrame(pts []xy, u r3.Vec) r3.Rigid {
	d := pts[len(pts)-1].sub(pts[0])
	e1, _ := u.Basis()
	x := c.frame.Inverse().Dir(r3.V(d.x, d.y, 0)).Reject(u).UnitOr(e1)
	return r3.FrameTo(r3.Vec{}, x, u.Cross(x), u) // heights are p·u in every frame of a scan
}

// crestHeight returns, per point of the curve, the height of the row there: the
// highest of the chart within half a crown across the curve. NaN where nothing is.
func (c *chart) crestHeight(pts []xy) []float64 {
	tan := tangents(pts)
	z := make([]float64, len(pts))
	for i, p := range pts {
		top := math.NaN()
		for t := -crownHalf + 2; t <= crownHalf-2; t += c.cell {
			q := p.add(t, tan[i].right())
			if h := c.at(c.cellOf(q.x, q.y)); !(h <= top) && !math.IsNaN(h) {
				top = h
			}
		}
		z[i] = top
	}
	return z
}

// gumWeight is what a place of the ridge counts for the plane that looks like gum: not
// nothing, since worn crowns and stumps of a coarse scan run out as far.
const gumWeight = 0.02

// crownLike returns, per point of the curve, 1 where the flanks of the row are as steep
// as a crown's and gumWeight where they run out as those of a saddle of gum do: where
// teeth are lost behind the last one the ridge runs on over it, and it lies 5 mm and
// more below the crowns.
func (c *chart) crownLike(pts []xy, z []float64) []float64 {
	tan := tangents(pts)
	out := make([]float64, len(pts))
	for i, p := range pts {
		steep := 2 * stripHalf
		for _, d := range [2]float64{-1, 1} {
			steep = min(steep, c.runOut(p, tan[i].right().scale(d), z[i]))
		}
		out[i] = max(gumWeight, soft(steep, crownRun, levelRun))
	}
	return out
}

// levelRun is the run of a flank from 1 to 3 mm below its crest, mm, from which it is
// gum's for the plane: 1.8 and more on pads and saddles (see toothed).
const levelRun = 1.9

// runOut returns how far the surface goes from p along dir while it falls from 1 to 3 mm
// below crest, counted from the last place above that.
func (c *chart) runOut(p, dir xy, crest float64) float64 {
	from := 0.0
	for t := -crownHalf + 2; t < stripHalf; t += stripCell {
		q := p.add(t, dir)
		switch z := c.sample(q.x, q.y); {
		case math.IsNaN(z):
			if t > 0 {
				return 2 * stripHalf
			}
		case z > crest-1:
			from = t
		case z < crest-3 && t > from && from > -crownHalf+2:
			return t - from
		}
	}
	return 2 * stripHalf
}

// level returns the occlusal direction tilted by the plane through the crests
// along pts (formula at [FindArch]). Heights far from the plane, of a prepared or a
// long tooth, count less: weights 1/(1 + (r/σ)²) with σ falling to σz, times
// crownLike.
func (c *chart) level(pts []xy, o Orientation) r3.Vec {
	start := c.frame.Dir(o.Occlusal)
	if start.Z <= 0 {
		return o.Occlusal
	}
	f := planeFit{a0: -start.X / start.Z, b0: -start.Y / start.Z}
	z := c.crestHeight(pts)
	like := c.crownLike(pts, z)
	for i, p := range pts {
		if !math.IsNaN(z[i]) {
			f.p, f.z, f.w = append(f.p, p), append(f.z, z[i]), append(f.w, like[i])
		}
	}
	if len(f.p) < 2 {
		return o.Occlusal
	}
	sigma := openPrior
	if o.Closed {
		sigma = basePrior
	}
	teeth := math.Max(1, float64(len(f.p))*spineStep/8) // independent heights: one a tooth of about 8 mm
	f.prior = planeNoise * planeNoise / (teeth * sigma * sigma)
	f.a, f.b = f.a0, f.b0
	for _, scale := range [...]float64{8, 4, 2, 1, 1, 1} { // from nearly plain least squares to robust
		f.step(planeNoise * scale)
	}
	return c.frame.Inverse().Dir(r3.V(-f.a, -f.b, 1)).UnitOr(o.Occlusal)
}

// planeFit is a plane z = c + a·x + b·y through heights, held to slopes a0, b0.
type planeFit struct {
	p      []xy
	z, w   []float64 // height and weight
	a0, b0 float64
	prior  float64 // weight of the start per point, mm²
	a, b   float64
}

// step fits once, with the weights of the present plane at scale sigma.
func (f *planeFit) step(sigma float64) {
	res := make([]float64, len(f.z))
	for i, p := range f.p {
		res[i] = f.z[i] - f.a*p.x - f.b*p.y
	}
	mid := weightedMedian(res, f.w)
	var w, mx, my, mz float64
	wt := make([]float64, len(res))
	for i, r := range res {
		d := (r - mid) / sigma
		wt[i] = f.w[i] / (1 + d*d)
		w += wt[i]
		mx += wt[i] * f.p[i].x
		my += wt[i] * f.p[i].y
		mz += wt[i] * f.z[i]
	}
	mx, my, mz = mx/w, my/w, mz/w
	n := float64(len(res))
	var xx, xyy, yy, xz, yz float64
	for i, p := range f.p {
		k, x, y, h := wt[i]/n, p.x-mx, p.y-my, f.z[i]-mz
		xx += k * x * x
		xyy += k * x * y
		yy += k * y * y
		xz += k * x * h
		yz += k * y * h
	}
	xx, yy, xz, yz = xx+f.prior, yy+f.prior, xz+f.prior*f.a0, yz+f.prior*f.b0
	det := xx*yy - xyy*xyy // positive: prior > 0 on the diagonal of a Gram matrix
	f.a = (xz*yy - yz*xyy) / det
	f.b = (yz*xx - xz*xyy) / det
}

// weightedMedian returns the value at which half of the weight is reached.
func weightedMedian(v, w []float64) float64 {
	by := make([]int, len(v))
	sum := 0.0
	for i := range by {
		by[i] = i
		sum += w[i]
	}
	slices.SortStableFunc(by, func(i, j int) int { return cmp.Compare(v[i], v[j]) })
	at := 0.0
	for _, i := range by {
		if at += w[i]; at >= sum/2 {
			return v[i]
		}
	}
	return v[by[len(by)-1]]
}

// Ends of the spine: where it turns by more than hookTurn within hookReach of an
// end it runs over a pad behind the teeth, or a flap, and is cut there.
const (
	hookReach = 14.0               // mm
	hookTurn  = 50 * math.Pi / 180 // an arch turns by at most 25° in hookReach behind the canines
)

// trimHooks cuts the ends of the curve off where they bend away.
func trimHooks(pts []xy) []xy {
	n := int(hookReach / spineStep)
	if len(pts) < 4*n {
		return pts
	}
	tan := tangents(pts)
	turn := func(i, j int) float64 { return math.Abs(math.Atan2(tan[i].cross(tan[j]), tan[i].dot(tan[j]))) }
	last := len(pts) - 1
	for last > len(pts)-n && turn(len(pts)-n, last) > hookTurn {
		last--
	}
	first := 0
	for first < n && turn(n, first) > hookTurn {
		first++
	}
	return pts[first : last+1]
}

// rowWindow is the length of ridge, mm, at an end of the row of teeth of which half and
// more must look like crowns: the smallest tooth.
const rowWindow = minWidth

// toothRow returns the part of the curve that runs over teeth. Behind the last one the
// ridge goes on over the gum, whose crest bends to either side: over a tuberosity it
// outweighs the bow of the few teeth before it.
func (c *chart) toothRow(pts []xy) []xy {
	like := c.crownLike(pts, c.crestHeight(pts))
	w := int(rowWindow / spineStep)
	crowned := func(i int) bool { // the window that starts at i
		sum := 0.0
		for _, v := range like[i : i+w] {
			sum += v
		}
		return sum > float64(w)/2
	}
	first, last := 0, len(pts)-w
	for first <= last && !crowned(first) {
		first++
	}
	for last >= first && !crowned(last) {
		last--
	}
	if float64(last+w-first)*spineStep < minArch {
		return pts
	}
	return pts[first : last+w]
}

// lay fills in the arch from the curve in the chart.
func (a *Arch) lay(c *chart, pts []xy) {
	row := c.toothRow(pts)
	chord := row[len(row)-1].sub(row[0])
	var area, low, turn, at float64
	for i := range row[1:] {
		area += row[i].sub(row[0]).cross(row[i+1].sub(row[0])) / 2
	}
	if area > 0 { // counter-clockwise: the inside is on the left
		reverse(pts)
		row = c.toothRow(pts)
	}
	tan := tangents(row)
	for i := range row[1:] { // the largest clockwise turn between two places
		at -= math.Atan2(tan[i].cross(tan[i+1]), tan[i].dot(tan[i+1]))
		low = min(low, at)
		turn = max(turn, at-low)
	}
	a.bow = math.Abs(area) / max(chord.norm(), minArch)
	a.Step = spineStep
	a.Length = float64(len(pts)-1) * spineStep
	a.SideKnown = a.bow > sideClear
	a.Confidence = min(1, a.bow/sideClear)
	switch {
	case turn > fullTurn:
		a.Extent = FullArch
	case turn > quadrantTurn && a.SideKnown:
		a.Extent = Quadrant
	default:
		a.Extent = Segment
	}
	if a.Extent == FullArch {
		a.Middle = symmetry(pts) * spineStep
	}
	a.Why = fmt.Sprintf("the crest runs over %.0f mm and turns by %.0f°", a.Length, turn*180/math.Pi)
	a.place(c, pts)
}

// place writes the curve and its directions in the frame of the scan.
func (a *Arch) place(c *chart, pts []xy) {
	tan := directions(pts)
	z := c.crestHeight(pts)
	fill(z)
	back := c.frame.Inverse()
	for i, p := range pts {
		r := tan[i].right()
		a.Ridge = append(a.Ridge, back.Point(r3.V(p.x, p.y, z[i])))
		a.Lingual = append(a.Lingual, back.Dir(r3.V(r.x, r.y, 0)))
		a.Along = append(a.Along, back.Dir(r3.V(tan[i].x, tan[i].y, 0)))
	}
}

// fill replaces each NaN by the line between the numbers around it; 0 if there
// are none.
func fill(z []float64) {
	last := -1
	for i, v := range z {
		if math.IsNaN(v) {
			continue
		}
		for k := last + 1; k < i; k++ {
			if last < 0 {
				z[k] = v
				continue
			}
			t := float64(k-last) / float64(i-last)
			z[k] = z[last] + t*(v-z[last])
		}
		last = i
	}
	for k := last + 1; k < len(z); k++ {
		z[k] = 0
		if last >= 0 {
			z[k] = z[last]
		}
	}
}

func reverse(p []xy) {
	for i, j := 0, len(p)-1; i < j; i, j = i+1, j-1 {
		p[i], p[j] = p[j], p[i]
	}
}
