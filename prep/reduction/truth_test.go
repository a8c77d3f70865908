package reduction

import (
	"math"
	"testing"

	"selvage/bvh"
	"selvage/curve"
	"selvage/phantom"
	"selvage/r3"
	"selvage/tooth"
)

// A whole case with 14 µm of noise on both scans, a fifth of their spacing, which
// scatters specks of wall over the occlusal table: they are one mouth, lie where they
// belong, and the occlusal reduction is that of the exact shapes.
func TestPhantomTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("SKIPPED in short mode: makes a whole case")
	}
	spec := phantom.Default(tooth.Number(26))
	spec.Roles = []string{phantom.Working, phantom.Before}
	spec.Scanner.Noise, spec.Scanner.Fine = 0.014, 0.07
	c, err := phantom.Make(spec)
	if err != nil {
		t.Fatal(err)
	}
	working, _ := c.Scan(phantom.Working)
	before, _ := c.Scan(phantom.Before)
	truth := c.Truth.Restorations[0]
	margin := curve.Polyline{Closed: true}
	var centre r3.Vec
	for _, p := range truth.Margin.Points {
		margin.Pts = append(margin.Pts, p.Vec())
		centre = centre.AddScaled(1/float64(len(truth.Margin.Points)), p.Vec())
	}
	moved := r3.Rigid{R: r3.Rotation(r3.V(1, 1, 0).UnitOr(up), 0.01), T: r3.V(0.2, -0.3, 0.1)}
	old := bvh.Build(before.Mesh.Moved(moved))
	m, err := Register(bvh.Build(working.Mesh), old, nil, centre, r3.V(0, 0, -1), 6, r3.Still())
	if err != nil {
		t.Fatal(err)
	}
	off := m.WorkingFromBefore.Point(moved.Point(centre)).Dist(centre)
	t.Logf("off %.4f mm, U %.4f, residual %.1f µm, same mouth %.3f mm", off, m.U, m.Residual.V, m.SameMouth.V)
	if off > m.U || m.SameMouth.V > 0.18 { // one mouth a year apart: up to 0.18
		t.Errorf("off %.4f mm with U = %.4f, same mouth %.3f mm", off, m.U, m.SameMouth.V)
	}
	r := Measure(Input{
		Prep: working.Mesh, Margin: margin, Axis: truth.InsertionAxis.Vec(), Before: old,
		WorkingFromBefore: m.WorkingFromBefore, Holding: truth.Buccal.Vec().Neg(), Options: Options{RegisterU: m.U, PrepSigma: 0.014, BeforeSigma: 0.014},
	})
	want := truth.ReductionOcclusalMm.Value
	t.Logf("occlusal %.4f, truth %.4f, U %.4f; axial %.4f, truth %.4f; seen %.2f, %.2f",
		r.OcclusalMin.V, want, r.OcclusalMin.U, r.AxialMin.V, truth.ReductionAxialMm.Value, r.OcclusalSeen, r.AxialSeen)
	if math.Abs(r.OcclusalMin.V-want) > r.OcclusalMin.U {
		t.Errorf("occlusal reduction %.4f ± %.4f, truth %.4f", r.OcclusalMin.V, r.OcclusalMin.U, want)
	}
	if want := truth.ReductionFunctionalMm.Value; math.Abs(r.Functional.V-want) > r.Functional.U {
		t.Errorf("reduction at the functional cusps %.4f ± %.4f, truth %.4f", r.Functional.V, r.Functional.U, want)
	}
	if r.OcclusalSeen < 0.98 || r.AxialSeen < 0.5 {
		t.Errorf("seen %.2f of the occlusal surface, %.2f of the walls", r.OcclusalSeen, r.AxialSeen)
	}
}
