package margin

import (
	"math"
	"slices"

	"selvage/internal/num"
	"selvage/prep"
	"selvage/r3"
)

// Orders of the course. courseOrder waves follow a scalloped margin; fewer are used
// where a gap is so wide that so many could dive into it.
const (
	courseOrder = 5
	leastCourse = 40 // readable points without which there is no course
)

// course is the smooth course of the line round the tooth: distance from the axis and
// height by azimuth, counted from the course of the walls' feet where foot is set.
type course struct {
	rho, z num.Harmonic
	foot   *course
}

// at returns the course at azimuth phi.
func (c *course) at(phi float64) (rho, z float64) {
	rho, z = c.rho.At(phi), c.z.At(phi)
	if c.foot != nil {
		r, h := c.foot.at(phi)
		rho, z = rho+r, z+h
	}
	return rho, z
}

// courseOf fits the course to the readable points. ok is false where they are too few.
func courseOf(m *prep.Margin) (c course, ok bool) {
	g := m.Fan.Prep.Frame()
	var phi, rho, z []float64
	for i := range m.Points {
		if readable(m, i) {
			q := g.Point(m.Points[i].At)
			phi = append(phi, m.Points[i].Azimuth)
			rho, z = append(rho, math.Hypot(q.X, q.Y)), append(z, q.Z)
		}
	}
	if len(phi) < leastCourse {
		return c, false
	}
	order := orderFor(phi)
	if order < leastOwn {
		if foot, ok := footCourse(m); ok {
			return besideFeet(foot, phi, rho, z), true
		}
	}
	order = max(order, 1)
	var ok1, ok2 bool
	c.rho, _, ok1 = num.FitHarmonicRobust(phi, rho, order)
	c.z, _, ok2 = num.FitHarmonicRobust(phi, z, order)
	return c, ok1 && ok2
}

// leastOwn is the order, for a gap of a seventh of the turn, under which the line's own
// waves do not tell its course across the gap: over most of a turn one wave leads 1.5 mm
// astray on a lower incisor. Where the walls are seen their feet tell it: the shelf
// between foot and line changes slowly.
const leastOwn = 3

// orderFor returns how many waves the widest gap between rising azimuths allows.
func orderFor(phi []float64) int {
	return min(courseOrder, int(0.8*math.Pi/widestGap(phi)))
}

// footCourse fits a course to the feet of the walls. ok is false where too few walls are
// seen to lead across the gaps between them.
func footCourse(m *prep.Margin) (c course, ok bool) {
	var phi, rho, z []float64
	for i := range m.Walls {
		if w := &m.Walls[i]; w.Found() {
			p := &m.Fan.Profiles[i]
			phi = append(phi, p.Azimuth)
			rho, z = append(rho, p.Rho[w.Foot]), append(z, p.Z[w.Foot])
		}
	}
	if len(phi) < leastCourse {
		return c, false
	}
	order := orderFor(phi)
	if order < leastOwn {
		return c, false
	}
	var ok1, ok2 bool
	c.rho, _, ok1 = num.FitHarmonicRobust(phi, rho, order)
	c.z, _, ok2 = num.FitHarmonicRobust(phi, z, order)
	return c, ok1 && ok2
}

// besideFeet returns the course of a line that is known at the azimuths phi: the feet's,
// and beside it what the line is off it there, one wave of it up to a gap of 150°.
func besideFeet(foot course, phi, rho, z []float64) course {
	c := course{foot: &foot}
	off := [2][]float64{slices.Clone(rho), slices.Clone(z)}
	for i := range phi {
		r, h := foot.at(phi[i])
		off[0][i] -= r
		off[1][i] -= h
	}
	for k, h := range [2]*num.Harmonic{&c.rho, &c.z} {
		ok := false
		if orderFor(phi) > 0 {
			*h, _, ok = num.FitHarmonicRobust(phi, off[k], 1)
		}
		if !ok {
			*h = num.Harmonic{Mean: num.Median(off[k])}
		}
	}
	return c
}

// widestGap returns the largest step between rising azimuths, round the circle.
func widestGap(phi []float64) float64 {
	gap := phi[0] + 2*math.Pi - phi[len(phi)-1]
	for i := 1; i < len(phi); i++ {
		gap = max(gap, phi[i]-phi[i-1])
	}
	return gap
}

