package outside

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"selvage/bvh"
	"selvage/internal/meshtest"
	"selvage/mesh"
	"selvage/meshio"
	"selvage/meshio/stl"
	"selvage/r3"
)

// request and answer are what peer.mjs reads and writes.
type request struct {
	File   string          `json:"file"`
	Points [][3]float64    `json:"points"`
	Rays   [][2][3]float64 `json:"rays"`
}

type answer struct {
	Vertices, Faces, Boundary, Components int
	Nearest, Rays                         []float64
}

// ask runs the libraries, or skips the test where they are not installed.
func ask(t *testing.T, q request) answer {
	t.Helper()
	_, missing := os.Stat("peer/node_modules/three-mesh-bvh/package.json")
	if _, err := exec.LookPath("node"); err != nil {
		missing = err
	}
	if missing != nil {
		const why = "the libraries to compare with are not installed; run: make deps"
		if os.Getenv("CI") != "" {
			t.Fatalf("%s (%v)", why, missing)
		}
		t.Skipf("SKIPPED: %s (%v)", why, missing)
	}
	in, err := json.Marshal(q)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), "node", "peer/peer.mjs")
	cmd.Stdin = bytes.NewReader(in)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("node peer/peer.mjs: %v\n%s", err, stderr.String())
	}
	var a answer
	if err := json.Unmarshal(out, &a); err != nil {
		t.Fatalf("peer.mjs answered %.200q: %v", out, err)
	}
	return a
}

// subjects are the meshes that are asked about: closed, open with holes, in
// several pieces, and round with long thin triangles.
func subjects() map[string]*mesh.Mesh {
	pierced := meshtest.Plate(90, 70, 0.4, func(i, j int) bool {
		return (i-30)*(i-30)+(j-30)*(j-30) < 60 || (i > 70 && i < 76 && j > 10 && j < 50)
	})
	apart := meshtest.Plate(60, 60, 0.5, func(i, _ int) bool { return i == 20 || i == 41 })
	return map[string]*mesh.Mesh{
		"sphere":        meshtest.Sphere(6, 60),
		"torus":         meshtest.Torus(8, 2.5, 160, 60),
		"pierced plate": meshtest.Rough(pierced, 0.02, 3),
		"three strips":  meshtest.Rough(apart, 0.02, 4),
		"stump":         meshtest.Lathe(meshtest.DefaultStump().Knots(), 0.15, 1, meshtest.Round),
	}
}

// TestAgainstOtherLibraries compares welding, boundary edges, connected pieces,
// nearest distances and first hits with libraries that share no code with ours.
func TestAgainstOtherLibraries(t *testing.T) {
	const seed = 11
	for name, made := range subjects() {
		t.Run(name, func(t *testing.T) {
			file := filepath.Join(t.TempDir(), "subject.stl")
			var b bytes.Buffer
			if err := stl.Encode(&b, made); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
				t.Fatal(err)
			}
			soup, _, err := meshio.Decode(b.Bytes())
			if err != nil {
				t.Fatal(err)
			}
			m, _ := mesh.Build(soup)
			q := questions(m, file, seed)
			compare(t, m, q, ask(t, q))
		})
	}
}

// questions draws points around the mesh and rays through it.
func questions(m *mesh.Mesh, file string, seed uint64) request {
	rng := rand.New(rand.NewPCG(seed, 1))
	box := m.Box().Grow(2)
	size := box.Size()
	draw := func() r3.Vec {
		return box.Min.Add(r3.V(rng.Float64()*size.X, rng.Float64()*size.Y, rng.Float64()*size.Z))
	}
	q := request{File: file}
	for range 1500 {
		q.Points = append(q.Points, draw().Array())
		from, to := draw(), draw()
		d, ok := to.Sub(from).Unit()
		if !ok {
			continue
		}
		q.Rays = append(q.Rays, [2][3]float64{from.Array(), d.Array()})
	}
	return q
}

// compare holds our answers against theirs. Both work in double precision on the
// same single precision corners, so distances agree to rounding; a ray that just
// grazes an edge may be a hit for one and a miss for the other.
func compare(t *testing.T, m *mesh.Mesh, q request, a answer) {
	t.Helper()
	const (
		within  = 1e-6 // mm
		grazing = 3    // of 1500 rays
	)
	topo := mesh.NewTopology(m)
	_, pieces := topo.Components()
	boundary := 0
	for _, loop := range topo.Loops() {
		boundary += len(loop)
	}
	for _, c := range []struct {
		what      string
		got, want int
	}{
		{"vertices", len(m.Pos), a.Vertices},
		{"faces", len(m.Tri), a.Faces},
		{"boundary edges", boundary, a.Boundary},
		{"connected pieces", pieces, a.Components},
	} {
		if c.got != c.want {
			t.Errorf("%s: %d, the other library says %d", c.what, c.got, c.want)
		}
	}
	tree := bvh.Build(m)
	for i, p := range q.Points {
		near, ok := tree.Nearest(r3.V(p[0], p[1], p[2]), math.Inf(1))
		if !ok || math.Abs(near.D-a.Nearest[i]) > within {
			t.Fatalf("nearest distance from %v: %.9f (%v), the other library says %.9f", p, near.D, ok, a.Nearest[i])
		}
	}
	differ, hits := 0, 0
	for i, r := range q.Rays {
		got := -1.0
		if hit, ok := tree.Ray(r3.V(r[0][0], r[0][1], r[0][2]), r3.V(r[1][0], r[1][1], r[1][2]), 0, math.Inf(1)); ok {
			got = hit.T
			hits++
		}
		if math.Abs(got-a.Rays[i]) > within {
			differ++
			t.Logf("ray %v: %.9f, the other library says %.9f", fmt.Sprint(r), got, a.Rays[i])
		}
	}
	if differ > grazing {
		t.Errorf("%d of %d rays differ, want at most %d", differ, len(q.Rays), grazing)
	}
	if hits < 100 {
		t.Errorf("only %d rays hit: the questions ask too little", hits)
	}
}
