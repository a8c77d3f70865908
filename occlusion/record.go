package occlusion

import (
	"errors"
	"math"

	"selvage/bvh"
	"selvage/measure"
	"selvage/mesh"
	"selvage/r3"
	"selvage/register"
	"selvage/surface"
)

// RecordMatch is how a bite record lies on the two arches.
type RecordMatch struct {
	WorkingFromRecord  r3.Rigid
	OpposingFromRecord r3.Rigid
	RMS                float64 // mm, point to plane, of the points that lie on either arch
	Points             int     // how many those are
	working, opposing  register.Result
}

// WorkingFromOpposing returns the bite that the record shows: the motion that brings
// the opposing arch from its own file's frame to the working arch in closure.
func (m RecordMatch) WorkingFromOpposing() r3.Rigid {
	return m.WorkingFromRecord.After(m.OpposingFromRecord.Inverse())
}

// U returns the expanded uncertainty, mm, of where that bite puts a point of the
// opposing arch that comes to lie at p, in the frame of the working arch: both
// registrations' own, and what neither can see, the drift of three scans.
func (m RecordMatch) U(p r3.Vec) float64 {
	q := m.WorkingFromOpposing().Inverse().Point(p)
	w, o := m.working.ShiftU(p), m.opposing.ShiftU(q)
	return math.Sqrt(w*w + o*o + recordDrift*recordDrift)
}

// ErrNoMatch is returned where a record cannot be laid on an arch.
var ErrNoMatch = errors.New("bite record: it does not fit both arches")

const (
	// recordDrift is the part of a record's error that its fit does not show, mm,
	// k = 2: repeated records of one closure spread by 0.02-0.03 mm over a larger
	// range and 0.03-0.04 over a smaller one.
	recordDrift = 0.04

	// recordPoints is how many points of the record are used. With half of them on
	// each arch and 0.01-0.03 mm of residual the registration's own share of the
	// uncertainty is a few µm, a tenth of the drift.
	recordPoints = 2400

	// normalRounds is how often the record's normals are averaged with their
	// neighbours': noise of 45 µm turns a raw one by 25° at 0.1 mm spacing, by 6°
	// after three rounds.
	normalRounds = 3

	// nearStart is how far, mm, a record may lie from an arch and still count as
	// lying on it before anything is fitted: the largest slip of a bite that is
	// still the same bite.
	nearStart = 2.5

	// matchedShare is the least share of the points given to an arch that must end
	// up on it, and of all points on either, and matchedRMS the largest residual, mm: ten times the noise of two
	// scans, a quarter of what two different mouths show.
	matchedShare = 0.5
	matchedRMS   = 0.2

	// goodMatch is the closeness, as a share of all points, at which the search ends:
	// three quarters of the record within 0.017 mm, which no wrong place gives.
	goodMatch = 0.57

	// matchedPoints is the least number of points on each arch: fewer cover less
	// than about 20 mm², one buccal surface, which holds no arch.
	matchedPoints = 150
)

// MatchRecord registers a bite record, which shows the buccal sides of both arches
// with the teeth closed, to each arch by itself.
//
// Every point of the record belongs to one arch: the one that it lies nearer to,
// with like normals. The two are registered in turn, and the points dealt out again,
// three times with a shrinking reach, so that a bite that slipped by a millimetre
// does not leave them with the wrong arch. It starts from the frames as they are.
// Where that does not fit, the arches are looked for from anywhere
// ([register.Coarse]), and of all pairs of proposals that fit and leave the arches
// facing each other the closest is taken: one tooth along an arch looks much like
// the next, and the buccal sides of the two jaws are alike.
//
// The error is [ErrNoMatch], or register's.
func MatchRecord(record, working, opposing Scan) (RecordMatch, error) {
	pts, nrm := samplePoints(record, recordPoints)
	if len(pts) < 2*matchedPoints {
		return RecordMatch{}, ErrNoMatch
	}
	still := r3.Still()
	best, err := settle(pts, nrm, side{tree: working.Tree, from: still}, side{tree: opposing.Tree, from: still})
	if err == nil {
		return best, nil
	}
	found := false
	opposite := register.Coarse(record.Mesh, opposing.Mesh)
	for _, w := range append(register.Coarse(record.Mesh, working.Mesh), register.Pose{DstFromSrc: still}) {
		for _, o := range append([]register.Pose{w, {DstFromSrc: still}}, opposite...) {
			a, b := side{tree: working.Tree, from: w.DstFromSrc}, side{tree: opposing.Tree, from: o.DstFromSrc}
			if !promising(pts, nrm, a, b) {
				continue
			}
			m, e := settle(pts, nrm, a, b)
			if e == nil && (!found || m.closeness() > best.closeness()) {
				best, found, err = m, true, nil
			}
			if found && best.closeness() > goodMatch*float64(len(pts)) {
				return best, nil
			}
		}
	}
	return best, err
}

// promising reports whether a pair of starts is worth settling: the arches face each
// other and most of the record lies near one of them, enough near each.
func promising(pts, nrm []r3.Vec, w, o side) bool {
	m := RecordMatch{WorkingFromRecord: w.from, OpposingFromRecord: o.from}
	if !m.faces(w.tree.Mesh, o.tree.Mesh) {
		return false
	}
	deal(pts, nrm, &w, &o)
	return len(w.pts) >= matchedPoints && len(o.pts) >= matchedPoints &&
		float64(len(w.pts)+len(o.pts)) >= matchedShare*float64(len(pts))
}

// closeness ranks matches: many points, near. A residual of 0.03 mm, twice that of two
// good scans, halves it.
func (m RecordMatch) closeness() float64 {
	r := m.RMS / 0.03
	return float64(m.Points) / (1 + r*r)
}

