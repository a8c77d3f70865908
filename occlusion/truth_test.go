package occlusion

import (
	"math"
	"testing"

	"selvage/bvh"
	"selvage/curve"
	"selvage/phantom"
	"selvage/r3"
	"selvage/tooth"
)

// phantomScan returns a scan of a made case.
func phantomScan(t *testing.T, c phantom.Case, role string) Scan {
	t.Helper()
	s, ok := c.Scan(role)
	if !ok {
		t.Fatalf("the phantom has no %s scan", role)
	}
	return Scan{Mesh: s.Mesh, Tree: bvh.Build(s.Mesh), Sigma: 0.01}
}

// A whole case with 10 µm of noise: the bite is sound, a bite that slips is caught by
// its record, and the room is that of the exact shapes.
func TestPhantomTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("SKIPPED in short mode: makes a whole case")
	}
	spec := phantom.Default(tooth.Number(36))
	spec.Roles = []string{phantom.Working, phantom.Opposing, phantom.Bite}
	c, err := phantom.Make(spec)
	if err != nil {
		t.Fatal(err)
	}
	truth := c.Truth.Restorations[0]
	margin := curve.Polyline{Closed: true}
	var centre r3.Vec
	for _, p := range truth.Margin.Points {
		margin.Pts = append(margin.Pts, p.Vec())
		centre = centre.AddScaled(1/float64(len(truth.Margin.Points)), p.Vec())
	}
	record := phantomScan(t, c, phantom.Bite)
	mesial := truth.Mesial.Vec()
	in := Input{
		Working: phantomScan(t, c, phantom.Working), Opposing: phantomScan(t, c, phantom.Opposing), Record: &record,
		Up: r3.V(0, 0, 1), Tooth: centre, Radius: 6, Buccal: truth.Buccal.Vec(),
		Neighbours: []Neighbour{
			{Side: Mesial, Centre: centre.AddScaled(9, mesial), Radius: 4},
			{Side: Distal, Centre: centre.AddScaled(-9, mesial), Radius: 4},
		},
	}
	t.Run("bite", func(t *testing.T) { soundBite(t, in) })
	t.Run("slips", func(t *testing.T) { slips(t, in) })
	t.Run("clearance", func(t *testing.T) {
		r := Clear(ClearanceInput{
			Prep: in.Working.Mesh, Margin: margin, Axis: truth.InsertionAxis.Vec(), Opposing: in.Opposing.Tree,
			Holding: truth.Buccal.Vec(), Options: ClearanceOptions{BiteU: -1},
		})
		for name, v := range map[string][2]float64{
			"Min": {r.Min.V, truth.ClearanceMinMm.Value}, "PatchMin": {r.PatchMin.V, truth.ClearancePatchMinMm.Value},
		} {
			t.Logf("%s = %.4f, truth %.4f (%+.1f µm), U %.4f", name, v[0], v[1], 1000*(v[0]-v[1]), r.Min.U)
			if math.Abs(v[0]-v[1]) > r.Min.U {
				t.Errorf("%s = %.4f, truth %.4f", name, v[0], v[1])
			}
		}
		if d := r.Min.Place.At.Dist(truth.ClearanceMinMm.At.Vec()); d > 0.5 {
			t.Errorf("the least clearance is found %.2f mm from where it is", d)
		}
	})
}

func soundBite(t *testing.T, in Input) {
	r := Judge(in)
	t.Logf("penetration %.4f, contacts %v, shift %.4f ± %.4f, residual %.1f µm",
		r.PenetrationMax.V, r.ContactCount.V, r.Shift.V, r.Shift.U, r.Residual.V)
	if r.PenetrationMax.V > ignoredDepth {
		t.Errorf("penetration %.3f mm of arches that touch", r.PenetrationMax.V)
	}
	if r.Shift.V > 0.02 || r.Residual.V > 25 {
		t.Errorf("shift %.4f mm, residual %.1f µm of a sound record", r.Shift.V, r.Residual.V)
	}
	if !r.Ahead.Held || !r.Behind.Held || r.ContactCount.V < 3 {
		t.Errorf("contacts %v, ahead %+v, behind %+v", r.ContactCount.V, r.Ahead, r.Behind)
	}
	if !(r.HoldingSide.V > 0) {
		t.Errorf("holding cusps %.2f mm towards buccal on a lower molar", r.HoldingSide.V)
	}
}

// slips files the opposing scan away from where it belongs.
func slips(t *testing.T, in Input) {
	sound := in.Opposing.Mesh
	for _, s := range []r3.Rigid{
		{R: r3.Identity(), T: r3.V(0, 0, 0.3)},
		{R: r3.Identity(), T: r3.V(0.15, -0.1, -0.25)},
		{R: r3.Rotation(r3.V(0.6, 0.8, 0), 0.006), T: r3.V(-0.3, 0.2, 0.1)},
	} {
		in.Opposing.Mesh = sound.Moved(s)
		in.Opposing.Tree = bvh.Build(in.Opposing.Mesh)
		r := Judge(in)
		want := s.Inverse().Point(in.Tooth).Sub(in.Tooth)
		got := r.Implied.Point(in.Tooth).Sub(in.Tooth)
		if !r.Shift.Measured() || got.Dist(want) > 0.02 {
			t.Errorf("slip %v: the record says %v %s", want, got, r.Shift.Why)
		}
		if opened := s.Point(in.Tooth).Sub(in.Tooth).Z; opened > 0.25 && (r.Ahead.Held || r.Gap.V < 0.05) { // contacts on steep inclines open by a third of it
			t.Errorf("opened by %.2f: gap %.3f, held ahead %v", opened, r.Gap.V, r.Ahead.Held)
		}
		if closed := -s.Point(in.Tooth).Sub(in.Tooth).Z; closed > 0.2 && r.PenetrationMax.V < 0.1 {
			t.Errorf("closed by %.2f: penetration %.3f", closed, r.PenetrationMax.V)
		}
	}
}
