package reduction

import (
	"math"
	"slices"

	"selvage/bvh"
	"selvage/internal/num"
	"selvage/measure"
	"selvage/mesh"
	"selvage/r3"
	"selvage/register"
	"selvage/surface"
)

// Match is how the scan from before lies on the working scan.
type Match struct {
	WorkingFromBefore r3.Rigid
	Residual          measure.Value // µm, RMS of the points that lie on the working scan
	// SameMouth is the RMS distance, mm, over nine tenths of the teeth that both
	// scans show, whether they fit or not. Below 0.45 mm two scans are of one mouth
	// (one year apart 0.05-0.18, different mouths 0.72-2.28, [S115]).
	SameMouth measure.Value
	U         float64 // k = 2, mm, of the registration at the prepared tooth
}

// sampleMost is the number of points that a registration uses: their share of its
// uncertainty is then below that of the scans' own drift.
const sampleMost = 3000

// drift is the part of a registration's error that its fit does not show, mm, k = 2:
// each scan bends by some 10 µm over a quadrant, smoothly, so that the teeth beside
// the preparation agree on a place that is off.
const drift = 0.02

// Register lays the scan from before on the working scan, leaving out what lies
// within radius of the prepared tooth seen along up. It starts from the identity:
// the two normally share a frame; where they do not, pass the start found by
// [register.Coarse].
//
// normals are those of the vertices of the scan from before, as from
// [surface.VertexNormals]; nil: made here.
//
// The error is register's where the scans cannot be matched at all.
func Register(working, before *bvh.Tree, normals []r3.Vec, tooth, up r3.Vec, radius float64, start r3.Rigid) (Match, error) {
	pts, nrm := sample(before.Mesh, normals, func(p r3.Vec) bool {
		return start.Point(p).Sub(tooth).Reject(up).Norm2() > radius*radius
	})
	r, err := register.Align(pts, nrm, working, start, register.Options{Reach: 2})
	if err == nil {
		r, err = register.Align(pts, nrm, working, r.DstFromSrc, register.Options{Reach: 0.5})
	}
	if err != nil {
		return Match{WorkingFromBefore: start}, err
	}
	m := Match{WorkingFromBefore: r.DstFromSrc, U: math.Hypot(r.ShiftU(tooth), drift)}
	m.Residual = measure.Of(1000*r.RMS, 1000*r.RMS/math.Sqrt(r.Inliers*float64(len(pts))/2), measure.Micro)
	m.SameMouth = sameMouth(pts, nrm, working, r.DstFromSrc)
	return m, nil
}

// sample returns at most about sampleMost points of m that in accepts, evenly by
// vertex number, with their smooth normals.
func sample(m *mesh.Mesh, normals []r3.Vec, in func(r3.Vec) bool) (pts, nrm []r3.Vec) {
	normal := surface.SmoothNormalsOf(m, normals, 3) // three rounds: 45 µm of noise turn them by 6°
	var ids []mesh.VertexID
	for v, p := range m.Pos {
		if normal[v] != (r3.Vec{}) && in(p) {
			ids = append(ids, mesh.VertexID(v))
		}
	}
	step := max(1, len(ids)/sampleMost)
	for i := 0; i < len(ids); i += step {
		pts, nrm = append(pts, m.Pos[ids[i]]), append(nrm, normal[ids[i]])
	}
	return pts, nrm
}

// mouthReach is how far apart, mm, surfaces of the same place may lie in scans of
// different mouths: twice the largest published RMS would be 4.6, beyond 3 a point
// rather belongs to tissue that one scan does not show.
const mouthReach = 3.0

// sameMouth returns the RMS distance of the points from the working scan, without
// the tenth that fits worst: gum that moved, a tooth that was filled.
func sameMouth(pts, nrm []r3.Vec, working *bvh.Tree, g r3.Rigid) measure.Value {
	moved := make([]r3.Vec, len(pts))
	for i, p := range pts {
		moved[i] = g.Point(p)
	}
	// What is nearest to an open edge lies beyond it, where only the other scan looked.
	var d []float64
	for i, n := range working.NearestAll(moved, mouthReach) {
		if n.Face != mesh.None && !working.OnRim(n) && working.Mesh.AreaVector(n.Face).Dot(g.Dir(nrm[i])) > 0 {
			d = append(d, n.D)
		}
	}
	if len(d) < len(pts)/5 {
		return measure.Not("the scan from before and the working scan hardly overlap")
	}
	slices.Sort(d)
	d = d[:len(d)*9/10]
	rms := num.RMS(d)
	return measure.Of(rms, rms/math.Sqrt(float64(len(d))/2), measure.MM)
}
