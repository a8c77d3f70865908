package phantom

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"

	"selvage/bvh"
	"selvage/phantom/stump"
	"selvage/r3"
)

// Make builds the case that s asks for. It is an error if s.Tooth is no tooth, a
// fault is not known, or the shape asked for cannot be cut from the tooth; a fault that
// cannot be made is a [FaultError].
//
// Cost: about 3 s of one core for a quadrant at the default spacing. Deterministic
// for any number of cores.
func Make(s Spec) (Case, error) {
	var m Maker
	return m.Make(s)
}

// Maker makes cases one after the other and keeps what the next one can use: the mouth
// and its scans while the next case has the same mouth, the whole case while the next
// differs in faults of its files and scans alone. The zero Maker is ready. Its cases
// are those of [Make]. Not for several goroutines.
type Maker struct {
	bank *bank
	last *build // without a fault, as it was when its scans were made
}

// Make builds the case that s asks for; see the function of the same name.
func (k *Maker) Make(s Spec) (Case, error) {
	if !s.Tooth.Valid() {
		return Case{}, fmt.Errorf("phantom: %v is no tooth", s.Tooth)
	}
	picked, used, err := pickFaults(s.Faults)
	if err != nil {
		return Case{}, err
	}
	b := k.start(s, picked, used)
	step := func(do func(f fault) func(*build, float64) error) error {
		for i, f := range picked {
			if g := do(f); g != nil {
				if err := g(b, used[i].Value); err != nil {
					return &FaultError{used[i].Name, err}
				}
			}
		}
		return nil
	}
	if err := step(func(f fault) func(*build, float64) error { return f.shape }); err != nil {
		return Case{}, err
	}
	switch {
	case len(b.scans) == 0:
		if err := b.make(); err != nil {
			return Case{}, err
		}
		if len(picked) == 0 {
			k.last = b.copy()
		}
	case b.stranger != nil:
		b.remake(Before)
	}
	if err := step(func(f fault) func(*build, float64) error { return f.spoil }); err != nil {
		return Case{}, err
	}
	var old *bvh.Tree
	if m := b.scan(Before); m != nil && b.stranger == nil {
		old = bvh.Build(b.nearby(m.mesh))
	}
	b.removed.into(&b.truth, old)
	if m := b.scan(Working); m != nil {
		tree := bvh.Build(b.nearby(m.mesh))
		b.truth.Margin.SulcusMm, b.truth.Margin.SpacingMm = b.spec.Sulcus.Width, b.edgeAtMargin(m.mesh)
		b.surveyMargin(m.mesh, tree)
		b.surveyContacts(tree)
		b.surveyRoot(tree)
		b.surveyHoles(m)
	}
	if b.spec.Colour {
		b.paint()
	}
	if err := step(func(f fault) func(*build, float64) error { return f.file }); err != nil {
		return Case{}, err
	}
	b.surveyBite()
	b.judge()
	return b.write(), nil
}

// start returns the case before its faults: planned alone, or with its scans where the
// last sound one can be used again.
func (k *Maker) start(s Spec, picked []fault, used []Fault) *build {
	if k.last != nil && k.last.serves(s, picked) {
		b := k.last.copy()
		b.spec.Faults, b.asked, b.rng = s.Faults, used, rand.New(rand.NewPCG(s.Seed, phantomStream))
		return b
	}
	b := &build{spec: s, asked: used, rng: rand.New(rand.NewPCG(s.Seed, phantomStream))}
	for i, f := range picked {
		if f.plan != nil {
			f.plan(&b.spec, used[i].Value)
		}
	}
	b.order = Prescription{
		Tooth: s.Tooth, Kind: "crown", Material: b.spec.Material, Cement: b.spec.Cement,
		FinishLine: string(b.spec.Stump.FinishLine), Units: "mm",
	}
	if k.bank == nil || !k.bank.of(s) {
		k.bank = newBank(s)
	}
	b.bank = k.bank
	b.w = newWorld(b.spec, k.bank)
	b.bite.Contacts = b.w.contactCount(0)
	return b
}

