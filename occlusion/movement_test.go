package occlusion

import (
	"math"
	"testing"

	"selvage/bvh"
	"selvage/r3"
	"selvage/tooth"
)

// patient is a jaw whose frame is the world's: x to the left, y back, z up.
var patient = Jaw{Left: r3.V(1, 0, 0), Back: r3.V(0, 1, 0), Up: r3.V(0, 0, 1)}

func condyles() (left, right r3.Vec) {
	g := Guidance{}.withDefaults()
	h := g.Bonwill * math.Sqrt(3) / 2
	m := r3.V(0, h*math.Cos(g.Balkwill), h*math.Sin(g.Balkwill))
	return m.Add(r3.V(g.Bonwill/2, 0, 0)), m.Sub(r3.V(g.Bonwill/2, 0, 0))
}

// The height of the triangle is tabulated: 87.988 for a side of 101.6.
func TestBonwillHeight(t *testing.T) {
	l, r := condyles()
	if h := l.Lerp(r, 0.5).Norm(); math.Abs(h-87.988) > 1e-3 {
		t.Errorf("height %.4f, want 87.988", h)
	}
	if l.Dist(r) != 101.6 || math.Abs(l.Norm()-101.6) > 1e-9 {
		t.Errorf("sides %.3f, %.3f", l.Dist(r), l.Norm())
	}
}

func TestMovementsFollowTheirGuidance(t *testing.T) {
	const deg = math.Pi / 180
	l, r := condyles()
	for _, s := range []float64{0.5, 1.5, 3} {
		for _, m := range []Movement{Protrusion, ToLeft, ToRight} {
			g := Guidance{}.Lower(patient, m, s)
			dl, dr, di := g.Point(l).Sub(l), g.Point(r).Sub(r), g.T
			if drop := -di.Z / math.Hypot(di.X, di.Y); math.Abs(drop-math.Tan(40*deg)) > 1e-6 {
				t.Errorf("%v %.1f: the incisors sink by %.6f of their way, want %.6f", m, s, drop, math.Tan(40*deg))
			}
			moving := [][]r3.Vec{{dl, dr}, {dr}, {dl}}[m]
			for _, d := range moving {
				if slope := math.Atan2(-d.Z, -d.Y) / deg; math.Abs(slope-33) > 1e-6 {
					t.Errorf("%v %.1f: the condyle goes down at %.4f°, want 33°", m, s, slope)
				}
			}
			switch m {
			case Protrusion:
				if math.Abs(di.X)+math.Abs(dl.X)+math.Abs(dr.X) > 1e-9 {
					t.Errorf("protrusion goes sideways: %v", di)
				}
			case ToLeft:
				if b := math.Atan2(dr.X, -dr.Y) / deg; math.Abs(b-15) > 1e-6 || di.X <= 0 || dl.X < 0 {
					t.Errorf("to the left: Bennett %.4f°, incisors %v, working condyle %v", b, di, dl)
				}
				if n := math.Hypot(dl.Y, dl.Z); n > 0.1*s {
					t.Errorf("the working condyle leaves its line by %.3f mm", n)
				}
			}
		}
		// The two sides mirror each other.
		p := r3.V(21, 30, 4)
		a := Guidance{}.Lower(patient, ToLeft, s).Point(p)
		b := Guidance{}.Lower(patient, ToRight, s).Point(r3.V(-p.X, p.Y, p.Z))
		if a.Dist(r3.V(-b.X, b.Y, b.Z)) > 1e-9 {
			t.Errorf("left %v and right %v are no mirror images", a, b)
		}
	}
}

// A tooth placed on the average arch leads back to the incisors and the directions.
func TestJawAt(t *testing.T) {
	for _, n := range tooth.All() {
		x, y, tx, ty := onArch(n)
		side, occlusal := 1.0, patient.Up
		if n.Side() == tooth.Right {
			side = -1
		}
		if n.Jaw() == tooth.Upper {
			occlusal = occlusal.Neg()
		}
		centre, mesial := r3.V(side*x, y, 0), r3.V(-side*tx, -ty, 0)
		j := JawAt(n, odd.Point(centre), odd.Dir(mesial), odd.Dir(occlusal))
		if j.Incisal.Dist(odd.Point(r3.Vec{})) > 1e-9 || j.Left.Dist(odd.Dir(patient.Left)) > 1e-9 ||
			j.Back.Dist(odd.Dir(patient.Back)) > 1e-9 || j.Up.Dist(odd.Dir(patient.Up)) > 1e-9 {
			t.Errorf("tooth %v: %+v", n, j)
		}
	}
	// First molars stand at the arch's tabulated width, within the reach of averages.
	x, y, _, _ := onArch(16)
	if math.Abs(x-upperWidth/2) > 3 || math.Abs(y-upperDepth) > 8 {
		t.Errorf("upper first molar %.1f beside, %.1f behind; want about %.1f, %.1f", x, y, upperWidth/2, upperDepth)
	}
}

