package dentition

import (
	"math"
	"sort"

	"selvage/r3"
	"selvage/tooth"
)

// stump is a place on the arch that may be a prepared tooth, with what speaks for
// it: each share is 0 for a natural tooth in its row and 1 for a stump.
type stump struct {
	at     xy      // its middle in the chart
	place  float64 // along the ridge, mm
	ring   ring
	closed float64 // share of azimuths with a steep wall and room behind it
	beside float64 // the same, of the azimuths that look along the row only
	island float64 // depth of the lowest pass to the teeth around, mm
	low    float64 // how far its top lies below the teeth beside it, mm
	score  float64 // see judge

	found   bool         // it was identified
	alone   bool         // a scan of this tooth alone says where it is
	turned  bool         // the scan wound inside out
	paired  bool         // it fits together with another stump that was ordered
	short   bool         // the row holds too few teeth for their order to tell the side
	number  tooth.Number // that fits best
	loss    float64      // of the numbering's score, if it got the number asked for
	support []float64    // the numbering's score by tooth of the jaw
}

// How a stump is told. A wall falls by wallDrop (60°), a cusp's slope of 45° by
// little more than half of that. Behind a wall lies at least the shelf of one side and
// the reduction of the other.
const (
	flatBrow  = 0.3 // mm: fully the edge of a top that was cut
	roundBrow = 1.3 // mm: fully the shoulder of a cusp
	roomGap   = 1.2 // mm: fully a gap
	closeGap  = 0.5 // mm: fully a contact
	leastWall = 0.3 // mm from the middle: the edge of a front tooth's stump is a blunt cone
	mostWall  = 6.5 // mm: half a molar's stump over its diagonal
	// unseenWorth is what a wall counts that is the edge of the scan: a tooth that the
	// scan cuts through is no stump, holes at a stump's margin are few.
	unseenWorth = 0.3
	besideArc   = 20 * math.Pi / 180
	lowClear    = 1.5 // mm below the teeth beside it: as low as a natural tooth stands
	leanLeast   = 0.6 // mm below the teeth beside it, from where one of them may lean over it ...
	leanFull    = 1.2 // ... and fully
	frontBroad  = 1.8 // mm, half the breadth of what may be a front tooth: a lateral incisor is shorter than ...
	leanBroad   = 2.4 // ... both its neighbours and touches one of them alone; a molar's stump is broader
	mostLow     = 6.0 // mm below the teeth beside it: deeper is the vestibule or a hole, no stump
	lowReach    = 9.0 // mm along the ridge each way in which the neighbours' tops are looked for
)

// The score and what it takes. Intact casts and phantoms come to 0.6 at most,
// natural teeth beside a preparation to 0.73; preparations of phantoms with a
// shelf, front teeth included, to 0.91 and more, those milled into casts to 0.79.
// A knife edge keeps the form of the tooth and may come lower.
const (
	stumpAsks   = 0.75
	stumpRival  = 0.35 // below the best one: such a place is no second preparation
	stumpOnly   = 0.68 // at the place of the number, where no place passes
	stumpHint   = 0.6  // from here on a place is moved to the middle of its ring
	stumpShape  = 0.45 // below this the island is not looked for
	islandUsual = 3.2  // mm: neither for nor against
	islandLeast = 2.4  // mm: teeth in contact; below this no stump
	islandWorth = 0.12 // per mm
	roundSpread = 1.4  // mm from the 20th to the 80th centile of the wall's distance: round, or as long as a molar
	stumpBroad  = 4.2  // mm, half the breadth of the largest molar less 1 mm of reduction
	crownBroad  = 4.9  // mm: a whole molar
	longSpread  = 2.6  // mm: no ring
	deepBeside  = 2.5  // mm under the top: no tooth's top beside it, the tip of a canine stands out by 2
	padRun      = 1.8  // mm, see strip.steep: no crown's, of a saddle of gum or a pad
	stumpStride = 1.0  // mm between places tried along the ridge
	stumpSide   = 2.0  // mm across, farthest place tried
)

// soft is 1 at or below full, 0 at or above none, linear between.
func soft(x, full, none float64) float64 { return min(1, max(0, (none-x)/(none-full))) }

// stumps returns the places on the arch that look like prepared teeth, best first.
func (a *Arch) stumps(c *chart) []stump {
	var all []stump
	for i := 0; i < len(a.Ridge); i += int(stumpStride / spineStep) {
		best := stump{score: -1}
		for t := -stumpSide; t <= stumpSide; t++ {
			if s := a.stumpAt(c, i, t); s.score > best.score {
				best = s
			}
		}
		if best = a.climb(c, best); best.score > stumpHint {
			best = a.settle(c, best)
		}
		all = append(all, best)
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].score > all[j].score })
	var out []stump
	for _, s := range all {
		fresh := true
		for _, o := range out {
			if s.at.sub(o.at).norm() < minWidth {
				fresh = false
			}
		}
		if fresh && s.score > 0 {
			out = append(out, s)
		}
	}
	return out
}

// climb moves a stump to the middle of its own ring, as long as that is better.
func (a *Arch) climb(c *chart, s stump) stump {
	for range 4 {
		at, ok := s.ring.middle(s.at)
		if !ok {
			return s
		}
		next := a.judge(c, at)
		if next.score <= s.score {
			return s
		}
		s = next
	}
	return s
}

