package mouth

import (
	"math"

	"selvage/tooth"
)

// Person says in what a mouth differs from the average: every seed is another one.
// Scale is how much of the usual spread is used; 0 is the average mouth. Both sides
// of a jaw are alike.
type Person struct {
	Seed  uint64
	Scale float64
	Crowd float64 // how far front teeth stand out of line: 1 is a millimetre and 12°, one standard deviation
	Drawn int     // position that was drawn in every quadrant, the gap closed since; 0 for none
}

// trait is something that varies, with its standard deviation: sizes as shares,
// angles in radians, heights in mm. The spread of widths is near that of trade.md
// §7.2; the others are chosen to look like mouths.
type trait struct {
	key    uint64
	spread float64
}

var (
	width     = trait{1, 0.04}
	depth     = trait{2, 0.04}
	height    = trait{3, 0.02}
	lean      = trait{4, 0.03}
	turn      = trait{5, 0.05}
	rise      = trait{6, 0.12}
	archWidth = trait{7, 0.02}
	archDepth = trait{8, 0.02}
	gumHeight = trait{9, 0.2}
	papilla   = trait{10, 0.25}
	gumBulge  = trait{11, 0.08}
	outOfLine = trait{12, 1}
	twisted   = trait{13, 0.21}
)

// farthest is how many standard deviations a trait may lie from the average.
const farthest = 2.0

// of returns the deviation of a trait of one tooth, or of the jaw for position 0.
func (p Person) of(t trait, jaw tooth.Jaw, position int) float64 {
	if p.Scale == 0 {
		return 0
	}
	h := p.Seed*0x9e3779b97f4a7c15 + t.key*0xbf58476d1ce4e5b9 + uint64(position)*0x94d049bb133111eb
	if jaw == tooth.Upper {
		h ^= 0xd1b54a32d192ed03
	}
	h = scramble(scramble(h))
	u := (float64(h>>40) + 0.5) / (1 << 24)
	v := float64(h&0xffffff) / (1 << 24)
	z := math.Sqrt(-2*math.Log(u)) * math.Cos(2*math.Pi*v)
	return p.Scale * t.spread * max(-farthest, min(farthest, z))
}

// scramble mixes 64 bits (the finaliser of splitmix64).
func scramble(h uint64) uint64 {
	h ^= h >> 30
	h *= 0xbf58476d1ce4e5b9
	h ^= h >> 27
	h *= 0x94d049bb133111eb
	return h ^ h>>31
}

// form returns the shape of tooth n in this mouth.
func (p Person) form(n tooth.Number) Form {
	j, k := n.Jaw(), n.Position()
	return scaledForm(n, 1+p.of(width, j, k), 1+p.of(depth, j, k), 1+p.of(height, j, k))
}
