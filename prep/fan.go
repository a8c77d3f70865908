package prep

import (
	"math"
	"runtime"
	"sync"

	"selvage/mesh"
	"selvage/r3"
)

// Fan is the set of profiles of a preparation at equal steps of azimuth.
type Fan struct {
	Prep     *Preparation
	Step     float64 // arc length between samples of a profile, mm
	Profiles []Profile
}

// Profiles per turn and arc step of a fan. At 5 mm from the axis 720 half-planes
// are 0.044 mm apart, finer than any scan's spacing; so is the step.
const (
	Azimuths = 720
	FanStep  = 0.025
)

// Limits of a walk: how far from the axis and how long a profile may become. The
// farthest point of interest is the gum beside the margin.
const (
	maxRho    = CutRadius
	maxLength = 22.0
)

// overAxis is how far, in mm, a profile may run back over the axis before it is another
// azimuth's: noise folds a steep tip, and a profile that ended there would see no wall.
const overAxis = 0.3

// maxBridge is the widest hole, in mm, that a profile looks across for the
// surface beyond. Holes in a preparation are a few millimetres; wider than this
// the far side need not belong to the same wall.
const maxBridge = 4.0

// furrow is the widest crevice, in mm, whose unseen bottom a profile steps over to a far
// side that stands higher than where the near one ended: a sulcus, or tissue that lies
// against the wall.
const furrow = 0.6

// Cut returns the fan of p about its axis. ok is false if the axis meets no
// surface of the preparation.
//
// Each half-plane is walked by adjacency from the face that the axis meets first
// from above, so a profile is one ordered line with an unambiguous open end.
// Crossings are exact on the triangles (linear along edges). Deterministic; cost
// O(faces + Azimuths · faces crossed).
func Cut(p *Preparation) (fan *Fan, ok bool) {
	w := newWalker(p)
	start := w.faceOnAxis()
	if start == mesh.None {
		return nil, false
	}
	fan = &Fan{Prep: p, Step: FanStep, Profiles: make([]Profile, Azimuths)}
	EachProfile(fan, func(i int) {
		phi := 2 * math.Pi * float64(i) / Azimuths
		fan.Profiles[i] = resample(phi, w.walk(phi, start), FanStep)
	})
	return fan, true
}

// EachProfile calls do for every profile's index, on all cores. do must write to
// slot i of its results and nowhere else, so that the outcome is the same for any
// number of them.
func EachProfile(f *Fan, do func(i int)) {
	workers := min(runtime.GOMAXPROCS(0), 8)
	var wg sync.WaitGroup
	for k := range workers {
		wg.Go(func() {
			for i := k; i < len(f.Profiles); i += workers {
				do(i)
			}
		})
	}
	wg.Wait()
}

// Scan returns sample i of profile k in the frame of the scan.
func (f *Fan) Scan(k, i int) r3.Vec {
	return f.Prep.Frame().Inverse().Point(f.Profiles[k].Point(i))
}

// walker holds what every walk of one preparation shares.
type walker struct {
	m    *mesh.Mesh
	pair []mesh.HalfedgeID
	pos  []r3.Vec // vertices in the preparation's frame
	rim  []mesh.HalfedgeID
}

// aside moves the axis off a vertex that it would meet exactly, as in a mesh made
// by turning: a tenth of a nanometre, in a direction that no symmetry has. A walk
// that starts in a vertex has no outward side.
var aside = r3.V(1.3e-7, 0.7e-7, 0)

func newWalker(p *Preparation) *walker {
	g := p.Frame()
	w := &walker{m: p.Mesh, pair: p.Topo.Pair, pos: make([]r3.Vec, len(p.Mesh.Pos))}
	for i, q := range p.Mesh.Pos {
		w.pos[i] = g.Point(q).Add(aside)
	}
	for h, pr := range w.pair {
		if pr == mesh.None {
			w.rim = append(w.rim, mesh.HalfedgeID(h))
		}
	}
	return w
}

// faceOnAxis returns the highest face that the axis meets, or None. Points on an
// edge count for both faces; the higher, then the lower id, wins.
func (w *walker) faceOnAxis() mesh.FaceID {
	best, bestZ := mesh.FaceID(mesh.None), math.Inf(-1)
	for f, t := range w.m.Tri {
		a, b, c := w.pos[t[0]], w.pos[t[1]], w.pos[t[2]]
		u := b.X*c.Y - b.Y*c.X
		v := c.X*a.Y - c.Y*a.X
		q := a.X*b.Y - a.Y*b.X
		if (u < 0 || v < 0 || q < 0) && (u > 0 || v > 0 || q > 0) {
			continue
		}
		if s := u + v + q; s != 0 {
			if z := (u*a.Z + v*b.Z + q*c.Z) / s; z > bestZ {
				best, bestZ = mesh.FaceID(f), z
			}
		}
	}
	return best
}

