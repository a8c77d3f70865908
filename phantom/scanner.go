package phantom

import (
	"math"
	"math/rand/v2"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/phantom/mouth"
	"selvage/phantom/solid"
	"selvage/r3"
)

// pose is one place of the scanner's window: it looks from eye along look.
type pose struct{ eye, look r3.Vec }

// The virtual scanner's optics, mm and radians, in the range of common hand-held
// devices: a field of 16 mm, a depth of 20 mm at a working distance of 12 mm from
// the tooth. Light that grazes the surface by less than 10° comes back too weak.
const (
	workingDistance = 12.0
	fieldHalf       = 8.0
	depthRange      = 22.0
	leastCosine     = 0.1736 // of the incidence: cos 80°
	neededPoses     = 2      // a place seen less often is dropped as unsure
)

// sweep returns the poses over an arch: along it, from occlusal, and tipped to
// either side and to the front and back, as a scan strategy prescribes; around the
// prepared tooth, where an operator takes care, more. up is the occlusal direction.
func sweep(a *mouth.Arch, from, to float64, care *mouth.Placed) []pose {
	var out []pose
	up := r3.V(0, 0, a.Facing)
	add := func(target, dir r3.Vec) {
		dir = dir.UnitOr(up)
		out = append(out, pose{target.AddScaled(workingDistance, dir), dir.Neg()})
	}
	tilts := [][2]float64{{0, 0}, {0.5, 0}, {-0.5, 0}, {0, 0.45}, {0, -0.45}, {1.1, 0}, {-1.1, 0}, {1.9, 0.2}, {-1.9, -0.2}, {5, 0}, {-5, 0}, {4, 2}, {4, -2}, {-4, 2}, {-4, -2}}
	for _, t := range tilts {
		for s := from - 3; s <= to+3; s += 3 {
			p, along := a.Curve.At(s)
			side := r3.V(along.Y, -along.X, 0)
			add(p.AddScaled(-2.5-0.6*math.Abs(t[0]), up), up.AddScaled(t[0], side).AddScaled(t[1], along))
		}
	}
	if care != nil {
		mesial, buccal, _ := care.Axes()
		w, d := care.Form.Width/2, care.Form.Depth/2
		for _, at := range [...][2]float64{{0, 0}, {w, 0}, {-w, 0}, {0, d}, {0, -d}} {
			target := care.Center().AddScaled(at[0], mesial).AddScaled(at[1], buccal)
			for _, tan := range []float64{0.17, 0.28, 0.45, 0.8, 1.6, 3} {
				for k := range 12 {
					s, c := math.Sincos(2 * math.Pi * float64(k) / 12)
					add(target, up.AddScaled(tan*c, mesial).AddScaled(tan*s, buccal))
				}
			}
		}
	}
	return out
}

// seen reports for every vertex whether enough poses see it. A vertex whose tested
// neighbours agree is taken to be as they are: only where the sight changes is every
// vertex asked, which leaves a third of the rays. What this may miss, a single vertex
// unlike all around it, [mend] would put right.
func seen(m *mesh.Mesh, normal []r3.Vec, block *bvh.Tree, poses []pose) []bool {
	near := neighbours(m)
	tested := apart(near)
	ok := make([]bool, len(m.Pos))
	solid.Parallel(len(m.Pos), func(i int) {
		ok[i] = tested[i] && visible(m.Pos[i], normal[i], block, poses)
	})
	out := make([]bool, len(ok))
	solid.Parallel(len(m.Pos), func(i int) {
		if tested[i] {
			out[i] = ok[i]
			return
		}
		yes, all := 0, 0
		for _, j := range near.of(i) {
			if tested[j] {
				all++
				if ok[j] {
					yes++
				}
			}
		}
		if all > 0 && (yes == 0 || yes == all) {
			out[i] = yes > 0
			return
		}
		out[i] = visible(m.Pos[i], normal[i], block, poses)
	})
	return out
}

// visible reports whether enough poses see the point p with outward normal n.
func visible(p, n r3.Vec, block *bvh.Tree, poses []pose) bool {
	start := p.AddScaled(offSurface, n)
	hits := 0
	for _, q := range poses {
		to := q.eye.Sub(p)
		depth := -to.Dot(q.look)
		if depth < 1 || depth > depthRange || to.AddScaled(depth, q.look).Norm2() > fieldHalf*fieldHalf {
			continue
		}
		dist := to.Norm()
		if to.Dot(n) < leastCosine*dist {
			continue
		}
		if block.Occluded(start, to.Scale(1/dist), 0, dist) {
			continue
		}
		if hits++; hits == neededPoses {
			return true
		}
	}
	return false
}

// ring lists the neighbours of every vertex: those of v are to[from[v]:from[v+1]], one
// of them twice where two faces share the edge.
type ring struct{ from, to []int32 }

func (r ring) of(v int) []int32 { return r.to[r.from[v]:r.from[v+1]] }

func neighbours(m *mesh.Mesh) ring {
	r := ring{make([]int32, len(m.Pos)+1), make([]int32, 6*len(m.Tri))}
	for _, t := range m.Tri {
		for _, v := range t {
			r.from[v+1] += 2
		}
	}
	for v := range m.Pos {
		r.from[v+1] += r.from[v]
	}
	next := append([]int32(nil), r.from...)
	for _, t := range m.Tri {
		for i, v := range t {
			r.to[next[v]], r.to[next[v]+1] = int32(t[(i+1)%3]), int32(t[(i+2)%3])
			next[v] += 2
		}
	}
	return r
}

