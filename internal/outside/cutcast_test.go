package outside

import (
	"bytes"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"selvage/bvh"
	"selvage/dentition"
	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/limit"
	"selvage/mesh"
	"selvage/meshio/stl"
	"selvage/phantom/solid"
	"selvage/r3"
	"selvage/surface"
	"selvage/tooth"
)

// fourier is a smooth function of the azimuth.
type fourier struct{ c, s []float64 }

// fit returns the harmonics of y over evenly spaced azimuths.
func fit(az, y []float64, order int) fourier {
	f := fourier{make([]float64, order+1), make([]float64, order+1)}
	n := float64(len(az))
	for k := range order + 1 {
		for i, a := range az {
			f.c[k] += y[i] * math.Cos(float64(k)*a) * 2 / n
			f.s[k] += y[i] * math.Sin(float64(k)*a) * 2 / n
		}
	}
	f.c[0] /= 2
	return f
}

func (f fourier) at(a float64) (v, dv float64) {
	for k := range f.c {
		x := float64(k) * a
		v += f.c[k]*math.Cos(x) + f.s[k]*math.Sin(x)
		dv += float64(k) * (-f.c[k]*math.Sin(x) + f.s[k]*math.Cos(x))
	}
	return v, dv
}

// cut is a real cast with one tooth prepared by construction.
type cut struct {
	jaw        scanned
	crest      []r3.Vec  // of the arch
	contact    [2]r3.Vec // on the planes to the neighbours, and their normals
	between    [2]r3.Vec
	origin     r3.Vec
	x, y, axis r3.Vec
	shelf      fourier // height of the shelf over the azimuth
	form       fourier // r^-2 of the margin over the azimuth: an ellipse
	width      float64 // of the shelf, mm
	top        float64 // height of the flat top
	taper      float64 // half angle
	fillet     float64
}

func (c *cut) polar(p r3.Vec) (rho, az, z float64) {
	q := p.Sub(c.origin)
	x, y := q.Dot(c.x), q.Dot(c.y)
	return math.Hypot(x, y), math.Atan2(y, x), q.Dot(c.axis)
}

func (c *cut) radial(az float64) r3.Vec {
	return c.x.Scale(math.Cos(az)).Add(c.y.Scale(math.Sin(az)))
}

func (c *cut) around(az float64) r3.Vec {
	return c.y.Scale(math.Cos(az)).Sub(c.x.Scale(math.Sin(az)))
}

// edge is the radius of the margin and its derivative.
func (c *cut) edge(az float64) (r, dr float64) {
	q, dq := c.form.at(az)
	r = 1 / math.Sqrt(q)
	return r, -0.5 * r * r * r * dq
}

// above is negative above the shelf.
func (c *cut) above(p r3.Vec) solid.Sample {
	rho, az, z := c.polar(p)
	h, dh := c.shelf.at(az)
	rho = max(rho, 1)
	n := c.axis.Sub(c.around(az).Scale(dh / rho))
	l := n.Norm()
	return solid.Sample{D: -(z - h) / l, N: n.Scale(-1 / l)}
}

// die is the prepared stump above its shelf, going on below it.
func (c *cut) die(p r3.Vec) solid.Sample {
	rho, az, z := c.polar(p)
	r, dr := c.edge(az)
	r -= c.width
	h, dh := c.shelf.at(az)
	tan := math.Tan(c.taper)
	n := c.radial(az).Add(c.axis.Scale(tan)).Sub(c.around(az).Scale((dr + dh*tan) / max(rho, 1)))
	l := n.Norm()
	side := solid.Sample{D: (rho - r + (z-h)*tan) / l, N: n.Scale(1 / l)}
	return solid.Intersect(side, solid.Sample{D: z - c.top, N: c.axis}, brow)
}

// mine is negative between the planes through the contacts, where only the tooth to
// be cut stands.
func (c *cut) mine(p r3.Vec) solid.Sample {
	a := solid.Sample{D: p.Sub(c.contact[0]).Dot(c.between[0]), N: c.between[0]}
	b := solid.Sample{D: p.Sub(c.contact[1]).Dot(c.between[1]), N: c.between[1]}
	m := solid.Intersect(a, b, 0)
	if rho, az, _ := c.polar(p); rho > 9 && m.D < rho-9 {
		m = solid.Sample{D: rho - 9, N: c.radial(az)}
	}
	return m
}

