package surface

import (
	"cmp"
	"math"
	"slices"

	"selvage/internal/num"
	"selvage/mesh"
	"selvage/r3"
)

// Filling is a place where a program closed a hole: surface that nobody scanned.
type Filling struct {
	At     r3.Vec // on the surface
	Normal r3.Vec // unit
	Area   float64
	Even   bool // told by its evenness; else by its few long faces
}

const (
	// fillRings is the radius, in edges at its middle, over which a point is held
	// against its surroundings: some 16 points.
	fillRings = 2.3

	// fillEven is the share of the scan's noise under which surface is not measured: of
	// ten degrees of freedom a twentieth as much is found once in a million points, and
	// real surfaces differ by two or three times.
	fillEven = 0.2

	// fillNoise is the noise, mm, under which a scan is too even everywhere to tell: it
	// was smoothed, or not scanned at all.
	fillNoise = 1.5e-3

	// fillCoarse is what a quadric leaves, mm, from which it is shape, on a scan too coarse
	// for its noise to be seen: no scanner is so noisy.
	fillCoarse = 0.06

	// fillSpread is the least share of the median evenness that its fifth is of, where
	// noise makes it: 0.75 of ten degrees of freedom. Where shape does, on a scan without
	// noise, it runs over decades.
	fillSpread, fillFifth = 0.5, 0.2

	// fillBand is how far around a lid, in radii of a fit, its rim is looked at, and
	// fillUnlike the least share of the scan's noise that it must have: measured
	// surface grows even by and by.
	fillBand, fillUnlike = 2.5, 0.6

	// fillLong is how many times the spacing at its corners the longest edge of a face
	// is that spans a hole: a scan's own faces grow by two or three from one to the next.
	fillLong = 4.0

	// fillRim is the mean length, in spacings, of the edges that a lid of long faces
	// shares with the scan: the rim is the scan's own, where a change to coarser
	// sampling borders on long edges.
	fillRim = 2.0

	// fillWide is the least mean width of such a lid, in spacings of its rim: a row of
	// slivers, as where two meshes were joined, is narrower.
	fillWide = 2.0
)

// Filled finds surface that a program invented to close a hole, as patches of at least
// least mm², the largest first.
//
// Two signs tell it. A lid of new points is even: what is left of a quadric through some
// 16 points is under a fifth of the noise of the scan, where every measured surface has
// it. A lid without points of its own spans from rim to rim: faces with an edge over
// four times the spacing at a corner, joined, with a rim of short edges.
//
// In a scan that was smoothed as a whole (noise under 1.5 µm), or is too coarse for its
// noise to be seen, no even lid can be told; one that was made coarser where it is flat has long faces on both sides of theirs. Area counts
// the lid to its rim. Cost: one quadric a vertex. Deterministic on any number of cores.
func Filled(m *mesh.Mesh, topo *mesh.Topology, normals []r3.Vec, least float64) []Filling {
	out := append(evenLids(m, topo, normals, least), longLids(m, topo, least)...)
	slices.SortStableFunc(out, func(a, b Filling) int { return cmp.Compare(b.Area, a.Area) })
	return out
}

// evenLids finds patches with hardly any noise.
func evenLids(m *mesh.Mesh, topo *mesh.Topology, normals []r3.Vec, least float64) []Filling {
	rough := make([]float64, len(m.Pos))
	eachVertex(topo, len(m.Pos), 1, func(r *rings, v mesh.VertexID) {
		rough[v] = math.NaN()
		radius := fillRings * r.edge(m.Pos, v)
		j, ok := fitJet(m.Pos, normals, r.within(m.Pos, v, radius, fitMost), radius)
		if ok && j.num >= noisePoints {
			rough[v] = math.Sqrt(j.sum2 / float64(j.num-jetUnknowns))
		}
	})
	var known []float64
	for _, s := range rough {
		if !math.IsNaN(s) {
			known = append(known, s)
		}
	}
	if len(known) < noisePatches {
		return nil
	}
	sigma := num.Quantile(known, noiseQuantile)
	if sigma < fillNoise || sigma > fillCoarse || num.Quantile(known, fillFifth) < fillSpread*num.Median(known) {
		return nil
	}
	even := make([]bool, len(rough))
	for v, s := range rough {
		even[v] = s < fillEven*sigma // never if it is NaN
	}
	area := VertexAreas(m)
	r := newRings(topo, len(m.Pos), nil)
	var out []Filling
	for _, set := range Regions(topo, even) {
		if f := evenLid(m, normals, area, r, set); f.Area >= least && unlike(m, r, rough, set) >= fillUnlike*sigma {
			out = append(out, f)
		}
	}
	return out
}