// serves reports whether the scans of b are those of a case with other faults.
func (b *build) serves(s Spec, picked []fault) bool {
	for _, f := range picked {
		if f.plan != nil || f.shape != nil && f.name != otherMouth {
			return false
		}
	}
	s.Faults = nil
	return reflect.DeepEqual(b.spec, s)
}

// copy returns a build whose scans can be spoiled without harm to b. Meshes are
// shared: no step changes one in place.
func (b *build) copy() *build {
	out := *b
	out.scans = make([]*made, len(b.scans))
	for i, m := range b.scans {
		c := *m
		out.scans[i] = &c
	}
	return &out
}

// phantomStream sets the random numbers of this package apart from others drawn
// with the same seed.
const phantomStream = 0x73656c76616765

// make meshes, surveys and captures the scans. Working and opposing jaw are always
// meshed, since the truth needs them; they become files only if asked for.
func (b *build) make() error {
	roles := b.spec.Roles
	if roles == nil {
		roles = []string{Working, Opposing, Bite, Before}
	}
	working, opposing := b.newMade(Working), b.newMade(Opposing)
	b.fit(working)
	b.contour(working)
	b.kept(opposing)
	var err error
	if b.die, err = stump.NewSections(b.w.stump.Sound()); err != nil {
		return err
	}
	b.truth, b.removed = b.w.survey(b.die, working.exact, opposing.tree)
	for _, role := range roles {
		var m *made
		switch role {
		case Working:
			m = working
			b.capture(m)
		case Opposing:
			m = opposing
		case Before:
			m = b.before()
		case Bite:
			m = b.bitten()
			b.bite.Recorded = true
		case Preparation:
			m = b.alone(working)
		default:
			return fmt.Errorf("phantom: a scan %q cannot be made", role)
		}
		b.scans = append(b.scans, m)
	}
	return nil
}

// before makes the scan from before the cut, of this mouth or of a stranger's.
func (b *build) before() *made {
	m := b.newMade(Before)
	if b.stranger == nil {
		b.kept(m)
		return m
	}
	m.scene = b.stranger.workingScene(false)
	b.contour(m)
	b.capture(m)
	return m
}

// remake makes the scan of a role, now that something else is to be on it.
func (b *build) remake(role string) {
	for i, m := range b.scans {
		if m.role == role && role == Before {
			b.scans[i] = b.before()
		}
	}
}

// fit scales the spacing so that the working scan has about as many triangles as
// asked: their number goes with the inverse square of the spacing.
func (b *build) fit(m *made) {
	want := b.spec.Scanner.Triangles
	if want <= 0 {
		return
	}
	for range 2 {
		b.contour(m)
		k := math.Sqrt(float64(len(m.exact.Tri)) / float64(want))
		b.spec.Scanner.Fine *= k
		b.spec.Scanner.Coarse *= k
	}
}

// alone is a scan of the prepared tooth with what stands close around it.
func (b *build) alone(working *made) *made {
	m := *working
	m.role = Preparation
	if b.earlier != nil {
		m.scene = b.earlier.workingScene(true)
	}
	c := b.w.prepared.Center()
	reach := b.w.prepared.Form.Width/2 + 3.5
	b.contour(&m)
	b.capture(&m)
	m.cutHole(func(p r3.Vec) bool {
		d := p.Sub(c)
		return math.Hypot(d.X, d.Y) > reach
	})
	return &m
}

