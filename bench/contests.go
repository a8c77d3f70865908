package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/meshio"
	"selvage/r3"
	"selvage/register"
	"selvage/surface"
)

// peerTriangles is the size of the mesh that rivals and ours are compared on.
const peerTriangles = 400_000

// peers compares us with the libraries that are installed, on one thread each.
func peers(dir string, reps int) ([]result, error) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	dir = filepath.Join(dir, "peers")
	m := ridgeMesh(peerTriangles)
	t := tasksOn(m)
	if err := save(dir, m, t); err != nil {
		return nil, err
	}
	var out []result
	for _, rival := range []struct {
		command  []string
		contests []contest
	}{
		{[]string{filepath.Join(dir, "embree")}, searches(m, t)},
		{[]string{"/usr/bin/python3", "bench/peers/vtk_peer.py"}, surfaces(dir, m)},
		{[]string{"/usr/bin/python3", "bench/peers/open3d_peer.py"}, motions(dir, m, t)},
	} {
		p, err := startPeer(dir, rival.command...)
		if err != nil {
			return nil, fmt.Errorf("%w (make bench-peers installs and builds it)", err)
		}
		for _, c := range rival.contests {
			r, err := race(p, c, reps)
			if err != nil {
				return nil, err
			}
			fmt.Println(r.text())
			out = append(out, r)
		}
		if err := p.stop(); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// searches are what a ray tracing library can be asked.
func searches(m *mesh.Mesh, t tasks) []contest {
	tree := bvh.Build(m)
	near := func(pts []r3.Vec) func() (int, []float64) {
		return func() (int, []float64) {
			out := make([]float64, len(pts))
			for i, n := range tree.NearestAll(pts, math.Inf(1)) {
				out[i] = n.D
			}
			return len(out), out
		}
	}
	cast := func(rays []r3.Vec) func() (int, []float64) {
		return func() (hits int, out []float64) {
			out = make([]float64, len(rays)/2)
			for i := range out {
				h, ok := tree.Ray(rays[2*i], rays[2*i+1], 0, math.Inf(1))
				if out[i] = math.Inf(1); ok {
					out[i] = h.T
					hits++
				}
			}
			return hits, out
		}
	}
	return []contest{
		{"index", "build the index, surface area heuristic", func() (int, []float64) { bvh.Build(m); return len(m.Tri), nil }, nil},
		{"near", "nearest point, 0.4-1.7 mm away, in order", near(t.near), sameNumbers},
		{"shuffled", "nearest point, shuffled", near(t.shuffled), sameNumbers},
		{"parallel", "rays from above, first hit", cast(t.parallel), sameNumbers},
		{"anyhow", "incoherent rays, first hit", cast(t.anyhow), sameNumbers},
	}
}

// surfaces are what a visualisation library can be asked.
func surfaces(dir string, m *mesh.Mesh) []contest {
	read := func(name string) func() (int, []float64) {
		return func() (int, []float64) {
			data, err := os.ReadFile(filepath.Join(dir, name))
			if err != nil {
				return -1, nil
			}
			soup, _, err := meshio.Decode(data)
			if err != nil {
				return -1, nil
			}
			m, _ := mesh.Build(soup)
			return len(m.Pos), nil
		}
	}
	return []contest{
		{"read stl", "read binary STL, weld", read("mesh.stl"), nil},
		{"read ply", "read binary PLY with colours", read("mesh.ply"), nil},
		{"loops", "boundary loops, from bare indices", func() (int, []float64) { return len(mesh.NewTopology(m).Loops()), nil }, nil},
		{"curvature", "principal curvatures (another definition: only counted)", func() (int, []float64) {
			return len(surface.Curvature(m, mesh.NewTopology(m))), nil
		}, nil},
		{"ways", "shortest paths to all vertices, from bare indices", func() (int, []float64) {
			d := surface.Geodesic(m, mesh.NewTopology(m), []mesh.VertexID{0}, math.Inf(1))
			return len(d), d
		}, sameNumbers},
	}
}

// motions are what a point cloud library can be asked.
func motions(dir string, m *mesh.Mesh, t tasks) []contest {
	read := surfaces(dir, m)[1]
	return []contest{
		read,
		{"pieces", "connected pieces, from bare indices", func() (int, []float64) {
			_, n := mesh.NewTopology(m).Components()
			return n, nil
		}, nil},
		{"register", "point-to-plane registration of 50,000 points, index included (off the truth)", func() (int, []float64) {
			r, err := register.Align(t.moved, nil, bvh.Build(m), r3.Still(), register.Options{Reach: 2})
			if err != nil {
				return -1, nil
			}
			return len(t.moved), motionNumbers(r.DstFromSrc)
		}, nearTruth(t.back, m.Box())},
	}
}
