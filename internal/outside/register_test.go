package outside

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/meshio"
	"selvage/meshio/stl"
	"selvage/r3"
	"selvage/register"
	"selvage/surface"
)

// icpAsk is what icp.py is asked about one pair of meshes.
type icpAsk struct {
	Src   string        `json:"src"`
	Dst   string        `json:"dst"`
	Start [4][4]float64 `json:"start"`
	Reach float64       `json:"reach"` // mm
	Tukey float64       `json:"tukey"` // mm; 0: least squares
}

// python is Debian's, which sees Debian's packages whatever else is on the path.
const python = "/usr/bin/python3"

// askOpen3D registers the pairs with Open3D, or skips the test where it is not
// installed.
func askOpen3D(t *testing.T, q []icpAsk) []r3.Rigid {
	t.Helper()
	if err := exec.CommandContext(t.Context(), python, "-c", "import open3d").Run(); err != nil {
		const why = "python3-open3d is not installed; run: make deps"
		if os.Getenv("CI") != "" {
			t.Fatalf("%s (%v)", why, err)
		}
		t.Skipf("SKIPPED: %s (%v)", why, err)
	}
	in, err := json.Marshal(q)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), python, "peer/icp.py")
	cmd.Stdin = bytes.NewReader(in)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("icp.py: %v\n%s", err, stderr.String())
	}
	var rows [][4][4]float64
	if err := json.Unmarshal(out, &rows); err != nil || len(rows) != len(q) {
		t.Fatalf("icp.py answered %.200q: %v", out, err)
	}
	found := make([]r3.Rigid, len(rows))
	for i, m := range rows {
		found[i].R = r3.Mat{r3.V(m[0][0], m[0][1], m[0][2]), r3.V(m[1][0], m[1][1], m[1][2]), r3.V(m[2][0], m[2][1], m[2][2])}
		found[i].T = r3.V(m[0][3], m[1][3], m[2][3])
	}
	return found
}

// cusps is the height of a surface with the relief of teeth, no two cusps alike.
func cusps(x, y float64) float64 {
	return 0.8*math.Sin(1.2*x+0.3*y)*math.Cos(1.1*y) + 0.5*math.Sin(0.7*x*y/5+0.4*y) + 0.3*math.Cos(2.1*x-1.3*y+0.02*x*x)
}

// sheet samples cusps over a rectangle on a grid of its own, with noise along the
// normal. Where changed says so it stands 0.6 mm proud, as a tooth that was built up.
func sheet(rng *rand.Rand, x0, y0, x1, y1, step, noise float64, changed func(x, y float64) bool) *mesh.Mesh {
	nx, ny := int((x1-x0)/step), int((y1-y0)/step)
	dx, dy := rng.Float64()*step, rng.Float64()*step
	m := &mesh.Mesh{}
	for j := range ny {
		for i := range nx {
			x, y := x0+dx+step*float64(i), y0+dy+step*float64(j)
			const h = 1e-5
			n := r3.V(cusps(x-h, y)-cusps(x+h, y), cusps(x, y-h)-cusps(x, y+h), 2*h).UnitOr(r3.V(0, 0, 1))
			z := cusps(x, y)
			if changed(x, y) {
				z += 0.6
			}
			m.Pos = append(m.Pos, r3.V(x, y, z).AddScaled(noise*rng.NormFloat64(), n))
		}
	}
	for j := range ny - 1 {
		for i := range nx - 1 {
			a := mesh.VertexID(j*nx + i)
			b, d := a+1, a+mesh.VertexID(nx)
			m.Tri = append(m.Tri, [3]mesh.VertexID{a, b, d + 1}, [3]mesh.VertexID{a, d + 1, d})
		}
	}
	return m
}