// A step in the ceiling towards which the tooth moves: the room found is that of the
// plain loop over positions and vertices.
func TestMoveTowardsAStep(t *testing.T) {
	prep, margin := die(0.15, flat)
	const low, high, edge = 5.1, 6.5, 4.6
	opp := under(field(0, 0, 12, 0.15, func(x, y float64) float64 {
		if x > edge {
			return low
		}
		return high
	}))
	jaw := Jaw{Incisal: r3.V(-25, -30, 4), Left: patient.Left, Back: patient.Back, Up: patient.Up}
	in := MovementInput{
		ClearanceInput: ClearanceInput{Prep: prep, Margin: margin, Axis: up, Opposing: bvh.Build(opp), Holding: r3.V(1, 0, 0)},
		Jaw:            jaw, Lower: true,
		// Flat paths: steep ones would take the tooth away from the step.
		Guidance: Guidance{Condyle: 0.1, Incisal: 0.1, Canine: 0.1},
	}
	still := Clear(in.ClearanceInput)
	r := Move(in)
	if !r.Zones[Functional].Measured() {
		t.Fatal(r.Zones[Functional].Why)
	}
	if r.Worst[Functional] != ToLeft {
		t.Errorf("worst in %v, want laterotrusion left", r.Worst[Functional])
	}
	want := math.Inf(1)
	for k := 1; k <= positions; k++ {
		g := in.Guidance.Lower(jaw, ToLeft, 3*float64(k)/positions)
		for _, v := range still.Vertices {
			if p := g.Point(prep.Pos[v.Vertex]); p.X > edge+0.15 {
				want = math.Min(want, low-p.Z)
			}
		}
	}
	// The patch lies a little deeper in than the single lowest vertex.
	if got := r.Zones[Functional].V; got < want-0.05 || got > want+0.25 {
		t.Errorf("room to the left %.3f, the least vertex has %.3f", got, want)
	}
	if r.Zones[Functional].V >= still.Zones[Functional].PatchMin.V {
		t.Errorf("room in movement %.3f is not below that in closure %.3f", r.Zones[Functional].V, still.Zones[Functional].PatchMin.V)
	}
	if r.Zones[NonFunctional].V < r.Zones[Functional].V+0.5 {
		t.Errorf("the side away from the step has %.3f, the near one %.3f", r.Zones[NonFunctional].V, r.Zones[Functional].V)
	}

	// An upper preparation sees the lower jaw move: the same with everything upside
	// down and the preparation at rest.
	flip := r3.Rigid{R: r3.Rotation(r3.V(0, 1, 0), math.Pi)}
	upper := in
	upper.Prep, upper.Opposing = prep.Moved(flip), bvh.Build(opp.Moved(flip))
	upper.Margin.Pts = nil
	for _, p := range margin.Pts {
		upper.Margin.Pts = append(upper.Margin.Pts, flip.Point(p))
	}
	upper.Axis, upper.Holding, upper.Lower = flip.Dir(up), flip.Dir(r3.V(1, 0, 0)), false
	upper.Jaw.Incisal = flip.Point(r3.V(-25, -30, 4)) // now on the right of the tooth's place
	// The step is now on the right of the upper tooth; the lower jaw brings it there
	// by going to the left.
	if u := Move(upper); u.Worst[Functional] != ToLeft {
		t.Errorf("upper: worst in %v, want laterotrusion left", u.Worst[Functional])
	}
}

func TestMoveNotMeasured(t *testing.T) {
	prep, margin := die(0.3, flat)
	far := bvh.Build(under(field(0, 0, 9, 0.3, func(x, y float64) float64 { return 14 })))
	r := Move(MovementInput{ClearanceInput: ClearanceInput{Prep: prep, Margin: margin, Axis: up, Opposing: far}, Jaw: patient, Lower: true})
	if r.PatchMin.Measured() || r.PatchMin.Why == "" || r.Zones[Central].Why == "" {
		t.Errorf("%+v", r.PatchMin)
	}
}
