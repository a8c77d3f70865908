package stump_test

import (
	"math"
	"testing"

	"selvage/phantom/mouth"
	"selvage/phantom/stump"
	"selvage/r3"
	"selvage/tooth"
)

const degree = math.Pi / 180

// molar is the upper left first molar in its place.
func molar(t *testing.T) *mouth.Placed {
	t.Helper()
	a := mouth.NewArch(mouth.Person{}, tooth.Upper, tooth.Left, 7, 1, 0.02)
	for _, p := range a.Teeth {
		if p.Form.Number == 26 {
			return p
		}
	}
	t.Fatal("no tooth 26")
	return nil
}

func shape() stump.Shape {
	return stump.Shape{
		ConvergenceMD: 12 * degree, ConvergenceBL: 18 * degree,
		FinishLine: stump.HeavyChamfer, FinishWidth: 1, EdgeRadius: 0.04, LineAngle: 0.4,
		OcclusalReduction: 1.6, MarginHeight: -0.2, Scallop: 0.5,
	}
}

// TestMarginLiesOnTheSurface holds every point of the margin to the zero of the
// field, and to the middle of the edge, where the normal halves the turn.
func TestMarginLiesOnTheSurface(t *testing.T) {
	w := stump.New(molar(t), shape())
	for deg := 0.0; deg < 360; deg += 1.5 {
		p, err := w.MarginAt(deg * degree)
		if err != nil {
			t.Fatal(err)
		}
		s := w.Local(p)
		if math.Abs(s.D) > 1e-6 { // 1 nm; the edge is 0.04 mm round
			t.Errorf("azimuth %v: the margin lies %v mm off the surface", deg, s.D)
		}
		outer, cut := w.Faces(p)
		if d := math.Abs(s.N.Angle(outer.N) - s.N.Angle(cut.N)); d > 1e-4 {
			t.Errorf("azimuth %v: the normal is %v rad off the middle of the edge", deg, d)
		}
	}
}

// TestWallNormals checks the construction: at every point of the bare wall the
// angle between normal and axis is the taper that was asked for at the normal's
// azimuth, tan T = mean + even·cos 2ν, whatever the tilt.
func TestWallNormals(t *testing.T) {
	for _, tilt := range []float64{0, 6 * degree} {
		s := shape()
		s.TiltMesial, s.TiltBuccal = tilt, -tilt/2
		w := stump.New(molar(t), s)
		d, err := stump.NewSections(w)
		if err != nil {
			t.Fatal(err)
		}
		m, b := math.Tan(s.ConvergenceMD/2), math.Tan(s.ConvergenceBL/2)
		n := 0
		for _, f := range d.Wall() {
			nu := math.Atan2(f.Normal.Y, f.Normal.X)
			want := math.Atan((m+b)/2 + (m-b)/2*math.Cos(2*nu))
			if got := math.Asin(f.Normal.Z); math.Abs(got-want) > 1.5e-4 { // a piece has the mean normal of its ends
				t.Fatalf("tilt %v: taper %v° at ν %v°, want %v°", tilt/degree, got/degree, nu/degree, want/degree)
			}
			n++
		}
		if n < 5000 {
			t.Errorf("only %d pieces of wall", n)
		}
		// The planes through the tooth cut the wall near to square.
		if got := d.Convergence(0); math.Abs(got-12) > 0.25 {
			t.Errorf("tilt %v: mesiodistal convergence %v°, want 12", tilt/degree, got)
		}
		if got := d.Convergence(math.Pi / 2); math.Abs(got-18) > 0.25 {
			t.Errorf("tilt %v: buccolingual convergence %v°, want 18", tilt/degree, got)
		}
	}
}

// TestMeanConvergenceOfEvenTaper: with one taper all round every measure is it.
func TestMeanConvergenceOfEvenTaper(t *testing.T) {
	s := shape()
	s.ConvergenceMD, s.ConvergenceBL = 16*degree, 16*degree
	d, err := stump.NewSections(stump.New(molar(t), s))
	if err != nil {
		t.Fatal(err)
	}
	if got := d.MeanConvergence(); math.Abs(got-16) > 1e-3 {
		t.Errorf("mean convergence %v°, want 16", got)
	}
}

// TestFinishLineWidth: the shelf measured from margin to 10° off the wall is as wide
// as asked plus what the rounding of the corner adds, the same for every kind.
func TestFinishLineWidth(t *testing.T) {
	for _, kind := range []stump.FinishLine{stump.Chamfer, stump.HeavyChamfer, stump.Shoulder, stump.SlopedShoulder} {
		s := shape()
		s.FinishLine = kind
		d, err := stump.NewSections(stump.New(molar(t), s))
		if err != nil {
			t.Fatal(err)
		}
		least, mid := d.Widths()
		if least < 0.95 || mid < least || mid > 1.2 {
			t.Errorf("%s: shelf %v to %v mm wide, want 1 and a little more", kind, least, mid)
		}
	}
}