// throughFile writes m and reads it back, so that both sides see the same corners.
func throughFile(t *testing.T, m *mesh.Mesh, name string) (string, *mesh.Mesh) {
	t.Helper()
	file := filepath.Join(t.TempDir(), name)
	var b bytes.Buffer
	if err := stl.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	soup, _, err := meshio.Decode(b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	out, _ := mesh.Build(soup)
	return file, out
}

// TestRegistrationAgainstOpen3D lays the same pairs of meshes on each other with our
// registration and with Open3D's, both point to plane: sound scans, and one with a
// fifth of it changed, for which both have Tukey's loss.
//
// Open3D measures to the plane at the nearest vertex, ours at the nearest point of the
// surface: with noise the planes of the two are not the same, and Open3D's, each of one
// noisy vertex, carry more of it. So ours must stand by the truth more closely than the
// two must agree.
func TestRegistrationAgainstOpen3D(t *testing.T) {
	nowhere := func(float64, float64) bool { return false }
	patch := func(x, y float64) bool { return x > 7 && x < 12 && y > 2 && y < 6 }
	cases := []struct {
		name    string
		noise   float64
		changed func(x, y float64) bool
		tukey   float64
		agree   float64 // mm, at any of the far points
		truth   float64 // mm, ours from the truth
	}{
		{"without noise", 0, nowhere, 0, 0.002, 0.0005},
		{"10 µm of noise", 0.01, nowhere, 0, 0.008, 0.003},
		{"a part changed", 0.01, patch, 0.1, 0.008, 0.003},
	}
	var q []icpAsk
	var ours, truths []r3.Rigid
	for i, c := range cases {
		rng := rand.New(rand.NewPCG(7, uint64(i)))
		truth := r3.Rigid{R: r3.Rotation(r3.V(0.3, -0.8, 0.5).UnitOr(r3.V(0, 0, 1)), 0.7), T: r3.V(31, -12, 8)}
		off := r3.Rigid{R: r3.Rotation(r3.V(1, 1, -0.4).UnitOr(r3.V(0, 0, 1)), 0.015), T: r3.V(0.15, -0.1, 0.12)}
		start := off.After(truth)
		dst := sheet(rng, 0, 0, 20, 9, 0.1, c.noise, nowhere)
		src := sheet(rng, 1.5, 1.5, 18.5, 7.5, 0.16, c.noise, c.changed).Moved(truth.Inverse())
		dstFile, d := throughFile(t, dst, "dst.stl")
		srcFile, s := throughFile(t, src, "src.stl")
		a := icpAsk{Src: srcFile, Dst: dstFile, Reach: 1, Tukey: c.tukey}
		for r := range 3 {
			a.Start[r] = [4]float64{start.R[r].X, start.R[r].Y, start.R[r].Z, start.T.Array()[r]}
		}
		a.Start[3][3] = 1
		q = append(q, a)
		got, err := register.Align(s.Pos, surface.VertexNormals(s), bvh.Build(d), start, register.Options{})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		ours, truths = append(ours, got.DstFromSrc), append(truths, truth)
	}
	for i, theirs := range askOpen3D(t, q) {
		var apart, off, offTheirs float64
		for _, p := range []r3.Vec{r3.V(0, 0, 0), r3.V(20, 0, 0), r3.V(0, 9, 0), r3.V(20, 9, 0), r3.V(10, 4.5, 8)} {
			at := truths[i].Inverse().Point(p)
			apart = max(apart, ours[i].Point(at).Dist(theirs.Point(at)))
			off = max(off, ours[i].Point(at).Dist(p))
			offTheirs = max(offTheirs, theirs.Point(at).Dist(p))
		}
		t.Logf("%s: apart %.2f µm; from the truth ours %.2f, Open3D's %.2f µm", cases[i].name, 1000*apart, 1000*off, 1000*offTheirs)
		if apart > cases[i].agree {
			t.Errorf("%s: we and Open3D are %.4f mm apart, want at most %.4f", cases[i].name, apart, cases[i].agree)
		}
		if off > cases[i].truth {
			t.Errorf("%s: %.4f mm from the truth, want at most %.4f", cases[i].name, off, cases[i].truth)
		}
	}
}