// apart picks vertices no two of which are neighbours, and beside one of which every
// other lies.
func apart(r ring) []bool {
	picked := make([]bool, len(r.from)-1)
	for v := range picked {
		picked[v] = true
		for _, j := range r.of(v) {
			if int(j) < v && picked[j] {
				picked[v] = false
				break
			}
		}
	}
	return picked
}

// offSurface lifts the start of a ray off its own surface, mm.
const offSurface = 0.02

// mend lets a vertex count as seen where most of its neighbours are, as scanning
// programs close pinholes, and drops seen vertices that stand alone.
func mend(m *mesh.Mesh, ok []bool) []bool {
	yes, all := make([]int, len(ok)), make([]int, len(ok))
	for _, t := range m.Tri {
		for i := range 3 {
			for _, j := range [2]int{(i + 1) % 3, (i + 2) % 3} {
				all[t[i]]++
				if ok[t[j]] {
					yes[t[i]]++
				}
			}
		}
	}
	out := make([]bool, len(ok))
	for v := range ok {
		switch share := float64(yes[v]) / float64(max(all[v], 1)); {
		case share > 0.7:
			out[v] = true
		case share < 0.2:
			out[v] = false
		default:
			out[v] = ok[v]
		}
	}
	return out
}

// keepVertices drops the faces with a corner that is not kept.
func keepVertices(m *mesh.Mesh, ok []bool) *mesh.Mesh {
	keep := make([]bool, len(m.Tri))
	for f, t := range m.Tri {
		keep[f] = ok[t[0]] && ok[t[1]] && ok[t[2]]
	}
	return solid.Keep(m, keep)
}

// dropCrumbs removes loose pieces of less than area mm², as scanning programs do.
func dropCrumbs(m *mesh.Mesh, area float64) *mesh.Mesh {
	labels, n := mesh.NewTopology(m).Components()
	size := make([]float64, n)
	for f := range m.Tri {
		size[labels[f]] += m.AreaVector(mesh.FaceID(f)).Norm()
	}
	keep := make([]bool, len(m.Tri))
	for f := range m.Tri {
		keep[f] = size[labels[f]] >= area
	}
	return solid.Keep(m, keep)
}

// crumbArea is the size under which a scanning program drops a loose piece, mm².
const crumbArea = 3.0

// normals returns the unit normals of the vertices, by the area of their faces.
func normals(m *mesh.Mesh) []r3.Vec {
	out := make([]r3.Vec, len(m.Pos))
	for f, t := range m.Tri {
		a := m.AreaVector(mesh.FaceID(f))
		for _, v := range t {
			out[v] = out[v].Add(a)
		}
	}
	for v := range out {
		out[v] = out[v].UnitOr(r3.V(0, 0, 1))
	}
	return out
}

// roughen moves the vertices along their normals by normal noise of standard
// deviation sigma. With length > 0 half of its variance is correlated over about
// that length: the smooth interpolation of a lattice of normal numbers.
func roughen(m *mesh.Mesh, sigma, length float64, rng *rand.Rand) *mesh.Mesh {
	if sigma <= 0 {
		return m
	}
	n := normals(m)
	pos := make([]r3.Vec, len(m.Pos))
	white, smooth := sigma, 0.0
	if length > 0 {
		white, smooth = sigma/math.Sqrt2, sigma/math.Sqrt2
	}
	key := rng.Uint64()
	for i, p := range m.Pos {
		d := white * rng.NormFloat64()
		if smooth > 0 {
			d += smooth * wave(p.Scale(1/length), key)
		}
		pos[i] = p.AddScaled(d, n[i])
	}
	return &mesh.Mesh{Pos: pos, Tri: m.Tri, Color: m.Color}
}

// wave is smooth noise of unit variance on a lattice of unit spacing.
func wave(p r3.Vec, key uint64) float64 {
	cell := [3]float64{math.Floor(p.X), math.Floor(p.Y), math.Floor(p.Z)}
	at := p.Array()
	sum, norm := 0.0, 0.0
	for c := range 8 {
		w := 1.0
		h := key
		for k := range 3 {
			t := at[k] - cell[k]
			t = t * t * (3 - 2*t)
			corner := int64(cell[k])
			if c>>k&1 == 1 {
				corner++
				w *= t
			} else {
				w *= 1 - t
			}
			h = mix(h ^ uint64(corner)*0x9e3779b97f4a7c15)
		}
		sum += w * normalOf(h)
		norm += w * w
	}
	return sum / math.Sqrt(norm)
}

// mix scrambles 64 bits (the finaliser of splitmix64).
func mix(h uint64) uint64 {
	h ^= h >> 30
	h *= 0xbf58476d1ce4e5b9
	h ^= h >> 27
	h *= 0x94d049bb133111eb
	return h ^ h>>31
}

// normalOf turns 64 bits into a normal number by Box and Muller's formula.
func normalOf(h uint64) float64 {
	u := (float64(h>>40) + 0.5) / (1 << 24)
	v := float64(h&0xffffff) / (1 << 24)
	return math.Sqrt(-2*math.Log(u)) * math.Cos(2*math.Pi*v)
}
