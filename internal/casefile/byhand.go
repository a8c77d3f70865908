package casefile

import (
	"strconv"

	"selvage/finding"
)

// ByHand is what a person says about the margin of one restoration: points that the
// line must pass, stretches that were drawn, who accepted the line, and how often its
// doubtful places were scanned before. Coordinates are mm in the frame of the scan's
// file.
type ByHand struct {
	Scan       finding.Role   `json:"scan,omitempty" doc:"The scan in whose frame the points are: working or preparation; left out, the one that the margin is traced on."`
	Pins       [][3]float64   `json:"pins,omitempty" doc:"Points that the line must pass, in mm in the frame of that scan's file."`
	Drawn      [][][3]float64 `json:"drawn,omitempty" doc:"Stretches drawn by hand, each a list of points in order along the line."`
	AcceptedBy string         `json:"accepted_by,omitempty" doc:"The dentist who accepted the line."`
	Tries      []Try          `json:"tries,omitempty" doc:"Earlier scans in which a stretch of the margin was doubtful."`
}

// Try is one earlier scan of a doubtful stretch.
type Try struct {
	At [3]float64 `json:"at" doc:"A point of the stretch, in mm in the frame of the scan's file."`
	N  int        `json:"count,omitempty" doc:"How many scans; left out, one."`
}

// Empty reports whether nothing was said.
func (b ByHand) Empty() bool {
	return b.Scan == "" && len(b.Pins) == 0 && len(b.Drawn) == 0 && b.AcceptedBy == "" && len(b.Tries) == 0
}

// IsZero leaves an empty field out of the file.
func (b ByHand) IsZero() bool { return b.Empty() }

// traceable are the scans that a margin can be traced on.
var traceable = []finding.Role{finding.RoleWorking, finding.RolePreparation}

func (r *reader) byHand(o *object) ByHand {
	out := ByHand{Scan: word(o, "scan", traceable), AcceptedBy: o.text("accepted_by")}
	pins, paths := o.list("pins")
	for i, n := range pins {
		out.Pins = append(out.Pins, r.point(paths[i], n))
	}
	drawn, paths := o.list("drawn")
	for i, n := range drawn {
		line := r.points(paths[i], n)
		if len(line) < 2 {
			r.fail(paths[i], "needs two points or more; a single point goes into pins")
			continue
		}
		out.Drawn = append(out.Drawn, line)
	}
	tries, paths := o.list("tries")
	for i, n := range tries {
		to := r.object(paths[i], n)
		t := Try{N: 1}
		if at, ok := to.get("at"); ok {
			t.At = r.point(to.at("at"), at)
		} else {
			r.fail(to.at("at"), "is missing; it says which stretch was scanned")
		}
		if c, ok := to.get("count"); ok {
			k, err := strconv.Atoi(c.text)
			if c.kind != "number" || err != nil || k < 1 {
				r.fail(to.at("count"), "must be a whole number from 1")
			}
			t.N = k
		}
		to.done()
		out.Tries = append(out.Tries, t)
	}
	o.done()
	return out
}

func (r *reader) points(path string, n node) [][3]float64 {
	if n.kind != "list" {
		r.fail(path, "must be a list of points, not %s", kindWords(n))
		return nil
	}
	var out [][3]float64
	for i, p := range n.fields {
		out = append(out, r.point(path+"["+strconv.Itoa(i)+"]", p))
	}
	return out
}

// point reads [x, y, z].
func (r *reader) point(path string, n node) (p [3]float64) {
	if n.kind != "list" || len(n.fields) != 3 {
		r.fail(path, "must be a point [x, y, z], not %s", kindWords(n))
		return p
	}
	for i, c := range n.fields {
		v, err := strconv.ParseFloat(c.text, 64)
		if c.kind != "number" || err != nil || v != v || v > farthest || v < -farthest {
			r.fail(path, "must be three numbers in mm")
			return [3]float64{}
		}
		p[i] = v
	}
	return p
}

// farthest is the largest coordinate of a point, mm: no scan is a metre from its
// origin, and a number beyond it is in another unit.
const farthest = 1000
