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

	// nearStart is how far, mm, a record may lie from an arch and still count as
	// lying on it before anything is fitted: the largest slip of a bite that is
	// still the same bite.
	nearStart = 2.5

	// matchedShare is the least share of the points given to an arch that must end
	// up on it, and of all points on either, and matchedRMS the largest residual, mm: ten times the noise of two
	// scans, a quarter of what two different mouths show.
	matchedShare = 0.5
	matchedRMS   = 0.2

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
// does not leave them with the wrong arch. It starts from the frames as they are. Where
// that does not fit, the working arch is looked for from anywhere ([register.Coarse]),
// then the opposing arch from there, and from anywhere.
//
// The error is [ErrNoMatch], or register's.
func MatchRecord(record, working, opposing Scan) (RecordMatch, error) {
	pts, nrm := samplePoints(record.Mesh, recordPoints)
	if len(pts) < 2*matchedPoints {
		return RecordMatch{}, ErrNoMatch
	}
	w, o := side{tree: working.Tree, from: r3.Still()}, side{tree: opposing.Tree, from: r3.Still()}
	if m, err := settle(pts, nrm, w, o); err == nil {
		return m, nil
	}
	w.find(record.Mesh, pts, nrm)
	o.from = w.from
	if m, err := settle(pts, nrm, w, o); err == nil {
		return m, nil
	}
	o.from = r3.Still()
	o.find(record.Mesh, pts, nrm)
	return settle(pts, nrm, w, o)
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
	if !w.fits() || !o.fits() || nw+no < matchedShare*float64(len(pts)) {
		return RecordMatch{}, ErrNoMatch
	}
	return RecordMatch{
		WorkingFromRecord: w.from, OpposingFromRecord: o.from,
		working: w.found, opposing: o.found,
		Points: int(nw + no),
		RMS:    math.Sqrt((nw*w.found.RMS*w.found.RMS + no*o.found.RMS*o.found.RMS) / (nw + no)),
	}, nil
}

// side is one arch with its part of the record.
type side struct {
	tree     *bvh.Tree
	from     r3.Rigid // arch from record
	found    register.Result
	pts, nrm []r3.Vec
}

// find sets the start to the proposal on which, once refined, most of the record lies
// on the arch. Where there is none it leaves the start alone.
func (s *side) find(record *mesh.Mesh, pts, nrm []r3.Vec) {
	best := *s
	most := s.lying(pts, nrm)
	for _, p := range register.Coarse(record, s.tree.Mesh) {
		t := side{tree: s.tree, from: p.DstFromSrc}
		t.pts, t.nrm = t.near(pts, nrm)
		if t.align(2) != nil {
			continue
		}
		if n := t.lying(pts, nrm); n > most {
			best, most = t, n
		}
	}
	s.from = best.from
}

// lying counts the points within half a millimetre of the arch.
func (s *side) lying(pts, nrm []r3.Vec) int {
	n := 0
	for _, d := range s.distances(pts, nrm) {
		if d < 0.5 {
			n++
		}
	}
	return n
}

// near returns the points within nearStart of the arch.
func (s *side) near(pts, nrm []r3.Vec) (p, n []r3.Vec) {
	for i, d := range s.distances(pts, nrm) {
		if d < nearStart {
			p, n = append(p, pts[i]), append(n, nrm[i])
		}
	}
	return p, n
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

// samplePoints returns at most about n vertices of m, evenly by number, which in a
// scan is evenly by place, with their normals.
func samplePoints(m *mesh.Mesh, n int) (pts, nrm []r3.Vec) {
	normal := surface.VertexNormals(m)
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
