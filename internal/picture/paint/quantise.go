package paint

import (
	"cmp"
	"image"
	"image/color"
	"slices"
)

const (
	// binBits of each channel make a bin of like colours: 64 shades a channel,
	// finer than the palette can show.
	binBits = 6
	bins    = 1 << (3 * binBits)
	// mostColours is the most that one byte a pixel can name.
	mostColours = 256
	// settleRounds of moving each palette entry to the mean of its colours; after
	// three the mean error changes by less than a hundredth of a shade.
	settleRounds = 3
)

// bin is a set of like colours that occur in a picture.
type bin struct {
	n    int
	sum  [3]int
	mean [3]int // of the colours, in 1/16 shades, so that rounding does not pile up
	slot int    // its palette entry
}

// binOf returns the bin of a pixel.
func binOf(p []uint8) int {
	const drop = 8 - binBits
	return int(p[0]>>drop)<<(2*binBits) | int(p[1]>>drop)<<binBits | int(p[2]>>drop)
}

// quantise reduces a picture to at most 256 colours, dark to light, and returns
// the entry of every pixel. Method: median cut over the occurring colours, then a
// few rounds of moving each entry to the mean of what it stands for. Integers
// throughout; ties go to the lower entry, so the result is the same everywhere.
func quantise(img *image.RGBA) ([]color.RGBA, []uint8) {
	table := make([]bin, bins)
	for i := 0; i < len(img.Pix); i += 4 {
		b := &table[binOf(img.Pix[i:])]
		b.n++
		for c := range 3 {
			b.sum[c] += int(img.Pix[i+c])
		}
	}
	var used []*bin
	for i := range table {
		if b := &table[i]; b.n > 0 {
			for c := range 3 {
				b.mean[c] = (16*b.sum[c] + b.n/2) / b.n
			}
			used = append(used, b)
		}
	}
	pal := settle(used, cutApart(used))
	out := make([]uint8, len(img.Pix)/4)
	for i := range out {
		out[i] = uint8(table[binOf(img.Pix[4*i:])].slot)
	}
	return pal, out
}

// cutApart splits the colours into at most mostColours groups of like colours: the
// group with the greatest spread times the root of its size is cut at the median
// of its longest side, again and again. It returns the groups' means.
func cutApart(used []*bin) [][3]int {
	groups := [][]*bin{used}
	scores := []int{spread(used)}
	for len(groups) < mostColours {
		best := 0
		for i, s := range scores {
			if s > scores[best] {
				best = i
			}
		}
		if scores[best] == 0 {
			break
		}
		lo, hi := halve(groups[best])
		groups[best], scores[best] = lo, spread(lo)
		groups, scores = append(groups, hi), append(scores, spread(hi))
	}
	means := make([][3]int, len(groups))
	for i, g := range groups {
		means[i] = meanOf(g)
	}
	return means
}

// spread says how much a group asks to be cut: the length of its longest side
// times the square root of the pixels in it; 0 if it holds one bin.
func spread(g []*bin) int {
	if len(g) < 2 {
		return 0
	}
	_, length := longest(g)
	n := 0
	for _, b := range g {
		n += b.n
	}
	return length * isqrt(n)
}

func isqrt(n int) int {
	r := 0
	for r*r < n {
		r++
	}
	return r
}

// longest returns the channel in which the group spreads most, and how far. Green
// counts double and red half again as much as blue, as for the eye.
func longest(g []*bin) (channel, length int) {
	weight := [3]int{3, 4, 2}
	for c := range 3 {
		lo, hi := g[0].mean[c], g[0].mean[c]
		for _, b := range g {
			lo, hi = min(lo, b.mean[c]), max(hi, b.mean[c])
		}
		if l := (hi - lo) * weight[c]; l > length {
			channel, length = c, l
		}
	}
	return channel, length
}

func halve(g []*bin) (lo, hi []*bin) {
	c, _ := longest(g)
	slices.SortStableFunc(g, func(a, b *bin) int { return cmp.Compare(a.mean[c], b.mean[c]) })
	total := 0
	for _, b := range g {
		total += b.n
	}
	k, n := 1, g[0].n
	for k < len(g)-1 && 2*(n+g[k].n) <= total {
		n += g[k].n
		k++
	}
	return g[:k], g[k:]
}

func meanOf(g []*bin) (m [3]int) {
	n := 0
	for _, b := range g {
		n += b.n
		for c := range 3 {
			m[c] += b.n * b.mean[c]
		}
	}
	for c := range 3 {
		m[c] = (m[c] + n/2) / n
	}
	return m
}

// settle moves the entries to the means of the colours nearest to them, sorts
// them dark to light, and gives every bin its entry.
func settle(used []*bin, pal [][3]int) []color.RGBA {
	for range settleRounds {
		assign(used, pal)
		group := make([][]*bin, len(pal))
		for _, b := range used {
			group[b.slot] = append(group[b.slot], b)
		}
		for i, g := range group {
			if len(g) > 0 {
				pal[i] = meanOf(g)
			}
		}
	}
	slices.SortFunc(pal, func(a, b [3]int) int {
		return cmp.Or(cmp.Compare(lumaOf(a), lumaOf(b)), slices.Compare(a[:], b[:]))
	})
	assign(used, pal)
	out := make([]color.RGBA, len(pal))
	for i, p := range pal {
		out[i] = color.RGBA{uint8((p[0] + 8) / 16), uint8((p[1] + 8) / 16), uint8((p[2] + 8) / 16), 255}
	}
	return out
}

func lumaOf(p [3]int) int { return 3*p[0] + 6*p[1] + p[2] }

// assign gives every bin the nearest entry, the lower one of two equally near.
func assign(used []*bin, pal [][3]int) {
	for _, b := range used {
		best := -1
		for i, p := range pal {
			r, g, bl := p[0]-b.mean[0], p[1]-b.mean[1], p[2]-b.mean[2]
			if d := 3*r*r + 4*g*g + 2*bl*bl; best < 0 || d < best {
				best, b.slot = d, i
			}
		}
	}
}