// off returns the distance of a sample of a profile from the course.
func (c *course) off(p *prep.Profile, j int) float64 {
	rho, z := c.at(p.Azimuth)
	return math.Hypot(p.Rho[j]-rho, p.Z[j]-z)
}

// How the evidence of a candidate falls with its distance from the course, mm: it
// counts in full up to courseNear, and for courseLeast of itself from courseFar on.
const (
	courseNear  = 0.30
	courseFar   = 0.80
	courseLeast = 0.25
)

// favour returns the scores scaled by their closeness to the course: the crest of the
// gum and the edge of tissue that lies over the margin are convex too, but run elsewhere
// than the line to both sides of them. Only the path goes by it; what is readable is
// judged by the evidence itself.
func (c *course) favour(fan *prep.Fan, s []scores) []scores {
	out := make([]scores, len(s))
	for i := range s {
		p := &fan.Profiles[i]
		out[i] = scores{lo: s[i].lo, turn: slices.Clone(s[i].turn)}
		for k := range out[i].turn {
			if out[i].turn[k] == 0 {
				continue
			}
			t := (c.off(p, s[i].lo+k) - courseNear) / (courseFar - courseNear)
			out[i].turn[k] *= 1 - (1-courseLeast)*min(max(t, 0), 1)
		}
	}
	return out
}

// Bounds of settle, mm.
const (
	// strayIsland is the length of line between doubtful places under which it is
	// believed only if it runs where they do, within strayBy.
	strayIsland = 1.0
	strayBy     = 0.2
	// onSurface is how near to the line as it must run the data must lie for its edge to
	// be there; farther away something lies over it.
	onSurface = 0.15
	// overLooked is the length of a stretch on whose surface the line demonstrably runs
	// and that was not read only because a hole beside it shut the view.
	overLooked = 0.3
	seenOn     = 0.06
	// besideGap is how many samples from the end of the data the nearest one still means
	// that the place lies in the gap.
	besideGap = 2
)

// settle gives every doubtful point its place and its state. The place is on the
// course, tied to the readable line at both ends: a proposal that is drawn dashed,
// never a measurement; what the path found on the far side of a hole or on the crest of
// the gum is dropped. The state is by what the scan holds there: nothing, not captured;
// surface elsewhere, so that something lies over the line, or an edge that cannot be
// told: unclear.
func settle(m *prep.Margin) {
	n := len(m.Points)
	c, ok := courseOf(m)
	if !ok {
		bridge(m)
		return
	}
	g := m.Fan.Prep.Frame()
	rho, z := make([]float64, n), make([]float64, n)
	doubtful := make([]bool, n)
	for i := range m.Points {
		q := g.Point(m.Points[i].At)
		rho[i], z[i] = math.Hypot(q.X, q.Y), q.Z
		doubtful[i] = !readable(m, i)
	}
	dropOutliers(rho, z, doubtful)
	dropIslands(m, &c, rho, z, doubtful)
	eachRun(doubtful, func(from, count int) {
		tie(m, &c, rho, z, from, count)
		back := g.Inverse()
		for k := range count {
			i := (from + k) % n
			s, co := math.Sincos(m.Points[i].Azimuth)
			p := &m.Points[i]
			p.At = back.Point(r3.V(rho[i]*co, rho[i]*s, z[i]))
			p.Sample = closestSample(&m.Fan.Profiles[i], rho[i], z[i])
			p.State, p.Confidence = stateOf(&m.Fan.Profiles[i], p.Sample), 0
			if p.State == prep.NotCaptured && onMesh(m.Fan.Prep, p.At) {
				p.State = prep.Unclear // a profile may break off where the surface goes on
			}
		}
	})
}

// onMesh reports whether the surface passes through q: within seenOn of the plane of a
// vertex that is no farther than an edge or two.
func onMesh(p *prep.Preparation, q r3.Vec) bool {
	reach := 1.5 * p.Spacing
	best, off := reach*reach, math.Inf(1)
	for v, pos := range p.Mesh.Pos {
		if d := pos.Dist2(q); d < best {
			best, off = d, math.Abs(q.Sub(pos).Dot(p.Normals[v]))
		}
	}
	return off < seenOn
}