// write turns what was made into files and the truth about them.
func (b *build) write() Case {
	arch := archFromCanonical(b.spec.Tooth)
	c := Case{Prescription: b.order}
	c.Truth = Truth{
		Schema: "selvage.truth/1", Case: fmt.Sprintf("phantom-%v-%d", b.spec.Tooth, b.spec.Seed),
		Seed: b.spec.Seed, Faults: b.asked, Bite: b.bite, Findings: b.found,
	}
	c.Truth.Bite.Move = pointOf(arch.Dir(b.bite.Move.Vec()))
	frames := rand.New(rand.NewPCG(b.spec.Seed, phantomStream+1))
	g := arch
	for i, m := range b.scans {
		own := r3.Still()
		if b.spec.OwnFrames && m.role != Working {
			own = randomMotion(frames)
		}
		noise := rand.New(rand.NewPCG(b.spec.Seed, phantomStream+2+uint64(i)))
		out := m.mesh
		if !b.spec.Exact {
			out = roughen(out, b.spec.Scanner.Noise, b.spec.Scanner.NoiseLength, noise)
		}
		if m.closed != nil {
			out = skin(out, m.mesh.Pos, m.closed)
		}
		place := own.After(arch).After(m.pose)
		if m.role == Working {
			g = place
			if !m.mirrored && m.scale == 1 {
				c.exact = moved(m.exact, place)
			}
		}
		out = moved(out, place)
		if m.mirrored {
			out = out.Moved(r3.Rigid{R: r3.Mat{{X: -1}, {Y: 1}, {Z: 1}}})
		}
		if m.scale != 1 {
			out = out.Scaled(m.scale)
		}
		s := Scan{Role: m.role, File: m.file(), Mesh: out}
		if m.role == Preparation {
			s.Tooth = b.order.Tooth
		}
		c.Scans = append(c.Scans, s)
		c.sources = append(c.sources, source{m.scene, place, m.mirrored, m.scale})
		c.Truth.Scans = append(c.Truth.Scans, b.scanTruth(m, own))
	}
	if c.Truth.Bite.Gaps == nil {
		c.Truth.Bite.Gaps = []GapTruth{} // an empty list in JSON, not null
	}
	c.Truth.Restorations = []Restoration{b.truth.moved(g)}
	if c.Truth.Findings == nil {
		c.Truth.Findings = []Finding{} // an empty list in JSON, not null
	}
	for i := range c.Truth.Findings {
		if at := c.Truth.Findings[i].At; at != nil {
			p := pointOf(g.Point(at.Vec()))
			c.Truth.Findings[i].At = &p
		}
	}
	return c
}

// randomMotion turns by up to 30° about any axis and shifts by up to 40 mm.
func randomMotion(rng *rand.Rand) r3.Rigid {
	axis := r3.V(rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()).UnitOr(r3.V(0, 0, 1))
	shift := r3.V(rng.Float64()-0.5, rng.Float64()-0.5, rng.Float64()-0.5).Scale(80)
	return r3.Rigid{R: r3.Rotation(axis, rng.Float64()*math.Pi/6), T: shift}
}

// file is the name of the file: a format that holds colour where there is any.
func (m *made) file() string {
	if m.mesh.Color != nil {
		return m.role + ".ply"
	}
	return m.role + ".stl"
}

func (b *build) scanTruth(m *made, own r3.Rigid) ScanTruth {
	up := archFromCanonical(b.spec.Tooth).Dir(r3.V(0, 0, m.arch.Facing))
	t := ScanTruth{
		Role: m.role, File: m.file(), Units: "mm", Mirrored: m.mirrored,
		NoiseUm: b.spec.Scanner.Noise * 1000, SpacingMm: b.lattice(m.role).Fine,
		Occlusal: pointOf(own.Dir(up)), Shift: pointOf(own.T),
	}
	switch m.scale {
	case 1.0 / 1000:
		t.Units = "m"
	case 1 / 25.4:
		t.Units = "in"
	}
	for k := range 3 {
		t.Rotation[k] = own.R[k].Array()
	}
	for _, n := range m.arch.Teeth[b.w.first : b.w.last+1] {
		if !b.w.absent(n) {
			t.Teeth = append(t.Teeth, n.Form.Number.FDI())
		}
	}
	return t
}