// settle moves a stump that was believed to the middle of its ring for good.
func (a *Arch) settle(c *chart, s stump) stump {
	for range 4 {
		at, ok := s.ring.middle(s.at)
		next := a.judge(c, at)
		if !ok || next.closed < 0.8*s.closed {
			return s
		}
		next.found, next.alone, next.turned, next.short, next.paired = s.found, s.alone, s.turned, s.short, s.paired
		next.number, next.loss, next.support = s.number, s.loss, s.support
		s = next
	}
	return s
}

// middle returns the centre of the ring's wall, seen from at: twice the mean radius
// vector, which is the offset of a point inside a circle from its centre. ok is
// false where less than half of the wall is there.
func (g *ring) middle(at xy) (xy, bool) {
	var sum xy
	n := 0.0
	for i, r := range g.wall {
		if r > 0 && r <= mostWall {
			y, x := math.Sincos(2 * math.Pi * float64(i) / rays)
			sum = sum.add(r, xy{x, y})
			n++
		}
	}
	if n < rays/2 {
		return at, false
	}
	return at.add(2/n, sum), true
}

// stumpAt judges the place t mm lingual of ridge point i.
func (a *Arch) stumpAt(c *chart, i int, t float64) stump {
	p := c.frame.Point(a.Ridge[i].AddScaled(t, a.Lingual[i]))
	return a.judge(c, xy{p.X, p.Y})
}

// judge measures what speaks for a stump at a place of the chart.
//
//	score = r · ((closed + beside)/2 + 0.12·(island - 3.2 mm))
//
// where r falls from 1 to 0 as the distances of the wall spread, for the wall of a
// stump runs round its middle and what surrounds the tip of a canine does not, and
// as they grow to those of a whole molar.
// The depth of the island counts from the level of the teeth beside it where the
// top stands above them, as that of a canine does. Where it lies below them one pass may
// be shallow: over a preparation a neighbour may lean that leaves no gap seen from
// above, but no natural back tooth that is shorter than its neighbours lacks a contact. Without an island of 2.4 mm, or
// deep under the row, it is no stump at all.
func (a *Arch) judge(c *chart, at xy) stump {
	s := stump{at: at, ring: c.ringAt(at.x, at.y)}
	i := a.nearest(c, at)
	s.place = float64(i) * a.Step
	d := c.frame.Dir(a.Along[i])
	along := xy{d.X, d.Y}
	var all, row, nRow float64
	for k := range rays {
		y, x := math.Sincos(2 * math.Pi * float64(k) / rays)
		good := 0.0
		if w := s.ring.wall[k]; w >= leastWall && w <= mostWall {
			good = soft(-s.ring.gap[k], -roomGap, -closeGap) * soft(s.ring.brow[k], flatBrow, roundBrow)
			if !s.ring.seen[k] {
				good *= unseenWorth
			}
		}
		all += good / rays
		if math.Abs(xy{x, y}.dot(along)) > math.Cos(besideArc) {
			row += good
			nRow++
		}
	}
	s.closed, s.beside = all, row/nRow
	s.low = a.lowBy(c, i, s.ring.top)
	shape := (s.closed + s.beside) / 2
	if shape < stumpShape || s.low > mostLow {
		return s
	}
	// A top far below the row is no tooth in contact, however low the pass.
	deep := min(1, max(0, s.low-lowClear))
	mid, spread := s.ring.size()
	depth, aside := c.island(at.x, at.y)
	depth += (1 - soft(s.low, leanLeast, leanFull)) * (1 - soft(mid, frontBroad, leanBroad)) * (aside - depth)
	if s.island = depth - max(0, -s.low) + deep; s.island < islandLeast {
		return s
	}
	round := soft(spread, roundSpread, longSpread) * soft(mid, stumpBroad, crownBroad)
	s.score = round * (shape + islandWorth*(min(s.island, islandMost)-islandUsual))
	return s
}

// nearest returns the ridge point nearest to a place of the chart.
func (a *Arch) nearest(c *chart, at xy) int {
	best, low := 0, math.Inf(1)
	for i, p := range a.Ridge {
		q := c.frame.Point(p)
		if d := at.sub(xy{q.X, q.Y}); d.dot(d) < low {
			best, low = i, d.dot(d)
		}
	}
	return best
}

// lowBy returns how far top lies below the line between the highest points of the
// row on both sides of ridge point i, or below the one side that there is; 0 where it
// stands alone. Gum over the place of a lost tooth is no level to hold it against.
func (a *Arch) lowBy(c *chart, i int, top float64) float64 {
	st := a.strip
	var sum, n float64
	for _, d := range [2]int{-1, 1} {
		high := math.Inf(-1)
		for k := int(minWidth / spineStep); k <= int(lowReach/spineStep); k++ {
			if j := i + d*k; j >= 0 && j < st.n && st.steep[j] < padRun {
				high = max(high, st.high[j])
			}
		}
		if high > top-deepBeside {
			sum += high
			n++
		}
	}
	if n == 0 || math.IsInf(top, -1) {
		return 0
	}
	return sum/n - top
}

// chartPoint returns the scan's point at a place of the chart, height z.
func (c *chart) chartPoint(p xy, z float64) r3.Vec { return c.point(p.x, p.y, z) }