// evenLid measures a lid from its even points: those nearer to the rim than the radius
// of a fit belong to it.
func evenLid(m *mesh.Mesh, normals []r3.Vec, area []float64, r *rings, set []mesh.VertexID) Filling {
	f := Filling{Even: true}
	in := map[mesh.VertexID]bool{} // asked by number, never walked
	for _, v := range set {
		for _, w := range r.within(m.Pos, v, fillRings*r.edge(m.Pos, v), fitMost) {
			if !in[w] {
				in[w] = true
				f.Area += area[w]
			}
		}
		f.At = f.At.AddScaled(area[v], m.Pos[v])
		f.Normal = f.Normal.AddScaled(area[v], normals[v])
	}
	sum := 0.0
	for _, v := range set {
		sum += area[v]
	}
	if sum == 0 {
		return Filling{}
	}
	f.At = m.Pos[nearest(m, set, f.At.Scale(1/sum))]
	f.Normal = f.Normal.UnitOr(normals[set[0]])
	return f
}

// unlike returns the median of what quadrics leave in the band around a lid, beyond the
// reach of a fit; NaN where there is none.
func unlike(m *mesh.Mesh, r *rings, rough []float64, set []mesh.VertexID) float64 {
	near, band := map[mesh.VertexID]bool{}, map[mesh.VertexID]bool{}
	var order []mesh.VertexID
	for _, v := range set {
		radius := fillRings * r.edge(m.Pos, v)
		for _, w := range r.within(m.Pos, v, fillBand*radius, fillBandMost) {
			if m.Pos[w].Dist(m.Pos[v]) < radius {
				near[w] = true
			} else if !band[w] {
				band[w] = true
				order = append(order, w)
			}
		}
	}
	var s []float64
	for _, w := range order {
		if !near[w] && !math.IsNaN(rough[w]) {
			s = append(s, rough[w])
		}
	}
	if len(s) == 0 {
		return math.NaN()
	}
	return num.Median(s)
}

// fillBandMost bounds the points of one walk about a point of a lid.
const fillBandMost = 200

// longLids finds patches of few long faces with a rim of short edges.
func longLids(m *mesh.Mesh, topo *mesh.Topology, least float64) []Filling {
	spacing := spacings(m, topo)
	long := make([]bool, len(m.Tri))
	for f, t := range m.Tri {
		s := min(spacing[t[0]], spacing[t[1]], spacing[t[2]])
		long[f] = longestOf(m, mesh.FaceID(f)) > fillLong*s
	}
	var out []Filling
	seen := make([]bool, len(long))
	for f := range long {
		if !long[f] || seen[f] {
			continue
		}
		if lid, ok := longLid(m, topo, spacing, long, seen, mesh.FaceID(f)); ok && lid.Area >= least {
			out = append(out, lid)
		}
	}
	return out
}

// longLid walks the joined long faces from one of them. ok is false where their rim is
// not one of short edges all round.
func longLid(m *mesh.Mesh, topo *mesh.Topology, spacing []float64, long, seen []bool, from mesh.FaceID) (lid Filling, ok bool) {
	set := []mesh.FaceID{from}
	seen[from] = true
	rim, want, edges, open := 0.0, 0.0, 0.0, 0
	for i := 0; i < len(set); i++ {
		for k := range 3 {
			h := mesh.HalfedgeID(3*int(set[i]) + k)
			if topo.Open(h) {
				open++
				continue
			}
			g := topo.Pair[h].Face()
			if long[g] {
				if !seen[g] {
					seen[g] = true
					set = append(set, g)
				}
				continue
			}
			a, b := m.From(h), m.To(h)
			rim += m.Pos[a].Dist(m.Pos[b])
			want += min(spacing[a], spacing[b])
			edges++
		}
	}
	for _, f := range set {
		v := m.AreaVector(f)
		a, b, c := m.Corners(f)
		lid.Area += v.Norm()
		lid.Normal = lid.Normal.Add(v)
		lid.At = lid.At.AddScaled(v.Norm()/3, a.Add(b).Add(c))
	}
	if lid.Area == 0 || want == 0 || open > 0 || rim > fillRim*want || 2*lid.Area/rim < fillWide*want/edges {
		return Filling{}, false
	}
	lid.At = lid.At.Scale(1 / lid.Area)
	best := math.Inf(1)
	at := lid.At
	for _, f := range set { // a place on the surface: the nearest corner or middle of a face
		a, b, c := m.Corners(f)
		for _, p := range [...]r3.Vec{a.Add(b).Add(c).Scale(1.0 / 3), a, b, c} {
			if p.Dist2(lid.At) < best {
				best, at = p.Dist2(lid.At), p
			}
		}
	}
	lid.At, lid.Normal = at, lid.Normal.UnitOr(r3.Vec{})
	return lid, true
}

// spacings returns the median length of the edges at every vertex.
func spacings(m *mesh.Mesh, topo *mesh.Topology) []float64 {
	out := make([]float64, len(m.Pos))
	var ring []mesh.VertexID
	var e []float64
	for v := range m.Pos {
		ring = oneRing(topo, ring, mesh.VertexID(v))
		e = e[:0]
		for _, w := range ring {
			e = append(e, m.Pos[v].Dist(m.Pos[w]))
		}
		if len(e) > 0 {
			out[v] = num.Nth(e, len(e)/2)
		}
	}
	return out
}

func longestOf(m *mesh.Mesh, f mesh.FaceID) float64 {
	a, b, c := m.Corners(f)
	return math.Sqrt(max(a.Dist2(b), b.Dist2(c), c.Dist2(a)))
}
