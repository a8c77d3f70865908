package bvh

import (
	"math"
	"runtime"
	"sync"

	"selvage/mesh"
	"selvage/r3"
)

// The faces are put into the order of a space-filling curve, by a key that holds the place
// on the curve above and the face below.
const (
	curveBits = 11               // per axis: 2048 cells, 30 µm of a dental arch
	keyShift  = 64 - 3*curveBits // where the face's number ends
	digitBits = 11
	numDigits = 1 << digitBits
)

// key of a face or a point; its number takes the lower keyShift bits.
type key uint64

// index returns what follows the place on the curve.
func (k key) index() int { return int(k & (1<<keyShift - 1)) }

func (k key) face() mesh.FaceID { return mesh.FaceID(k.index()) }

// spread moves the lower 11 bits of x apart, two zeros after each.
func spread(x uint64) uint64 {
	x = (x | x<<16) & 0x070000ff
	x = (x | x<<8) & 0x0700f00f
	x = (x | x<<4) & 0x430c30c3
	return (x | x<<2) & 0x49249249
}

// curve returns the place of a cell on the curve [Morton1966]: the bits of its
// coordinates in turn, highest first.
func (p packed) curve() uint64 {
	const drop = gridBits - curveBits
	x, y, z := uint64(p)&laneMask>>drop, uint64(p)>>laneBits&laneMask>>drop, uint64(p)>>(2*laneBits)>>drop
	return spread(x) | spread(y)<<1 | spread(z)<<2
}

// sorted returns the keys of all faces in ascending order.
func sorted(m *mesh.Mesh, g *grid) []key {
	n := len(m.Tri)
	keys := make([]key, n)
	eachChunk(n, func(_, from, to int) {
		for i := from; i < to; i++ {
			a, b, c := m.Corners(mesh.FaceID(i))
			mid := a.Add(b).Add(c).Scale(1.0 / 3)
			keys[i] = key(g.cell(mid).curve()<<keyShift | uint64(i))
		}
	})
	return sortKeys(keys)
}

// Points are put into order from fewSteps of them on, where they lie farther apart than
// longSteps times what they would if they covered a square in rows.
const (
	fewSteps  = 1024
	longSteps = 8.0
)

// sweep returns the order along the curve of points that do not follow one another in
// space, nil for those that do. A place in the cache is worth more than the sorting.
func sweep(pts []r3.Vec) []key {
	n := len(pts)
	if n < fewSteps {
		return nil
	}
	box := r3.BoxOf(pts...)
	way := 0.0
	for i := 1; i < n; i++ {
		way += pts[i].Dist(pts[i-1])
	}
	if !(way > longSteps*math.Sqrt(float64(n))*box.Longest()) { // also where a point is not finite
		return nil
	}
	g := newGrid(box)
	keys := make([]key, n)
	eachChunk(n, func(_, from, to int) {
		for i := from; i < to; i++ {
			keys[i] = key(g.cell(pts[i]).curve()<<keyShift | uint64(i))
		}
	})
	return sortKeys(keys)
}

// sortKeys returns keys in ascending order, digit by digit from the lowest of the curve;
// those of one place keep theirs. It alters keys.
func sortKeys(keys []key) []key {
	other := make([]key, len(keys))
	for shift := keyShift; shift < 64; shift += digitBits {
		sortDigit(other, keys, shift)
		keys, other = other, keys
	}
	return keys
}

// sortDigit copies keys to dst in the order of one digit; equal ones keep their order.
// Each core counts and moves a stretch of its own, which goes behind those before it: the
// result is the same for any number of them.
func sortDigit(dst, keys []key, shift int) {
	cores := min(runtime.GOMAXPROCS(0), 1+len(keys)/goMin)
	at := make([][numDigits]int32, cores)
	stretch := func(c int) []key { return keys[len(keys)*c/cores : len(keys)*(c+1)/cores] }
	onCores(cores, func(c int) {
		for _, k := range stretch(c) {
			at[c][k>>shift&(numDigits-1)]++
		}
	})
	sum := int32(0)
	for d := range numDigits {
		for c := range at {
			at[c][d], sum = sum, sum+at[c][d]
		}
	}
	onCores(cores, func(c int) {
		to := &at[c]
		for _, k := range stretch(c) {
			d := k >> shift & (numDigits - 1)
			dst[to[d]] = k
			to[d]++
		}
	})
}

// onCores calls do for 0..n-1, each in a goroutine of its own.
func onCores(n int, do func(c int)) {
	if n == 1 {
		do(0)
		return
	}
	var wg sync.WaitGroup
	for c := range n {
		wg.Go(func() { do(c) })
	}
	wg.Wait()
}
