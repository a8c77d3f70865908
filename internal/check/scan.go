package check

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"math"
	"path"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"

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
	Tree      *bvh.Tree      // nil for a bite record, which is laid on the arches and never asked
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
	Newer     *Scan    // shows the prepared tooth as it was cut after this one; nil: none does
	Moved     bool     // it was not in the working frame and was brought there
	ToWorking r3.Rigid // workingFromFile
	MovedU    float64  // k = 2, mm
	Fault     string   // why the file could not be used

	welded *mesh.Mesh // in the file's unit, until build
	span   r3.Box     // of the file's own numbers
}

// decode reads and welds all files, each into its own slot. What a decoder hands over
// is five times as large as the mesh, so it is welded at once and let go, and no more
// files are open than there are cores.
func decode(ctx context.Context, files []File) []*Scan {
	scans := make([]*Scan, len(files))
	each(len(files), func(i int) {
		f := files[i]
		s := &Scan{File: f.Name, Role: f.Role, ToWorking: r3.Still()}
		scans[i] = s
		if ctx.Err() != nil {
			return
		}
		sum := sha256.Sum256(f.Data)
		s.SHA256 = hex.EncodeToString(sum[:])
		soup, format, err := meshio.Decode(f.Data)
		s.Format = format
		if err != nil {
			s.Fault = err.Error()
			return
		}
		s.Triangles = len(soup.Tri)
		if soup.Tri == nil {
			s.Triangles = len(soup.Pos) / 3
		}
		s.span = r3.BoxOf(soup.Pos...)
		if ctx.Err() != nil {
			return
		}
		s.welded, s.Repair = mesh.Build(soup)
	})
	return scans
}

// each runs f for 0 to n-1, as many at a time as there are cores, the lower first;
// every call writes to its own slot only.
func each(n int, f func(i int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				f(i)
			}
		})
	}
	wg.Wait()
}

// build brings a scan to millimetres, turns it outward and indexes it. What it leaves
// where ctx is done is of no use. arch says whether its teeth will be asked for.
func (s *Scan) build(ctx context.Context, arch bool) {
	m := s.welded
	s.welded = nil
	if len(m.Tri) == 0 {
		s.Fault = "holds no triangle that has an area; export the scan again"
		return
	}
	if s.Unit.ToMM != 1 {
		m = m.Scaled(s.Unit.ToMM)
	}
	var topo *mesh.Topology
	for _, do := range []func(){
		func() { m, topo = s.withoutCrumbs(m) },
		func() {
			if arch {
				s.Look = dentition.LookOn(s.File, m, topo)
			} else {
				s.Look = dentition.Face(s.File, m, topo)
			}
			s.Mesh, s.Topo = s.Look.Mesh, s.Look.Topo
			s.Flipped = s.Look.Orientation.InsideOut
		},
		func() {
			if s.Role != finding.RoleBite {
				s.Tree = bvh.BuildOn(s.Topo)
			}
		},
		func() { s.Spacing = surface.Spacing(s.Mesh) },
		func() { s.Look.Normals = surface.VertexNormals(s.Mesh) },
		func() { s.Noise, s.NoiseOK = surface.NoiseOf(s.Mesh, s.Topo, s.Look.Normals, s.Spacing) },
	} {
		if ctx.Err() != nil {
			return
		}
		do()
	}
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
// mesh without its crumbs, and its topology.
func (s *Scan) withoutCrumbs(m *mesh.Mesh) (*mesh.Mesh, *mesh.Topology) {
	topo := mesh.NewTopology(m)
	for h := range topo.Pair {
		if topo.Open(mesh.HalfedgeID(h)) {
			s.OpenEdges++
		}
	}
	labels, n := topo.Components()
	s.Pieces, s.Vertices = n, len(m.Pos)
	if n == 1 {
		return m, topo
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
		return m, topo
	}
	sub, _, _ := mesh.Submesh(m, func(f mesh.FaceID) bool { return !crumb[labels[f]] })
	return sub, mesh.NewTopology(sub)
}

// extension returns the file name's extension without the dot, in lower case.
func (s *Scan) extension() string {
	return strings.ToLower(strings.TrimPrefix(path.Ext(s.File), "."))
}

// chordRadius is the radius, mm, of a cusp or a line angle that a coarse scan cuts
// short: its chords of length s lie s²/8r inside it.
const chordRadius = 2.0

// noise returns the scan's noise in mm. Where it could not be told it is the figure for
// a good scanner on a flat wafer (5-13 µm, trade.md §1.6) and what the chords between
// its points cut off.
func (s *Scan) noise() float64 {
	if s.NoiseOK {
		return s.Noise
	}
	return math.Hypot(0.010, s.Spacing*s.Spacing/(8*chordRadius))
}
