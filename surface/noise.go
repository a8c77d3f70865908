package surface

import (
	"math"

	"selvage/internal/num"
	"selvage/mesh"
	"selvage/r3"
)

const (
	// noiseRings is the radius of a patch in units of the edges at its middle: 20 to 30
	// points, over which a tooth is a quadric to a micrometre or two but for its edges.
	noiseRings = 2.8

	// noisePoints is the least number of points of a patch: twice a jet's unknowns.
	noisePoints = 2 * jetUnknowns

	// noisePatches is the least number of patches for a statement: the quantile of fifty
	// is good to 5 %.
	noisePatches = 50

	// noiseSpacing is the widest spacing, mm, at which noise is told. A crown that is
	// sampled every 0.26 mm leaves a quadric over 2.8 edges by 4 µm, every 0.34 mm by
	// 8, every 0.5 mm by 20, which would all pass for noise (measured without noise on a
	// real cast, subdivided and sampled again).
	noiseSpacing = 0.3

	// noiseMost bounds the number of patches looked at.
	noiseMost = 20000

	// noiseQuantile is the quantile of the patches' noise that speaks for the scan. Edges,
	// fissures and rough gum only ever add; with a fifth of them the result is 3 % high,
	// with half of them 12 %.
	noiseQuantile = 0.3
)

// Noise estimates the standard deviation of the scan's points along the surface normal,
// in mm. ok is false where there are fewer than 50 patches to judge it by, and where the
// points lie more than 0.3 mm apart: there shape cannot be told from noise.
//
// Around up to 20 000 vertices a quadric is fitted to the vertices within 2.8 edges.
// The residuals of ν = n-6 degrees of freedom give s² = Σr²/ν; each is divided by the
// 0.3-quantile of χ²/ν, and the 0.3-quantile of all is the noise: patches on edges,
// which are the rougher ones, hardly count.
//
// Recovers 5, 10 and 20 µm within 5 % at 0.1 mm spacing on a curved surface with a
// sixth of it at sharp edges. It sees only what differs from point to point: noise that
// the scanner has smoothed over several points is under-estimated, and drift unseen.
// Cost: about 4 µs per patch. Deterministic, on any number of cores.
func Noise(m *mesh.Mesh, topo *mesh.Topology) (sigma float64, ok bool) {
	return NoiseOf(m, topo, VertexNormals(m), Spacing(m))
}

// NoiseOf is [Noise] where the normals, as from [VertexNormals], and the [Spacing] of m
// are known.
func NoiseOf(m *mesh.Mesh, topo *mesh.Topology, normals []r3.Vec, spacing float64) (sigma float64, ok bool) {
	n := len(m.Pos)
	if n == 0 || spacing > noiseSpacing {
		return 0, false
	}
	stride := (n + noiseMost - 1) / noiseMost
	at := make([]float64, (n+stride-1)/stride)
	eachVertex(topo, n, stride, func(r *rings, v mesh.VertexID) {
		at[int(v)/stride] = math.NaN()
		radius := noiseRings * r.edge(m.Pos, v)
		j, ok := fitJet(m.Pos, normals, r.within(m.Pos, v, radius, fitMost), radius)
		if ok && j.num >= noisePoints {
			nu := float64(j.num - jetUnknowns)
			at[int(v)/stride] = math.Sqrt(j.sum2 / nu / num.ChiSquareShare(noiseQuantile, nu))
		}
	})
	s := at[:0]
	for _, x := range at {
		if !math.IsNaN(x) {
			s = append(s, x)
		}
	}
	if len(s) < noisePatches {
		return 0, false
	}
	return num.Quantile(s, noiseQuantile), true
}
