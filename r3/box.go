package r3

import "math"

// Box is an axis-aligned box. The zero Box is the point at the origin; start
// from EmptyBox to gather points.
type Box struct{ Min, Max Vec }

// EmptyBox contains nothing; its Max is below its Min.
func EmptyBox() Box {
	i := math.Inf(1)
	return Box{Vec{i, i, i}, Vec{-i, -i, -i}}
}

// BoxOf returns the smallest box that holds all points.
func BoxOf(pts ...Vec) Box {
	b := EmptyBox()
	for _, p := range pts {
		// Of many points few lie beyond those before them. What is strictly inside alters
		// nothing; all else, NaN and zeros of both signs among it, takes the plain way.
		if p.X > b.Min.X && p.X < b.Max.X && p.Y > b.Min.Y && p.Y < b.Max.Y && p.Z > b.Min.Z && p.Z < b.Max.Z {
			continue
		}
		b = b.Extend(p)
	}
	return b
}

// Empty reports whether the box holds no point.
func (b Box) Empty() bool { return b.Min.X > b.Max.X || b.Min.Y > b.Max.Y || b.Min.Z > b.Max.Z }

// Extend returns the smallest box that holds b and p.
func (b Box) Extend(p Vec) Box {
	return Box{
		Vec{min(b.Min.X, p.X), min(b.Min.Y, p.Y), min(b.Min.Z, p.Z)},
		Vec{max(b.Max.X, p.X), max(b.Max.Y, p.Y), max(b.Max.Z, p.Z)},
	}
}

// Union returns the smallest box that holds both.
func (b Box) Union(c Box) Box { return b.Extend(c.Min).Extend(c.Max) }

// Grow returns the box with every face moved outwards by d.
func (b Box) Grow(d float64) Box {
	return Box{b.Min.Sub(Vec{d, d, d}), b.Max.Add(Vec{d, d, d})}
}

// Contains reports whether p lies in the box, its faces included.
func (b Box) Contains(p Vec) bool {
	return p.X >= b.Min.X && p.X <= b.Max.X && p.Y >= b.Min.Y && p.Y <= b.Max.Y &&
		p.Z >= b.Min.Z && p.Z <= b.Max.Z
}

// Size returns the three edge lengths.
func (b Box) Size() Vec { return b.Max.Sub(b.Min) }

// Center returns the middle.
func (b Box) Center() Vec { return b.Min.Add(b.Max).Scale(0.5) }

// Longest returns the longest edge.
func (b Box) Longest() float64 { s := b.Size(); return max(s.X, s.Y, s.Z) }

// Dist2 returns the squared distance from p to the box, 0 inside.
func (b Box) Dist2(p Vec) float64 {
	d := Vec{
		max(b.Min.X-p.X, 0, p.X-b.Max.X),
		max(b.Min.Y-p.Y, 0, p.Y-b.Max.Y),
		max(b.Min.Z-p.Z, 0, p.Z-b.Max.Z),
	}
	return d.Norm2()
}
