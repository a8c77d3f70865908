package phantom

import (
	"fmt"
	"math"

	"selvage/mesh"
	"selvage/phantom/mouth"
	"selvage/phantom/solid"
	"selvage/r3"
)

// Make builds the case that s asks for. It is an error if s.Tooth is no tooth or
// a fault is not known.
func Make(s Spec) (Case, error) {
	if !s.Tooth.Valid() {
		return Case{}, fmt.Errorf("phantom: %v is no tooth", s.Tooth)
	}
	w := newWorld(s)
	c := Case{Prescription: Prescription{
		Tooth: s.Tooth, Kind: "crown", Material: s.Material, Cement: s.Cement,
		FinishLine: string(s.Stump.FinishLine), Units: "mm",
	}}
	t, err := w.truth()
	if err != nil {
		return Case{}, err
	}
	c.Truth = t
	roles := s.Roles
	if roles == nil {
		roles = []string{Working, Opposing, Before}
	}
	for i, role := range roles {
		m, err := w.scan(role, i)
		if err != nil {
			return Case{}, err
		}
		c.Scans = append(c.Scans, Scan{Role: role, File: role + ".stl", Mesh: moved(m, archFromCanonical(s.Tooth))})
		c.Truth.Scans = append(c.Truth.Scans, w.scanTruth(role))
	}
	return c, nil
}

// scan makes one scan in the canonical mouth.
func (w *world) scan(role string, index int) (*mesh.Mesh, error) {
	var sc *scene
	arch := w.working
	switch role {
	case Working:
		sc = w.workingScene(true)
	case Before:
		sc = w.workingScene(false)
	case Opposing:
		sc, arch = w.opposingScene(), w.opposing
	default:
		return nil, fmt.Errorf("phantom: a scan %q cannot be made", role)
	}
	l := solid.Lattice{
		Center: w.prepared.Center().AddScaled(-1, w.prepared.Mouth.Dir(r3.V(0, 0, 1))),
		Fine:   w.spec.Scanner.Fine, Coarse: w.spec.Scanner.Coarse,
		Radius: 6, Ramp: 2,
		Offset: r3.V(0.31, 0.17, 0.43).Scale(float64(index)),
	}
	sc.rim = w.rimOf(arch, sc.gum)
	return trim(solid.Contour(sc, l, w.box(arch)), sc.rim), nil
}

// box returns the box that holds the shown part of an arch.
func (w *world) box(a *mouth.Arch) r3.Box {
	b := r3.EmptyBox()
	for _, t := range a.Teeth[w.first : w.last+1] {
		c := t.Mouth.T
		b = b.Extend(c.Add(r3.V(12, 12, 6.5))).Extend(c.Sub(r3.V(12, 12, 6.5)))
		b = b.Extend(t.Mouth.Point(r3.V(0, 0, t.Form.Height+1)))
	}
	return b
}

// rimOf returns a function that is positive where a scan ends, negative inside it,
// and changes about as fast as distance: the depth below the gum's crest and the
// ends along the arch, both ragged.
func (w *world) rimOf(a *mouth.Arch, g *gum) func(p r3.Vec) float64 {
	from, to := a.Teeth[w.first].S-3, a.Teeth[w.last].S+a.Teeth[w.last].Form.Width/2+3.5
	return func(p r3.Vec) float64 {
		s, out := a.Curve.Nearest(p, 75)
		wave := 0.35*math.Sin(s*1.1+out*0.7) + 0.2*math.Sin(s*2.3+1.3)
		return max(g.depth(p)-4.6-wave, from+wave-s, s-to-wave)
	}
}

// trim drops the faces that reach beyond the rim.
func trim(m *mesh.Mesh, rim func(p r3.Vec) float64) *mesh.Mesh {
	inside := make([]bool, len(m.Pos))
	solid.Parallel(len(m.Pos), func(i int) { inside[i] = rim(m.Pos[i]) < 0 })
	keep := make([]bool, len(m.Tri))
	for f, t := range m.Tri {
		keep[f] = inside[t[0]] && inside[t[1]] && inside[t[2]]
	}
	return solid.Keep(m, keep)
}

func (w *world) scanTruth(role string) ScanTruth {
	up := archFromCanonical(w.spec.Tooth).Dir(r3.V(0, 0, 1))
	if role == Opposing {
		up = up.Neg()
	}
	return ScanTruth{Role: role, File: role + ".stl", Units: "mm", Occlusal: pointOf(up)}
}

func (w *world) truth() (Truth, error) {
	t := Truth{Schema: "selvage.truth/1", Seed: w.spec.Seed}
	pts, err := w.stump.margin()
	if err != nil {
		return t, err
	}
	g := archFromCanonical(w.spec.Tooth).After(w.prepared.Mouth)
	r := Restoration{Tooth: w.spec.Tooth.FDI()}
	for _, p := range pts {
		r.Margin.Points = append(r.Margin.Points, pointOf(g.Point(p)))
	}
	r.InsertionAxis = pointOf(g.Dir(w.stump.axis()))
	r.Mesial, r.Buccal = pointOf(g.Dir(r3.V(1, 0, 0))), pointOf(g.Dir(r3.V(0, 1, 0)))
	t.Restorations = []Restoration{r}
	return t, nil
}