// brow is the radius of the edge round the top, mm.
const brow = 0.5

// moat is how far the gum was pushed off the tooth at the shelf, and how deep, mm.
const (
	moat      = 0.35
	moatDepth = 0.7
)

// collar is negative within the outline of the margin widened by d.
func (c *cut) collar(p r3.Vec, d, flare float64) solid.Sample {
	rho, az, z := c.polar(p)
	r, dr := c.edge(az)
	h, dh := c.shelf.at(az)
	n := c.radial(az).Add(c.axis.Scale(flare)).Sub(c.around(az).Scale((dr + dh*flare) / max(rho, 1)))
	l := n.Norm()
	return solid.Sample{D: (rho - r - d + (z-h)*flare) / l, N: n.Scale(1 / l)}
}

func (c *cut) At(p r3.Vec) solid.Sample {
	jaw := c.jaw.At(p)
	if p.Dist(c.origin) > 12 {
		return jaw
	}
	away := solid.Intersect(c.mine(p), c.above(p), 0)
	left := solid.Subtract(jaw, away, 0.02)
	dig := solid.Intersect(c.collar(p, moat, 0.15), c.above(p).Shift(moatDepth), 0.1)
	left = solid.Subtract(left, dig, 0.1)
	// The root narrows below the margin by 6°.
	root := solid.Intersect(c.collar(p, 0, -0.1), c.above(p).Neg(), 0.02)
	die := c.die(p)
	return solid.Unite(left, solid.Unite(root, die, c.fillet), 0)
}

func (c *cut) Near(p r3.Vec, radius float64) (solid.Scene, bool) {
	return c, math.Abs(c.At(p).D) <= 1.35*radius+0.7
}

// margin returns the true line.
func (c *cut) margin() (line []r3.Vec) {
	for i := range 720 {
		az := float64(i) * math.Pi / 360
		r, _ := c.edge(az)
		h, _ := c.shelf.at(az)
		line = append(line, c.origin.Add(c.radial(az).Scale(r)).Add(c.axis.Scale(h)))
	}
	return line
}

func sq(x float64) float64 { return x * x }

