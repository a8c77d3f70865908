package phantom

import (
	"math"
	"math/rand/v2"

	"selvage/bvh"
	"selvage/mesh"
	"selvage/phantom/mouth"
	"selvage/phantom/solid"
	"selvage/phantom/stump"
	"selvage/r3"
	"selvage/tooth"
)

// build is a case in the making. Everything is canonical until the files are
// written.
type build struct {
	spec Spec
	w    *world
	bank *bank           // what is kept of this mouth
	die  *stump.Sections // of the sound stump
	rng  *rand.Rand

	scans    []*made
	truth    Restoration
	removed  *removed // what was cut away; the scan from before decides how much of it is known
	bite     BiteTruth
	order    Prescription
	found    []Finding
	asked    []Fault             // with the values used
	earlier  *world              // the tooth before the last cut, on the scan of it alone; nil for none
	stranger *world              // whose arch stands in for the one before the cut; nil for none
	opened   r3.Vec              // how far the jaws stood open, or closed too far, when they were scanned together
	buried   func(p r3.Vec) bool // margin points under tissue; nil for none
}

// made is one scan in the making.
type made struct {
	role     string
	scene    *mouth.Jaw
	arch     *mouth.Arch
	exact    *mesh.Mesh // all of the surface, without noise
	tree     *bvh.Tree  // of exact
	mesh     *mesh.Mesh // what the file will hold
	pose     r3.Rigid   // a move of the whole scan against the mouth: a bite that slipped
	scale    float64    // of the file's unit against mm
	mirrored bool
	closed   func(p r3.Vec) bool // where a program laid an even skin over the noisy points; nil: nowhere
}

func (b *build) scan(role string) *made {
	for _, s := range b.scans {
		if s.role == role {
			return s
		}
	}
	return nil
}

// newMade prepares a scan of the given role; index sets its lattice apart from the
// others', so that no two scans share a vertex.
func (b *build) newMade(role string) *made {
	w := b.w
	m := &made{role: role, arch: w.working, pose: r3.Still(), scale: 1}
	switch role {
	case Working:
		m.scene = w.workingScene(true)
	case Before:
		m.scene = w.workingScene(false)
	case Opposing:
		m.scene, m.arch = w.opposingScene(), w.opposing
		m.pose.T = b.opened
	}
	return m
}

// lattice returns the sampling of a scan. Only that of the working scan follows the
// preparation: the others are the same for every preparation in a mouth.
func (b *build) lattice(role string) solid.Lattice {
	s := b.spec.Scanner
	w := b.w
	shift := map[string]float64{Working: 0, Opposing: 1, Before: 2, Bite: 3, Preparation: 4}[role]
	// The fine part is the ball that holds the preparation from its margin up.
	f := &w.prepared.Form
	cut, from := w.spec.Stump.OcclusalReduction, w.spec.Stump.MarginHeight
	if role != Working && role != Preparation {
		cut, from = 0, 0
	}
	half := (f.Height - cut - from) / 2
	l := solid.Lattice{
		Center: w.prepared.Mouth.Point(r3.V(0, 0, from+half)), Fine: s.Fine, Coarse: s.Coarse,
		Radius: math.Hypot(max(f.Width, f.Depth)/2-0.2, half) + 0.3, Ramp: 1.5,
		Offset: r3.V(0.31, 0.17, 0.43).Scale(shift),
	}
	switch role { // nothing there needs the finest sampling
	case Opposing, Before:
		l.Fine = max(l.Fine, min(l.Coarse, 0.18))
	case Bite:
		l.Fine = max(l.Fine, min(l.Coarse, 0.20))
	}
	l.Coarse = max(l.Coarse, l.Fine)
	return l
}

// contour meshes the exact surface of a scan inside its rim.
func (b *build) contour(m *made) {
	w := b.w
	m.scene.Rim = w.rimOf(m.arch, m.scene)
	m.exact = trim(solid.Contour(m.scene, b.lattice(m.role), w.box(m.arch)), m.scene.Rim)
	m.mesh, m.tree = m.exact, bvh.Build(m.exact)
}

// kept meshes and captures a scan that the preparation has no part in, or takes it
// from the bank.
func (b *build) kept(m *made) {
	l := b.lattice(m.role)
	if got, ok := b.bank.scan(m.role, l, b.w); ok {
		m.exact, m.tree, m.mesh = got.exact, got.tree, got.mesh
		return
	}
	b.contour(m)
	b.capture(m)
	b.bank.keep(m, l, b.w)
}

// capture lets the virtual scanner see the exact surface.
func (b *build) capture(m *made) {
	if b.spec.Exact {
		return
	}
	w := b.w
	from, to := m.arch.Teeth[w.first].S-3, m.arch.Teeth[w.last].S+4
	care := w.prepared
	if m.arch != w.working {
		care = nil
	}
	n := normals(m.exact)
	ok := seen(m.exact, n, m.tree, sweep(m.arch, from, to, care))
	m.mesh = dropCrumbs(keepVertices(m.exact, mend(m.exact, ok)), crumbArea)
}

// archFromCanonical returns the map from the canonical mouth, which is a lower left
// quadrant, to the patient's frame (+X left, +Y back, +Z up): the identity, or a
// reflection in one or both of x and z. Its determinant is negative for the upper
// left and the lower right quadrant.
func archFromCanonical(n tooth.Number) r3.Rigid {
	g := r3.Still()
	if n.Side() == tooth.Right {
		g.R[0].X = -1
	}
	if n.Jaw() == tooth.Upper {
		g.R[2].Z = -1
	}
	return g
}

// moved returns m moved by g; a reflection turns the winding, so that triangles
// still face outwards.
func moved(m *mesh.Mesh, g r3.Rigid) *mesh.Mesh {
	if g.R.Det() < 0 {
		m = m.Flipped()
	}
	return m.Moved(g)
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
func (w *world) rimOf(a *mouth.Arch, g *mouth.Jaw) func(p r3.Vec) float64 {
	from, to := a.Teeth[w.first].S-3, a.Teeth[w.last].S+a.Teeth[w.last].Form.Width/2+3.5
	return func(p r3.Vec) float64 {
		s, out := a.Curve.Nearest(p)
		wave := 0.35*math.Sin(s*1.1+out*0.7) + 0.2*math.Sin(s*2.3+1.3)
		return max(g.GumDepth(p)-4.6-wave, from+wave-s, s-to-wave)
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
