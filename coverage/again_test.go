package coverage

import (
	"math"
	"testing"

	"selvage/mesh"
	"selvage/phantom"
	"selvage/r3"
	"selvage/tooth"
)

// filled lets the virtual scanner look again as advised and returns the share of the
// vertices of the true surface within r of a place that it then sees.
func filled(c phantom.Case, at r3.Vec, r float64, a Approach) float64 {
	holds := []phantom.Hold{{Target: at, Direction: a.Direction}}
	for _, t := range a.Then {
		holds = append(holds, phantom.Hold{Target: at, Direction: t.Direction})
	}
	m, sees := c.Again(holds...)
	n, got := 0, 0
	for v, p := range m.Pos {
		if p.Dist(at) < r {
			n++
			if sees[v] {
				got++
			}
		}
	}
	return float64(got) / float64(n)
}

// hasRoom asks the vertices of the true surface, not the rays that the search casts,
// whether a head stands free somewhere at its working distance.
func hasRoom(m *mesh.Mesh, r *room, at, d r3.Vec) bool {
	h := DefaultHand()
	out := r.forwards.Reject(d).UnitOr(r3.V(1, 0, 0))
	side := d.Cross(out)
	for far := h.Near; far <= h.Far; far++ {
		for turn := -60.0; turn <= 60; turn += 10 {
			s, k := math.Sincos(turn * math.Pi / 180)
			along := out.Scale(k).AddScaled(s, side)
			across := d.Cross(along)
			inside := 0
			for _, p := range m.Pos {
				v := p.Sub(at)
				if z := v.Dot(d) - far; z < 0 || z > h.Depth || math.Abs(v.Dot(across)) > h.Breadth/2 {
					continue
				}
				if x := v.Dot(along); x > -h.Breadth/2 && x < h.Length {
					inside++
				}
			}
			if inside == 0 {
				return true
			}
		}
	}
	return false
}

// Scanning again as the finding says fills the gap, and the head has room there. From
// the other side it does not: the virtual scanner can tell.
func TestAdviceFillsTheGap(t *testing.T) {
	c := sound(t)
	truth := c.Truth.Restorations[0]
	whole := input(t, c, workingOf(c))
	wall := truth.Margin.Points[200].Vec().AddScaled(2, truth.InsertionAxis.Vec())
	near, _ := whole.Working.Tree.Nearest(wall, 3)
	for _, hole := range []struct {
		name string
		at   r3.Vec
		r    float64
	}{
		{"mesial contact", truth.Contacts[0].At.Vec(), 1.25},
		{"distal contact", truth.Contacts[1].At.Vec(), 1.25},
		{"wall", near.Point, 1.1},
	} {
		in := input(t, c, without(workingOf(c), hole.at, hole.r))
		gs := grave(Assess(in).Gaps)
		if len(gs) != 1 || gs[0].At.Dist(hole.at) > 1.5 {
			t.Errorf("%s: gaps %+v", hole.name, gs)
			continue
		}
		a := gs[0].Approach
		if a.Bar != "" {
			t.Errorf("%s: no direction: %s", hole.name, a.Words)
			continue
		}
		got := filled(c, hole.at, hole.r, a)
		up := in.Prepared.Occlusal
		across := a.Direction.Reject(up)
		wrong := Approach{Direction: up.Scale(a.Direction.Dot(up)).Sub(across)}
		other := filled(c, hole.at, hole.r, wrong)
		t.Logf("%s: %s fills %.3f, from the other side %.3f", hole.name, a.Words, got, other)
		if got < 0.95 {
			t.Errorf("%s: %s fills %.3f of it", hole.name, a.Words, got)
		}
		if other > 0.5 {
			t.Errorf("%s: from the other side %.3f of it is seen: this proves nothing", hole.name, other)
		}
		exact, _ := c.Again()
		if !hasRoom(exact, newRoom(in), gs[0].At, a.Direction) {
			t.Errorf("%s: no room for the head along %v", hole.name, a.Direction)
		}
	}
}

// A place under an overhang of the neighbours cannot be seen, and one that a head of
// any size could see is barred to a head that is too large for the mouth.
func TestBars(t *testing.T) {
	in := wallScene(0.4, -0.4)
	deep := FindApproach(in, []r3.Vec{{X: 0.4, Z: 0.3}}, []r3.Vec{{X: -1}})
	if deep.Bar != Shadowed || deep.Direction != (r3.Vec{}) {
		t.Errorf("between walls 0.8 mm apart and 6 mm high: %+v", deep)
	}
	in = wallScene()
	in.Hand.Opening = 12
	shut := FindApproach(in, []r3.Vec{{}}, []r3.Vec{{Z: 1}})
	if shut.Bar != NoRoom {
		t.Errorf("mouth open by 12 mm in front, head 15 mm thick: %+v", shut)
	}
}

// Round a stump no one direction shows all: the advice goes on to further ones.
func TestAroundTheTooth(t *testing.T) {
	c := sound(t)
	in := input(t, c, workingOf(c))
	r := newRoom(in)
	var pts, nrm []r3.Vec
	for i, p := range in.Margin {
		if i%8 == 0 {
			q := r.frame.Point(p)
			pts, nrm = append(pts, p), append(nrm, r.back.Dir(r3.V(q.X, q.Y, 0).UnitOr(r3.V(1, 0, 0))))
		}
	}
	a := FindApproach(in, pts, nrm)
	if a.Bar != "" || len(a.Then) < 2 || a.Seen < 0.9 {
		t.Errorf("round the tooth: %+v", a)
	}
	sides := map[tooth.Surface]bool{a.From: true}
	for _, b := range a.Then {
		sides[b.From] = true
	}
	if len(sides) < 3 {
		t.Errorf("from %v", sides)
	}
}