// cutCast prepares tooth n of its cast: a shelf of a width, walls of a convergence about
// an axis tilted from the arch's (degrees), a flat top so far below the crest (mm). It
// returns the cut cast and the cast as it was before.
func cutCast(t *testing.T, n tooth.Number, tilt, convergence, width, reduce float64) (*cut, *mesh.Mesh) {
	t.Helper()
	jaw := n.Jaw()
	raw := castMesh(t, jaw)
	look := dentition.Look(string(jaw), raw)
	teeth := dentition.FindTeeth(look.Arch, jaw, dentition.Anchor{})
	labels := dentition.Label(look, teeth)
	i := slices.IndexFunc(teeth, func(x dentition.Tooth) bool { return x.Number == n })
	if i < 0 {
		t.Fatalf("tooth %v is not on the cast", n)
	}
	tt := teeth[i]
	fine := loop(loop(look.Mesh))
	c := &cut{
		jaw: scanned{bvh.Build(fine)}, crest: look.Arch.Ridge,
		taper: convergence / 2 * math.Pi / 180, fillet: 0.5,
	}
	// The axis: the arch's, tilted towards the mesiobuccal.
	c.axis = tt.Occlusal.Add(tt.Mesial.Add(tt.Buccal).Scale(math.Tan(tilt*math.Pi/180) / math.Sqrt2)).UnitOr(tt.Occlusal)
	c.x = tt.Mesial.Reject(c.axis).UnitOr(tt.Mesial)
	c.y = c.axis.Cross(c.x)
	const crest = 4.0 // mm from the die's origin up to the crest
	c.origin = tt.Center.Sub(c.axis.Scale(crest))
	// The shelf follows the neck, the lowest of the tooth over each azimuth, at a third
	// of its scallop, so that it is nowhere above the gum.
	const bins = 72
	low := make([]float64, bins)
	for k := range low {
		low[k] = math.Inf(1)
	}
	at := func(place float64) (p, along r3.Vec) {
		i := int(place/look.Arch.Step + 0.5)
		i = min(max(i, 0), len(look.Arch.Ridge)-1)
		return look.Arch.Ridge[i], look.Arch.Along[i]
	}
	c.contact[0], c.between[0] = at(tt.From)
	c.between[0] = c.between[0].Neg()
	c.contact[1], c.between[1] = at(tt.To)
	for v, p := range look.Mesh.Pos {
		if labels.Tooth[v] != n || c.mine(p).D > -0.8 {
			continue
		}
		_, az, z := c.polar(p)
		k := (int((az+math.Pi)/(2*math.Pi)*bins) + bins) % bins
		low[k] = min(low[k], z)
	}
	az := make([]float64, bins)
	for k := range az {
		az[k] = -math.Pi + (float64(k)+0.5)*2*math.Pi/bins
		if math.IsInf(low[k], 1) {
			low[k] = low[(k+bins-1)%bins]
		}
	}
	c.shelf = fit(az, low, 2)
	for k := 1; k <= 2; k++ {
		c.shelf.c[k] *= 0.3
		c.shelf.s[k] *= 0.3
	}
	over := math.Inf(-1)
	for k := range az {
		h, _ := c.shelf.at(az[k])
		over = max(over, h-low[k])
	}
	c.shelf.c[0] -= over + 0.1
	// The neck is an ellipse that leaves the embrasures open: 0.8 mm to each contact.
	ma, mb := 1/sq(tt.Width/2-0.8), 1/sq(0.45*tt.Depth)
	c.form = fourier{c: []float64{(ma + mb) / 2, 0, (ma - mb) / 2}, s: make([]float64, 3)}
	c.width = width
	c.top = crest - reduce
	return c, fine
}

func encode(t *testing.T, m *mesh.Mesh) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := stl.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// height is the true height of the lowest wall: the least of the medians over the four
// quarters, from the margin to where the rounding of radius brow stands at 45°.
func (c *cut) height() float64 {
	least := math.Inf(1)
	for q := range 4 {
		var h []float64
		for i := -45; i <= 45; i++ {
			z, _ := c.shelf.at((float64(i) + 90*float64(q)) * math.Pi / 180)
			h = append(h, c.top-brow*(1-math.Sqrt2/2)-z)
		}
		slices.Sort(h)
		least = min(least, h[len(h)/2])
	}
	return least
}

