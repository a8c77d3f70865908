package phantom

import (
	"testing"

	"selvage/phantom/stump"
	"selvage/r3"
	"selvage/tooth"
)

// TestHolesOfThePreparation: what the scanner did not see of the preparation is in the
// truth as it is of the faults: by its widest way across, and not where it is the
// margin's.
func TestHolesOfThePreparation(t *testing.T) {
	s := Default(tooth.Number(36))
	s.Exact, s.Scanner.Fine, s.Scanner.Coarse = true, 0.15, 1.1
	var k Maker
	b := k.start(s, nil, nil)
	m := b.newMade(Working)
	b.contour(m)
	var err error
	if b.die, err = stump.NewSections(b.w.stump.Sound()); err != nil {
		t.Fatal(err)
	}
	for _, p := range b.die.Margin {
		b.truth.Margin.Points = append(b.truth.Margin.Points, pointOf(b.w.prepared.Mouth.Point(p)))
	}
	wall, err := b.onWall()
	if err != nil {
		t.Fatal(err)
	}
	edge := b.truth.Margin.Points[100].Vec()
	beside := b.w.contacts()[0].at // on the neighbour, which the preparation has no part in
	for _, c := range []struct {
		name   string
		at     r3.Vec
		across float64
		holes  int
		due    int
	}{
		{"whole", wall, 0, 0, 0},
		{"pinhole", wall, 0.2, 0, 0},
		{"small", wall, 0.6, 1, 0},
		{"large", wall, 1.6, 1, 1},
		{"at the margin", edge, 1.6, 0, 0},
		{"on the neighbour", beside, 2.5, 0, 0},
	} {
		cut := *m
		cut.cutHole(func(p r3.Vec) bool { return p.Dist(c.at) < c.across/2 })
		b.truth.Missing, b.found = nil, nil
		b.surveyHoles(&cut)
		if len(b.truth.Missing) != c.holes || len(b.found) != c.due {
			t.Errorf("%s: %+v, %+v", c.name, b.truth.Missing, b.found)
			continue
		}
		for _, h := range b.truth.Missing {
			if h.DiameterMm < c.across || h.DiameterMm > c.across+0.45 {
				t.Errorf("%s: %.2f mm across, want %.1f and a triangle at each end", c.name, h.DiameterMm, c.across)
			}
		}
	}
}