// TestUndercut grinds a hollow whose depth is known: with a wall that tapers by T
// the deepest point under the survey line of the profile -zT - E(z), here taken by a
// plain search over pairs of heights.
func TestUndercut(t *testing.T) {
	s := shape()
	s.ConvergenceMD, s.ConvergenceBL = 12*degree, 12*degree
	w := stump.New(molar(t), s)
	if depth, area, _ := w.Undercut(); depth != 0 || area != 0 {
		t.Errorf("a sound wall has an undercut of %v mm, %v mm²", depth, area)
	}
	dent := stump.Dent{Nu: 0, HalfNu: 0.4, Z: 2.5, HalfZ: 1.2, Depth: 0.3}
	w.Hollow(dent)
	depth, area, at := w.Undercut()
	bump := func(z float64) float64 {
		u := 1 - (z-2.5)*(z-2.5)/1.44
		if u < 0 {
			return 0
		}
		return 0.3 * u * u
	}
	want := 0.0
	for i := range 400 {
		for j := range i {
			hi, lo := 0.5+float64(i)*0.01, 0.5+float64(j)*0.01
			want = max(want, bump(lo)-bump(hi)-(hi-lo)*math.Tan(6*degree))
		}
	}
	if math.Abs(depth-want) > 1e-3 {
		t.Errorf("undercut %v mm deep, want %v", depth, want)
	}
	if area < 1 || area > 2*0.4*5*2.4 {
		t.Errorf("undercut area %v mm² is not that of the hollow", area)
	}
	if v := w.Local(at); math.Abs(v.D) > 2e-3 {
		t.Errorf("the deepest point lies %v mm off the surface", v.D)
	}
	// It really stands in shadow: just above it, along the axis, is solid again.
	shadow := false
	for h := 0.05; h < 1.5; h += 0.05 {
		if w.Local(at.AddScaled(h, w.Axis())).D < -0.02 {
			shadow = true
		}
	}
	if !shadow {
		t.Error("nothing lies above the deepest point")
	}
}

// TestAxisOfTilt: the tilt turns the axis exactly.
func TestAxisOfTilt(t *testing.T) {
	s := shape()
	s.TiltMesial, s.TiltBuccal = 5*degree, -3*degree
	want := r3.V(math.Tan(5*degree), math.Tan(-3*degree), 1).UnitOr(r3.Vec{})
	if got := stump.New(molar(t), s).Axis(); got.Dist(want) > 1e-12 {
		t.Errorf("axis %v, want %v", got, want)
	}
}

// TestKnifeEdgeIsTangential: a knife edge meets the root at more than 160° in the mean
// (trade.md §1.5), its shelf is under 0.3 mm wide, and no bevel stands over the wall, also
// where the axis leans.
func TestKnifeEdgeIsTangential(t *testing.T) {
	s := shape()
	s.ConvergenceBL = 14 * degree
	s.FinishLine, s.FinishWidth = stump.KnifeEdge, 0.08
	s.TiltMesial, s.TiltBuccal = 4*degree, -3*degree
	w := stump.New(molar(t), s)
	sum := 0.0
	for deg := 0.0; deg < 360; deg += 5 {
		p, err := w.MarginAt(deg * degree)
		if err != nil {
			t.Fatal(err)
		}
		outer, cut := w.Faces(p)
		angle := 180 - outer.N.Angle(cut.N)/degree
		sum += angle / 72
		if angle < 154 {
			t.Errorf("azimuth %v: the edge is %.0f° sharp, want over 154°", deg, angle)
		}
	}
	if sum < 160 {
		t.Errorf("the edge is %.1f° in the mean, want over 160°", sum)
	}
	d, err := stump.NewSections(w)
	if err != nil {
		t.Fatal(err)
	}
	if _, mid := d.Widths(); mid >= 0.3 {
		t.Errorf("the shelf is %.2f mm wide, want under 0.3", mid)
	}
	if c := d.MeanConvergence(); math.Abs(c-13) > 0.5 {
		t.Errorf("the wall converges by %.1f°, want 13°", c)
	}
	axis := w.Axis()
	for _, f := range d.Wall() {
		p := d.Frame.Inverse().Point(f.At)
		if n := w.Local(p).N; n.Dot(axis) < 0 {
			t.Fatalf("the side leans out at %v", p)
		}
	}
}

// TestFrameStandsOnTheCentroid: the die's origin is the centroid of the margin as a line,
// by fine chords of it, whatever the steps of azimuth in which it is given.
func TestFrameStandsOnTheCentroid(t *testing.T) {
	s := shape()
	s.TiltBuccal = 4 * degree
	d, err := stump.NewSections(stump.New(molar(t), s))
	if err != nil {
		t.Fatal(err)
	}
	var sum r3.Vec
	length := 0.0
	for i, p := range d.Margin {
		q := d.Margin[(i+1)%len(d.Margin)]
		sum, length = sum.AddScaled(p.Dist(q)/2, p.Add(q)), length+p.Dist(q)
	}
	if off := d.Frame.Point(sum.Scale(1 / length)); off.Norm() > 1e-9 {
		t.Errorf("the centroid of the line lies at %v of the die's frame", off)
	}
}

// TestLeastWidthIsThatOfTheShelf: waves that a hasty bur leaves in the line do not make the
// shelf narrower than it is after a short median.
func TestLeastWidthIsThatOfTheShelf(t *testing.T) {
	s := shape()
	least := func(ripple float64) float64 {
		s.Ripple = ripple
		d, err := stump.NewSections(stump.New(molar(t), s))
		if err != nil {
			t.Fatal(err)
		}
		w, _ := d.Widths()
		return w
	}
	if even, rough := least(0), least(0.15); even-rough > 0.016 || even < 0.8 {
		t.Errorf("the shelf is %.3f mm wide at its least, %.3f mm with waves in its line", even, rough)
	}
}