// Preparations cut by construction into a real cast: the anatomy of the tooth, of its
// neighbours and of the gum is a mouth's and not a phantom's; the outline of the margin,
// its shelf, walls and axis are known in closed form. Nothing may be raised that is not
// there, and every measure must hold the truth.
func TestCutCast(t *testing.T) {
	teeth := []tooth.Number{26, 44, 36, 15}
	if testing.Short() {
		teeth = teeth[1:2]
	}
	for _, n := range teeth {
		t.Run(n.String(), func(t *testing.T) {
			const tilt, convergence, width, reduce = 5.0, 12.0, 1.0, 1.5
			c, fine := cutCast(t, n, tilt, convergence, width, reduce)
			const around, reach = 21, 12 // mm of the arch each way; from its crest, as a scanner goes
			l := solid.Lattice{Center: c.origin.Add(c.axis.Scale(3)), Fine: 0.1, Coarse: 0.35, Radius: 7, Ramp: 4}
			m := solid.Contour(c, l, r3.BoxOf(c.origin).Grow(around))
			keep := make([]bool, len(m.Tri))
			for f := range keep {
				p := m.Centroid(mesh.FaceID(f))
				keep[f] = slices.ContainsFunc(c.crest, func(q r3.Vec) bool { return p.Dist(q) < reach })
			}
			m = solid.Keep(m, keep)
			rng := rand.New(rand.NewPCG(1, uint64(n)))
			normals := surface.VertexNormals(m)
			for i := range m.Pos {
				m.Pos[i] = m.Pos[i].AddScaled(0.01*rng.NormFloat64(), normals[i])
			}
			out, err := check.Run(t.Context(), check.Input{
				Case: casefile.Case{Restorations: []casefile.Restoration{{
					Tooth: casefile.CodeOf(n), Kind: casefile.Crown, Material: limit.Material("lithium-disilicate"),
				}}},
				Files: []check.File{
					{Name: "working.stl", Role: finding.RoleWorking, Data: encode(t, m)},
					{Name: "before.stl", Role: finding.RoleBefore, Data: encode(t, fine)},
				},
			}, nil)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range out.Judgement.Findings {
				switch f.Code {
				case finding.ScanMissing, finding.PrescriptionIncomplete, finding.ReductionLow: // true: no opposing arch, nothing prescribed, a flat top
				default:
					if f.Action != finding.Note {
						t.Errorf("raised without cause: %s: %s", f.Code, f.Text)
					}
				}
			}
			got := out.Report.Restorations[0].Measures
			c.holdMargin(t, got.Margin)
			if a := got.InsertionAxis; a.Not != "" {
				t.Errorf("axis: %s", a.Not)
			} else if d := r3.V(a.Value[0], a.Value[1], a.Value[2]).Angle(c.axis) * 180 / math.Pi; d > a.UDeg || d > 0.3 {
				t.Errorf("axis is %.3f° off, U %.3f°", d, a.UDeg)
			}
			if f := got.FinishLine; f.Not != "" || math.Abs(f.WidthMedianMM-width) > f.U || f.U > 0.1 {
				t.Errorf("width of the finish line: %+v, truth %.2f", f, width)
			}
			for _, v := range []struct {
				name   string
				m      casefile.Measure
				want   float64
				atMost float64 // of U, so that it says something
			}{
				{"convergence, mesiodistal", got.ConvergenceMD, convergence, 1},
				{"convergence, buccolingual", got.ConvergenceBL, convergence, 1},
				{"lowest wall", got.WallHeightMin, c.height(), 0.15},
				{"undercut", got.UndercutDepth, 0, 0.05},
			} {
				switch {
				case !v.m.Measured():
					t.Errorf("%s: %s", v.name, v.m.Not)
				case math.Abs(v.m.Value-v.want) > v.m.U:
					t.Errorf("%s %.3f ± %.3f, truth %.3f", v.name, v.m.Value, v.m.U, v.want)
				case v.m.U > v.atMost:
					t.Errorf("%s: U %.3f", v.name, v.m.U)
				}
			}
		})
	}
}

// holdMargin compares the traced margin with the true one.
func (c *cut) holdMargin(t *testing.T, m casefile.Margin) {
	t.Helper()
	if m.Not != "" {
		t.Errorf("margin: %s", m.Not)
		return
	}
	var d []float64
	mean := 0.0
	line := c.margin()
	for _, p := range line {
		best := math.Inf(1)
		for i, q := range m.Points {
			r := m.Points[(i+1)%len(m.Points)]
			best = min(best, segment(p, r3.V(q[0], q[1], q[2]), r3.V(r[0], r[1], r[2])))
		}
		d = append(d, best)
		mean += best / float64(len(line))
	}
	slices.Sort(d)
	p95, most := d[len(d)*95/100], d[len(d)-1]
	t.Logf("margin: mean %.3f, 95th percentile %.3f, largest %.3f mm", mean, p95, most)
	if mean > 0.03 || p95 > 0.06 || most > 0.12 {
		t.Errorf("margin: mean %.3f, 95th percentile %.3f, largest %.3f mm", mean, p95, most)
	}
	if m.UnclearMM > 0 || m.NotCapturedMM > 0 {
		t.Errorf("margin: unclear %.2f mm, not captured %.2f mm", m.UnclearMM, m.NotCapturedMM)
	}
}

func segment(p, a, b r3.Vec) float64 {
	e := b.Sub(a)
	t := 0.0
	if l := e.Dot(e); l > 0 {
		t = min(1, max(0, p.Sub(a).Dot(e)/l))
	}
	return p.Dist(a.Add(e.Scale(t)))
}