func apart(p *prep.Profile, k int, rho, z float64) float64 {
	if k >= p.Len() {
		return math.Inf(1)
	}
	return math.Hypot(p.Rho[k]-rho, p.Z[k]-z)
}

// recall takes back short stretches that are unclear although the surface passes through
// the line as it must run: a hole beside them shut the view of the profile. They are
// readable, at the confidence of the faintest edge that is.
func recall(m *prep.Margin) {
	n := len(m.Points)
	unclear := make([]bool, n)
	for i := range m.Points {
		unclear[i] = m.Points[i].State == prep.Unclear
	}
	eachRun(unclear, func(from, count int) {
		length := 0.0
		for k := range count {
			length += m.Segment((from + k) % n)
		}
		if length > overLooked {
			return
		}
		for k := range count {
			if !onMesh(m.Fan.Prep, m.Points[(from+k)%n].At) {
				return
			}
		}
		for k := range count {
			p := &m.Points[(from+k)%n]
			p.State, p.Confidence, p.Traced = prep.NearEdge, clearShare/2, true
		}
	})
}

// stateOf tells whether a doubtful place whose nearest sample is k is not captured or
// unclear.
func stateOf(p *prep.Profile, k int) prep.MarginState {
	for d := -besideGap; d <= besideGap; d++ {
		if k+d >= p.Len() || k+d >= 0 && p.Gap[k+d] {
			return prep.NotCaptured
		}
	}
	return prep.Unclear
}

// eachRun calls do for every run of true, with its first index and its length.
func eachRun(in []bool, do func(from, count int)) {
	n := len(in)
	start := 0
	for start < n && in[start] {
		start++
	}
	if start == n {
		return
	}
	for k := 0; k < n; {
		i := (start + k) % n
		if !in[i] {
			k++
			continue
		}
		c := 0
		for in[(i+c)%n] {
			c++
		}
		do(i, c)
		k += c
	}
}

// dropOutliers gives up points that lie far from the median of their neighbours: a
// profile that lost its way across a hole.
func dropOutliers(rho, z []float64, doubtful []bool) {
	const reach, jump = 5, 0.25 // profiles, mm
	n := len(doubtful)
	far := make([]bool, n)
	var rs, zs []float64
	for i := range doubtful {
		rs, zs = rs[:0], zs[:0]
		for d := -reach; d <= reach; d++ {
			if k := (i + d + n) % n; !doubtful[k] {
				rs, zs = append(rs, rho[k]), append(zs, z[k])
			}
		}
		far[i] = len(rs) > reach && math.Hypot(rho[i]-num.Median(rs), z[i]-num.Median(zs)) > jump
	}
	for i := range doubtful {
		doubtful[i] = doubtful[i] || far[i]
	}
}

// dropIslands gives up short readable pieces between doubtful ones that run elsewhere
// than the line to both sides.
func dropIslands(m *prep.Margin, c *course, rho, z []float64, doubtful []bool) {
	n := len(doubtful)
	sound := make([]bool, n)
	for i := range sound {
		sound[i] = !doubtful[i]
	}
	eachRun(sound, func(from, count int) {
		length, far := 0.0, 0.0
		for k := range count {
			i := (from + k) % n
			length += m.Segment(i)
			r, h := c.at(m.Points[i].Azimuth)
			far += math.Hypot(rho[i]-r, z[i]-h) / float64(count)
		}
		if length > strayIsland || far < strayBy {
			return
		}
		for k := range count {
			doubtful[(from+k)%n] = true
		}
	})
}

// tie lays the points [from, from+count) on the course, shifted so that it meets the
// readable line before and behind.
func tie(m *prep.Margin, c *course, rho, z []float64, from, count int) {
	n := len(rho)
	a, b := (from+n-1)%n, (from+count)%n
	ra, za := c.at(m.Points[a].Azimuth)
	rb, zb := c.at(m.Points[b].Azimuth)
	ra, za, rb, zb = rho[a]-ra, z[a]-za, rho[b]-rb, z[b]-zb
	for k := range count {
		i := (from + k) % n
		t := float64(k+1) / float64(count+1)
		r, h := c.at(m.Points[i].Azimuth)
		rho[i] = r + ra + t*(rb-ra)
		z[i] = h + za + t*(zb-za)
	}
}
