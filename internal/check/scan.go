package check

import (
	"crypto/sha256"
	"encoding/hex"
	"path"
	"strings"
	"sync"

	"selvage/bvh"
	"selvage/dentition"
	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/mesh"
	"selvage/meshio"
	"selvage/r3"
	"selvage/surface"
	"selvage/tooth"
)

// Scan is one decoded file: a mesh in millimetres that winds outward, in the
// file's own frame.
type Scan struct {
	File      string
	Role      finding.Role
	Tooth     tooth.Number
	SHA256    string
	Format    meshio.Format
	Triangles int // in the file
	Unit      meshio.Unit
	UnitSaid  string
	UnitDoubt bool
	Repair    mesh.Repair

	Mesh      *mesh.Mesh
	Topo      *mesh.Topology
	Tree      *bvh.Tree
	Look      dentition.Scan // orientation and arch; of the outward mesh
	Flipped   bool           // the file winds inside out
	Noise     float64        // mm, one standard deviation; 0 where it could not be told
	NoiseOK   bool
	Spacing   float64               // mm, median edge
	Pieces    int                   // connected pieces of the file
	Vertices  int                   // of the file, welded
	OpenEdges int                   // of the file
	Crumbs    int                   // pieces that are small and loose: left out of Mesh
	Teeth     []casefile.FoundTooth // of an arch, in the frame of the file
	Doubled   []finding.Patch       // two sheets about the preparation
	Invented  []finding.Patch       // closed holes about the preparation
	Mirrored  finding.Answer
	OtherJaw  finding.Answer
	Moved     bool     // it was not in the working frame and was brought there
	ToWorking r3.Rigid // workingFromFile
	MovedU    float64  // k = 2, mm
	Fault     string   // why the file could not be used

	soup mesh.Soup
}

// decode reads all files, two at a time, each into its own slot.
func decode(files []File) []*Scan {
	scans := make([]*Scan, len(files))
	each(len(files), func(i int) {
		f := files[i]
		s := &Scan{File: f.Name, Role: f.Role, ToWorking: r3.Still()}
		sum := sha256.Sum256(f.Data)
		s.SHA256 = hex.EncodeToString(sum[:])
		var err error
		if s.soup, s.Format, err = meshio.Decode(f.Data); err != nil {
			s.Fault = err.Error()
		}
		s.Triangles = len(s.soup.Tri)
		if s.soup.Tri == nil {
			s.Triangles = len(s.soup.Pos) / 3
		}
		scans[i] = s
	})
	return scans
}

// each runs f for 0 to n-1, concurrently; every call writes to its own slot only.
func each(n int, f func(i int)) {
	var wg sync.WaitGroup
	for i := range n {
		wg.Go(func() { f(i) })
	}
	wg.Wait()
}

// build welds a scan in millimetres, turns it outward and indexes it.
func (s *Scan) build() {
	m, rep := mesh.Build(s.soup)
	s.soup = mesh.Soup{}
	s.Repair = rep
	if len(m.Tri) == 0 {
		s.Fault = "holds no triangle that has an area; export the scan again"
		return
	}
	if s.Unit.ToMM != 1 {
		m = m.Scaled(s.Unit.ToMM)
	}
	m = s.withoutCrumbs(m)
	s.Look = dentition.Look(s.File, m)
	s.Mesh, s.Topo = s.Look.Mesh, s.Look.Topo
	s.Flipped = s.Look.Orientation.InsideOut
	s.Tree = bvh.Build(s.Mesh)
	s.Spacing = surface.Spacing(s.Mesh)
	s.Noise, s.NoiseOK = surface.Noise(s.Mesh, s.Topo)
}

// A loose piece is a crumb where it is smaller than crumbArea, mm², and holds less
// than crumbShare of the faces. A flap of tongue or cheek is larger; so is an island
// of a neighbour's side that a crown needs. Specks of saliva and stitching are far
// smaller, and would be taken for the nearest surface: a crumb over the preparation
// once halved its clearance.
const (
	crumbArea  = 4.0
	crumbShare = 0.01
)

// withoutCrumbs counts pieces and open edges as the file has them and returns the
// mesh without its crumbs.
func (s *Scan) withoutCrumbs(m *mesh.Mesh) *mesh.Mesh {
	topo := mesh.NewTopology(m)
	for h := range topo.Pair {
		if topo.Open(mesh.HalfedgeID(h)) {
			s.OpenEdges++
		}
	}
	labels, n := topo.Components()
	s.Pieces, s.Vertices = n, len(m.Pos)
	if n == 1 {
		return m
	}
	faces := make([]int, n)
	area := make([]float64, n)
	for f := range m.Tri {
		l := labels[f]
		faces[l]++
		area[l] += m.AreaVector(mesh.FaceID(f)).Norm()
	}
	crumb := make([]bool, n)
	for i := range crumb {
		crumb[i] = area[i] < crumbArea && float64(faces[i]) < crumbShare*float64(len(m.Tri))
		if crumb[i] {
			s.Crumbs++
		}
	}
	if s.Crumbs == 0 || s.Crumbs == n {
		return m
	}
	sub, _, _ := mesh.Submesh(m, func(f mesh.FaceID) bool { return !crumb[labels[f]] })
	return sub
}

// extension returns the file name's extension without the dot, in lower case.
func (s *Scan) extension() string {
	return strings.ToLower(strings.TrimPrefix(path.Ext(s.File), "."))
}

// noise returns the scan's noise in mm, or the figure for a good scanner on a flat
// wafer (5-13 µm, trade.md §1.6) where it could not be told.
func (s *Scan) noise() float64 {
	if s.NoiseOK {
		return s.Noise
	}
	return 0.010
}
