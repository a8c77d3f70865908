package dentition

import (
	"math"

	"selvage/mesh"
	"selvage/r3"
)

// chart is the height field of a scan seen against the occlusal direction: for
// each square cell the highest point of the surface over the cell's centre, and
// the face it lies on. Chart coordinates are the scan's, moved by frame: z along
// the occlusal direction, x and y in the occlusal plane.
//
// A scan is close to a height field seen from where the scanner was; what hangs
// under (a tooth's waist) does not matter to the questions asked of a chart.
type chart struct {
	frame  r3.Rigid // chart from scan
	cell   float64  // edge of a cell, mm
	x0, y0 float64  // centre of cell (0, 0)
	nx, ny int
	z      []float64 // highest point; NaN where the surface is not met
	face   []mesh.FaceID
}

// maxCells bounds a chart's size whatever the file claims to measure: 2^22 cells
// are 400 × 400 mm at 0.2 mm, far beyond any mouth.
const maxCells = 1 << 22

// newChart draws m seen against the unit vector z, with x to the right. The
// cell grows where the box would need more than maxCells. Cost: O(F + cells).
func newChart(m *mesh.Mesh, frame r3.Rigid, cell float64) *chart {
	pos := make([]r3.Vec, len(m.Pos))
	for i, p := range m.Pos {
		pos[i] = frame.Point(p)
	}
	box := r3.BoxOf(pos...)
	if box.Empty() {
		return &chart{frame: frame, cell: cell}
	}
	size := box.Size()
	if a := (size.X/cell + 3) * (size.Y/cell + 3); a > maxCells {
		cell *= math.Sqrt(a/maxCells) * 1.05
	}
	c := &chart{
		frame: frame, cell: cell,
		x0: box.Min.X - cell, y0: box.Min.Y - cell,
		nx: int(size.X/cell) + 3, ny: int(size.Y/cell) + 3,
	}
	c.z = make([]float64, c.nx*c.ny)
	c.face = make([]mesh.FaceID, c.nx*c.ny)
	for i := range c.z {
		c.z[i] = math.NaN()
		c.face[i] = mesh.None
	}
	for f, t := range m.Tri {
		c.draw(mesh.FaceID(f), pos[t[0]], pos[t[1]], pos[t[2]])
	}
	return c
}

// draw writes one triangle into the cells whose centres it covers, keeping the
// highest; ties keep the lower face id because faces come in order.
func (c *chart) draw(f mesh.FaceID, p, q, r r3.Vec) {
	x0, x1 := min(p.X, q.X, r.X), max(p.X, q.X, r.X)
	y0, y1 := min(p.Y, q.Y, r.Y), max(p.Y, q.Y, r.Y)
	i0, i1 := int(math.Ceil((x0-c.x0)/c.cell)), int(math.Floor((x1-c.x0)/c.cell))
	j0, j1 := int(math.Ceil((y0-c.y0)/c.cell)), int(math.Floor((y1-c.y0)/c.cell))
	if i1 < i0 || j1 < j0 {
		return
	}
	ax, ay := q.X-p.X, q.Y-p.Y
	bx, by := r.X-p.X, r.Y-p.Y
	det := ax*by - ay*bx
	if det == 0 {
		return // seen edge on
	}
	for j := j0; j <= j1; j++ {
		dy := c.y0 + float64(j)*c.cell - p.Y
		for i := i0; i <= i1; i++ {
			dx := c.x0 + float64(i)*c.cell - p.X
			s := (dx*by - dy*bx) / det
			t := (ax*dy - ay*dx) / det
			if s < -edgeSlack || t < -edgeSlack || s+t > 1+edgeSlack {
				continue
			}
			z := p.Z + s*(q.Z-p.Z) + t*(r.Z-p.Z)
			k := j*c.nx + i
			if old := c.z[k]; !(old >= z) {
				c.z[k], c.face[k] = z, f
			}
		}
	}
}

// edgeSlack widens a triangle a little in barycentric units, so that a cell
// centre on a shared edge is never lost to rounding.
const edgeSlack = 1e-9

// at returns the height at cell (i, j), NaN outside the chart.
func (c *chart) at(i, j int) float64 {
	if i < 0 || j < 0 || i >= c.nx || j >= c.ny {
		return math.NaN()
	}
	return c.z[j*c.nx+i]
}

// cellOf returns the cell nearest to (x, y).
func (c *chart) cellOf(x, y float64) (i, j int) {
	return int(math.Round((x - c.x0) / c.cell)), int(math.Round((y - c.y0) / c.cell))
}

// sample returns the height at (x, y), bilinear between cell centres; NaN where
// one of the four is not met.
func (c *chart) sample(x, y float64) float64 {
	u, v := (x-c.x0)/c.cell, (y-c.y0)/c.cell
	i, j := int(math.Floor(u)), int(math.Floor(v))
	s, t := u-float64(i), v-float64(j)
	a, b := c.at(i, j), c.at(i+1, j)
	d, e := c.at(i, j+1), c.at(i+1, j+1)
	return (1-t)*((1-s)*a+s*b) + t*((1-s)*d+s*e)
}

// point returns the scan point of chart coordinates.
func (c *chart) point(x, y, z float64) r3.Vec { return c.frame.Inverse().Point(r3.V(x, y, z)) }