// settle registers the record to both arches from where they stand.
func settle(pts, nrm []r3.Vec, w, o side) (RecordMatch, error) {
	for _, reach := range []float64{2, 1, 0.4} {
		deal(pts, nrm, &w, &o)
		for _, s := range []*side{&w, &o} {
			if err := s.align(reach); err != nil {
				return RecordMatch{}, err
			}
		}
	}
	nw, no := w.count(), o.count()
	m := RecordMatch{
		WorkingFromRecord: w.from, OpposingFromRecord: o.from,
		working: w.found, opposing: o.found,
		Points: int(nw + no),
		RMS:    math.Sqrt((nw*w.found.RMS*w.found.RMS + no*o.found.RMS*o.found.RMS) / max(nw+no, 1)),
	}
	if !w.fits() || !o.fits() || nw+no < matchedShare*float64(len(pts)) || !m.faces(w.tree.Mesh, o.tree.Mesh) {
		return RecordMatch{}, ErrNoMatch
	}
	return m, nil
}

// faces reports whether the arches are turned to each other in the bite of the match.
// A closed cast, whose surface looks everywhere, cannot tell and passes.
func (m RecordMatch) faces(working, opposing *mesh.Mesh) bool {
	const open = 0.1 // share of the area that an open scan's vector area has at least
	w, o := working.VectorArea(), opposing.VectorArea()
	if w.Norm() < open*working.Area() || o.Norm() < open*opposing.Area() {
		return true
	}
	return m.WorkingFromOpposing().Dir(o).Dot(w) < 0
}

// side is one arch with its part of the record.
type side struct {
	tree     *bvh.Tree
	from     r3.Rigid // arch from record
	found    register.Result
	pts, nrm []r3.Vec
}

// distances returns how far each point lies from the arch, +Inf where nothing with a
// like normal is within nearStart.
func (s *side) distances(pts, nrm []r3.Vec) []float64 {
	moved := make([]r3.Vec, len(pts))
	for i, p := range pts {
		moved[i] = s.from.Point(p)
	}
	d := make([]float64, len(pts))
	for i, n := range s.tree.NearestAll(moved, nearStart) {
		d[i] = math.Inf(1)
		if n.Face == mesh.None {
			continue
		}
		u, ok := s.tree.Mesh.AreaVector(n.Face).Unit()
		if ok && u.Dot(s.from.Dir(nrm[i])) > facing {
			d[i] = n.D
		}
	}
	return d
}

// deal gives each point to the arch that it lies on. A point that lies about as near
// to both, where the teeth meet, is given to neither.
func deal(pts, nrm []r3.Vec, w, o *side) {
	const clearly = 0.7 // one distance in terms of the other
	dw, do := w.distances(pts, nrm), o.distances(pts, nrm)
	w.pts, w.nrm, o.pts, o.nrm = nil, nil, nil, nil
	for i, p := range pts {
		switch {
		case dw[i] < clearly*do[i]:
			w.pts, w.nrm = append(w.pts, p), append(w.nrm, nrm[i])
		case do[i] < clearly*dw[i]:
			o.pts, o.nrm = append(o.pts, p), append(o.nrm, nrm[i])
		}
	}
}

func (s *side) align(reach float64) error {
	r, err := register.Align(s.pts, s.nrm, s.tree, s.from, register.Options{Reach: reach})
	if err != nil {
		return err
	}
	s.found, s.from = r, r.DstFromSrc
	return nil
}

// count returns how many points lie on the arch.
func (s *side) count() float64 { return s.found.Inliers * float64(len(s.pts)) }

func (s *side) fits() bool {
	return s.count() >= matchedPoints && s.found.Inliers >= matchedShare && s.found.RMS <= matchedRMS
}

// samplePoints returns at most about n vertices of a scan, evenly by number, which in a
// scan is evenly by place, with their smooth normals.
func samplePoints(s Scan, n int) (pts, nrm []r3.Vec) {
	m := s.Mesh
	normal := surface.SmoothNormalsOf(m, s.Normals, normalRounds)
	step := max(1, len(m.Pos)/n)
	for v := 0; v < len(m.Pos); v += step {
		if normal[v] != (r3.Vec{}) {
			pts, nrm = append(pts, m.Pos[v]), append(nrm, normal[v])
		}
	}
	return pts, nrm
}

// judgeRecord fills in what the bite record says of the pose that the files carry.
func judgeRecord(in Input, res *Result) {
	res.Implied = r3.Still()
	if in.Record == nil {
		noRecord(res, "no bite record was scanned")
		return
	}
	m, err := MatchRecord(*in.Record, in.Working, in.Opposing)
	if err != nil {
		noRecord(res, "the bite record does not fit both arches")
		return
	}
	g := m.WorkingFromOpposing()
	move := g.Point(in.Tooth).Sub(in.Tooth)
	u := m.U(in.Tooth)
	res.Implied = g
	res.Residual = measure.Of(1000*m.RMS, 1000*m.RMS*math.Sqrt(2/float64(m.Points)), measure.Micro)
	res.Shift = measure.Of(move.Norm(), u, measure.MM).At(measure.Place{At: in.Tooth, Scan: "working"})
	res.Lift = measure.Of(move.Dot(in.Up), u, measure.MM)
	// Half of an arch is 20 mm long; a shift of u at its ends is this tilt.
	const arm = 20.0
	res.Tilt = measure.Of(g.Angle()*180/math.Pi, u/arm*180/math.Pi, measure.Deg)
}

// noRecord fills in why the record says nothing.
func noRecord(res *Result, why string) {
	v := measure.Not(why)
	res.Residual, res.Shift, res.Lift, res.Tilt = v, v, v, v
}
