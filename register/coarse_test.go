package register_test

import (
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"testing"

	"selvage/mesh"
	"selvage/meshio"
	"selvage/r3"
	"selvage/register"
)

// expect checks that the first proposal for a source moved away from dst by a random
// motion brings it back.
func expect(t *testing.T, src, dst *mesh.Mesh, away r3.Rigid, least float64) {
	t.Helper()
	poses := register.Coarse(src.Moved(away), dst)
	if len(poses) == 0 {
		t.Fatalf("seed %d: no proposal", *seedFlag)
	}
	left := poses[0].DstFromSrc.After(away)
	shift := 0.0
	for _, p := range src.Pos {
		shift = max(shift, left.Point(p).Dist(p))
	}
	t.Logf("off by up to %.3f mm", shift)
	for i, p := range poses {
		t.Logf("proposal %d: overlap %.2f", i, p.Overlap)
	}
	// What Align needs is a start well within its reach of 1 mm.
	if shift > 0.3 {
		t.Errorf("seed %d: the first of %d proposals is off by up to %.3f mm", *seedFlag, len(poses), shift)
	}
	if poses[0].Overlap < least {
		t.Errorf("seed %d: overlap %.2f, want at least %.2f", *seedFlag, poses[0].Overlap, least)
	}
}

func TestCoarseFindsScansOfLikeTeeth(t *testing.T) {
	r := rng(t, 20)
	dst := scanOfShape(r, teeth, [2]float64{-22, -7}, [2]float64{22, 7}, 0.2, 0.010)
	for _, c := range []struct {
		name   string
		lo, hi [2]float64
		least  float64
	}{
		{"the same row", [2]float64{-22, -7}, [2]float64{22, 7}, 0.8},
		{"one tooth with its neighbours' sides", [2]float64{2, -6}, [2]float64{15, 6}, 0.8},
		{"overlap 40 %", [2]float64{4, -7}, [2]float64{48, 7}, 0.3},
		{"one side only", [2]float64{-22, -7}, [2]float64{22, -0.5}, 0.8},
	} {
		t.Run(c.name, func(t *testing.T) {
			expect(t, scanOfShape(r, teeth, c.lo, c.hi, 0.17, 0.010), dst, motion(r, math.Pi, 80), c.least)
		})
	}
}

// TestCoarseOfOtherTeeth: what does not belong is not said to fit.
func TestCoarseOfOtherTeeth(t *testing.T) {
	r := rng(t, 21)
	dst := scanOfShape(r, teeth, [2]float64{-22, -7}, [2]float64{22, 7}, 0.25, 0.010)
	for _, p := range register.Coarse(scanOf(r, [2]float64{0, 0}, [2]float64{20, 14}, 0.25, 0.010), dst) {
		if p.Overlap > 0.35 {
			t.Errorf("seed %d: another surface is said to overlap by %.2f", *seedFlag, p.Overlap)
		}
	}
}

func TestCoarseWithoutSense(t *testing.T) {
	r := rng(t, 22)
	some := scanOf(r, [2]float64{0, 0}, [2]float64{8, 8}, 0.3, 0)
	plane := scanOfShape(r, func(x, y float64) float64 { return 0 }, [2]float64{0, 0}, [2]float64{20, 20}, 0.3, 0)
	crumb := &mesh.Mesh{Pos: some.Pos[:3], Tri: [][3]mesh.VertexID{{0, 1, 2}}}
	point := &mesh.Mesh{Pos: some.Pos[:1], Tri: [][3]mesh.VertexID{{0, 0, 0}}}
	for _, a := range []*mesh.Mesh{{}, crumb, point, plane} {
		for _, b := range []*mesh.Mesh{{}, crumb, point, some} {
			for _, p := range register.Coarse(a, b) {
				if !p.DstFromSrc.T.Finite() || math.IsNaN(p.Overlap) {
					t.Errorf("a pose that is no number: %+v", p)
				}
			}
			register.Coarse(b, a)
		}
	}
}

func TestCoarseOnAnyNumberOfCores(t *testing.T) {
	r := rng(t, 23)
	dst := scanOfShape(r, teeth, [2]float64{-12, -6}, [2]float64{12, 6}, 0.3, 0.010)
	src := scanOfShape(r, teeth, [2]float64{-5, -6}, [2]float64{12, 6}, 0.3, 0.010).Moved(motion(r, 3, 50))
	want := register.Coarse(src, dst)
	before := runtime.GOMAXPROCS(1)
	defer runtime.GOMAXPROCS(before)
	if got := register.Coarse(src, dst); !slices.Equal(got, want) {
		t.Errorf("one core proposes\n%+v\n%d cores\n%+v", got, before, want)
	}
}

// TestCoarseOnRealCasts cuts a piece of two or three teeth out of a real cast, shakes its
// points by 15 µm, and looks for it in the whole.
func TestCoarseOnRealCasts(t *testing.T) {
	root := os.Getenv("SELVAGE_DATA")
	if root == "" {
		root = "../../shared/data"
	}
	for _, name := range []string{"upperteeth.obj", "lowerteeth.obj"} {
		t.Run(name, func(t *testing.T) {
			data, err := os.ReadFile(filepath.Join(root, "casts", name))
			if err != nil {
				if os.Getenv("CI") == "true" {
					t.Fatal(err)
				}
				t.Skipf("SKIPPED: real scans are not at %s (set SELVAGE_DATA)", root)
			}
			soup, _, err := meshio.Decode(data)
			if err != nil {
				t.Fatal(err)
			}
			cast, _ := mesh.Build(soup)
			cast = cast.Scaled(1000) // the files are in metres
			r := rng(t, 24)
			box := cast.Box()
			c := r3.V(box.Min.X+0.25*box.Size().X, box.Min.Y+0.5*box.Size().Y, 0)
			piece, _, _ := mesh.Submesh(cast, func(f mesh.FaceID) bool {
				d := cast.Centroid(f).Sub(c)
				return math.Hypot(d.X, d.Y) < 12
			})
			if len(piece.Tri) < 500 {
				t.Fatalf("the piece has %d faces", len(piece.Tri))
			}
			for i := range piece.Pos {
				piece.Pos[i] = piece.Pos[i].Add(r3.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()).Scale(0.015))
			}
			expect(t, piece, cast, motion(r, math.Pi, 80), 0.6)
		})
	}
}