// plane is one half-plane: side is signed distance to its plane, out the
// distance from the axis within it.
type plane struct{ s, c float64 }

func (q plane) side(p r3.Vec) float64 { return q.c*p.Y - q.s*p.X }
func (q plane) out(p r3.Vec) float64  { return q.c*p.X + q.s*p.Y }

// cross returns where the plane meets half-edge h. ok is false if it does not; a
// vertex on the plane counts as lying on the positive side, so that every walk
// is unambiguous.
func (w *walker) cross(q plane, h mesh.HalfedgeID) (r raw, ok bool) {
	t := w.m.Tri[h/3]
	a, b := w.pos[t[h%3]], w.pos[t[(h+1)%3]]
	sa, sb := q.side(a), q.side(b)
	if (sa >= 0) == (sb >= 0) {
		return raw{}, false
	}
	x := a.Lerp(b, sa/(sa-sb))
	return raw{rho: q.out(x), z: x.Z}, true
}

// walk follows the half-plane at azimuth phi from the start face outwards.
func (w *walker) walk(phi float64, start mesh.FaceID) []raw {
	s, c := math.Sincos(phi)
	q := plane{s, c}
	pts := make([]raw, 0, 512)

	// The plane through the axis leaves the start face twice; outwards is the
	// crossing with the larger distance from the axis.
	exit, at := mesh.HalfedgeID(mesh.None), raw{rho: math.Inf(-1)}
	for i := range 3 {
		h := mesh.HalfedgeID(3*int(start) + i)
		if r, ok := w.cross(q, h); ok && r.rho > at.rho {
			exit, at = h, r
		}
	}
	if exit == mesh.None {
		return nil
	}
	pts = append(pts, at)
	for length := 0.0; length < maxLength; {
		next := w.pair[exit]
		if next == mesh.None {
			h, r, ok := w.bridge(q, exit, pts)
			if !ok {
				break
			}
			length += math.Hypot(r.rho-at.rho, r.z-at.z)
			r.gap = true
			pts = append(pts, r)
			next, at = h, r
		}
		var r raw
		if exit, r = w.leave(q, next); exit == mesh.None || r.rho > maxRho || r.rho < -overAxis {
			break
		}
		length += math.Hypot(r.rho-at.rho, r.z-at.z)
		pts = append(pts, r)
		at = r
	}
	return pts
}

// leave returns the half-edge by which the plane leaves the face that it entered
// by half-edge in, and the crossing.
func (w *walker) leave(q plane, in mesh.HalfedgeID) (mesh.HalfedgeID, raw) {
	f, i := in/3, in%3
	for k := mesh.HalfedgeID(1); k < 3; k++ {
		h := 3*f + (i+k)%3
		if r, ok := w.cross(q, h); ok {
			return h, r
		}
	}
	return mesh.None, raw{}
}

// bridge looks across a hole: among the open edges that the half-plane crosses
// and beyond which the surface goes on outwards or down, the nearest within
// maxBridge of the last point, in front of it or across a furrow.
func (w *walker) bridge(q plane, from mesh.HalfedgeID, pts []raw) (mesh.HalfedgeID, raw, bool) {
	at := pts[len(pts)-1]
	back := pts[max(0, len(pts)-12)] // about half a millimetre earlier: the direction of travel
	dr, dz := at.rho-back.rho, at.z-back.z
	best, bestAt, bestD := mesh.HalfedgeID(mesh.None), raw{}, maxBridge
	for _, h := range w.rim {
		if h == from {
			continue
		}
		r, ok := w.cross(q, h)
		if !ok || r.rho <= 0 {
			continue
		}
		d := math.Hypot(r.rho-at.rho, r.z-at.z)
		front := (r.rho-at.rho)*dr+(r.z-at.z)*dz >= 0
		across := !front && d < furrow && r.rho > at.rho // the far side of a crevice turns back up
		if d >= bestD || !front && !across {
			continue
		}
		if _, next := w.leave(q, h); next.rho+1e-9 < r.rho && (across || next.z > r.z) {
			continue // runs back inwards and up: the far lip of something else
		}
		best, bestAt, bestD = h, r, d
	}
	return best, bestAt, best != mesh.None
}
