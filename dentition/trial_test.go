package dentition

import (
	"encoding/gob"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"testing"
	"time"

	"selvage/mesh"
	"selvage/phantom"
	"selvage/r3"
	"selvage/tooth"
)

var (
	trials    = flag.Int("trials", 0, "measure the teeth of so many phantoms of every kind; takes about a second each")
	trialKind = flag.String("trial-kind", "", "only phantoms of this kind")
	trialSeed = flag.Uint64("trial-seed", 1, "first seed of the phantoms")
	trialKeep = flag.String("trial-keep", "", "keep the phantoms made in this folder, and use those already there")
	trialSay  = flag.Bool("trial-say", false, "say what was wrong in each phantom")
)

// kind is a family of phantoms: it alters the specification of a case.
type kind struct {
	name string
	vary func(s *phantom.Spec, rng *rand.Rand)
	// ambiguous says that nothing in the scan tells some of the numbers: they are
	// counted, and expected to be unsure.
	ambiguous bool
}

func pickTooth(rng *rand.Rand, teeth ...int) tooth.Number {
	q := rng.IntN(4) + 1
	n, _ := tooth.New(10*q + teeth[rng.IntN(len(teeth))])
	return n
}

// retooth makes n the prepared tooth of a case, cut as is usual for it.
func retooth(s *phantom.Spec, n tooth.Number) {
	d := phantom.Default(n)
	d.Seed, d.Scanner, d.Roles, d.FullArch = s.Seed, s.Scanner, s.Roles, s.FullArch
	*s = d
}

// next returns the tooth k places distal of n, or mesial where k is negative.
func next(n tooth.Number, k int) tooth.Number {
	for ; k > 0; k-- {
		n, _ = n.Distal()
	}
	for ; k < 0; k++ {
		n, _ = n.Mesial()
	}
	return n
}

var kinds = []kind{
	{name: "quadrant", vary: func(*phantom.Spec, *rand.Rand) {}},
	{name: "full-arch", vary: func(s *phantom.Spec, _ *rand.Rand) { s.FullArch = true }},
	{name: "knife-edge", vary: func(s *phantom.Spec, _ *rand.Rand) {
		s.Stump.FinishLine, s.Stump.FinishWidth = phantom.KnifeEdge, 0.2
	}},
	{name: "other-lines", vary: func(s *phantom.Spec, rng *rand.Rand) {
		lines := []phantom.FinishLine{phantom.Chamfer, phantom.Shoulder, phantom.SlopedShoulder}
		s.Stump.FinishLine = lines[rng.IntN(len(lines))]
		if s.Stump.FinishLine == phantom.Chamfer {
			s.Stump.FinishWidth = 0.5
		}
	}},
	{name: "front", vary: func(s *phantom.Spec, rng *rand.Rand) { retooth(s, pickTooth(rng, 1, 2, 3)) }},
	{name: "two-side-by-side", vary: func(s *phantom.Spec, rng *rand.Rand) {
		retooth(s, pickTooth(rng, 1, 2, 3, 4, 5, 6))
		s.Teeth.Beside = []tooth.Number{next(s.Tooth, 1)}
	}},
	{name: "gap-of-one", vary: func(s *phantom.Spec, rng *rand.Rand) {
		retooth(s, pickTooth(rng, 4, 5, 6, 7))
		k := -1
		if s.Tooth.Position() < 6 && rng.IntN(2) == 0 {
			k = 1
		}
		s.Teeth.Absent = []tooth.Number{next(s.Tooth, k)}
	}},
	{name: "gaps-full-arch", vary: func(s *phantom.Spec, rng *rand.Rand) {
		s.FullArch = true
		for len(s.Teeth.Absent) < 3 {
			n := pickTooth(rng, 4, 5, 6, 2)
			if n.Jaw() == s.Tooth.Jaw() && n != s.Tooth {
				s.Teeth.Absent = append(s.Teeth.Absent, n)
			}
		}
	}},
	{name: "third-molar", vary: func(s *phantom.Spec, rng *rand.Rand) {
		retooth(s, pickTooth(rng, 6, 7, 8))
		s.Teeth.Thirds = true
	}},
	{name: "crowded", vary: func(s *phantom.Spec, _ *rand.Rand) { s.Teeth.Crowd, s.FullArch = 1, true }},
	{name: "coarse", vary: func(s *phantom.Spec, _ *rand.Rand) { s.Scanner.Fine, s.Scanner.Coarse = 0.5, 0.5 }},
	{name: "gap-closed", ambiguous: true, vary: func(s *phantom.Spec, rng *rand.Rand) {
		retooth(s, pickTooth(rng, 6, 7))
		s.Teeth.Drawn = 4
	}},
}

// trialOf returns the specification of phantom i of a kind.
func trialOf(k kind, seed uint64) phantom.Spec {
	rng := rand.New(rand.NewPCG(seed, 77))
	s := phantom.Default(pickTooth(rng, 1, 2, 3, 4, 5, 6, 7))
	s.Seed = seed
	s.Scanner.Fine, s.Scanner.Coarse = 0.3, 0.35
	s.Roles = []string{phantom.Working}
	k.vary(&s, rng)
	return s
}

// score counts what came of phantoms.
type tally struct {
	cases, failed                         int
	found, missed, misplaced              int // prepared tooth: seen at its number, not seen, elsewhere or more than 2.5 mm off
	sides                                 int // handedness consistent
	mirrorCaught                          int // mirrored scans said to be mirrored
	mirrorPassed                          int // mirrored scans said to be consistent
	right, wrong, unsure, lost            int // teeth, by number
	sureWrong                             int // wrong and not unsure
	cleanCases                            int // cases without a sure wrong number
	areaRight, areaWrong, areaSum         float64
	areaUnsure, areaUnsureWrong, areaOver float64
	lookTime, prepTime, labelTime         time.Duration
}

func (a *tally) add(b tally) {
	a.cases += b.cases
	a.failed += b.failed
	a.found += b.found
	a.missed += b.missed
	a.misplaced += b.misplaced
	a.sides += b.sides
	a.mirrorCaught += b.mirrorCaught
	a.mirrorPassed += b.mirrorPassed
	a.right += b.right
	a.wrong += b.wrong
	a.unsure += b.unsure
	a.lost += b.lost
	a.sureWrong += b.sureWrong
	a.cleanCases += b.cleanCases
	a.areaRight += b.areaRight
	a.areaWrong += b.areaWrong
	a.areaUnsure += b.areaUnsure
	a.areaUnsureWrong += b.areaUnsureWrong
	a.areaOver += b.areaOver
	a.areaSum += b.areaSum
	a.lookTime += b.lookTime
	a.prepTime += b.prepTime
	a.labelTime += b.labelTime
}

// truthLabels returns the true tooth of every vertex of scan i.
func truthLabels(c *phantom.Case, i int) []tooth.Number {
	m := c.Scans[i].Mesh
	out := make([]tooth.Number, len(m.Pos))
	for v, p := range m.Pos {
		out[v] = c.ToothAt(i, p)
	}
	return out
}

// vertexAreas returns a third of the area of the faces about each vertex.
func vertexAreas(m *mesh.Mesh) []float64 {
	out := make([]float64, len(m.Pos))
	for f, t := range m.Tri {
		a := m.AreaVector(mesh.FaceID(f)).Norm() / 3
		for _, v := range t {
			out[v] += a
		}
	}
	return out
}

// sample is a phantom as the trials need it.
type sample struct {
	Pos    []r3.Vec
	Tri    [][3]mesh.VertexID
	Truth  []tooth.Number // per vertex
	Middle r3.Vec         // of the margin
	Teeth  []int
	Failed string
}

// sampleOf makes phantom seed of a kind, or takes it from the folder of those made
// before.
func sampleOf(k kind, seed uint64) (s sample) {
	name := filepath.Join(*trialKeep, fmt.Sprintf("%s-%d.gob", k.name, seed))
	if *trialKeep != "" {
		if f, err := os.Open(name); err == nil {
			defer f.Close()
			if gob.NewDecoder(f).Decode(&s) == nil {
				return s
			}
		}
	}
	c, err := phantom.Make(trialOf(k, seed))
	if err != nil {
		return sample{Failed: err.Error()}
	}
	s = sample{Pos: c.Scans[0].Mesh.Pos, Tri: c.Scans[0].Mesh.Tri, Truth: truthLabels(&c, 0), Teeth: c.Truth.Scans[0].Teeth}
	_, _, _, s.Middle = truthOf(&c)
	if *trialKeep != "" {
		if f, err := os.Create(name); err == nil {
			_ = gob.NewEncoder(f).Encode(s)
			_ = f.Close()
		}
	}
	return s
}

// runTrial looks at one phantom in a random pose and holds what is found against
// its truth.
func runTrial(k kind, seed uint64) (out tally) {
	s := trialOf(k, seed)
	c := sampleOf(k, seed)
	if c.Failed != "" {
		return tally{failed: 1}
	}
	out.cases = 1
	rng := rand.New(rand.NewPCG(seed, 78))
	g := motion(rng)
	m := (&mesh.Mesh{Pos: c.Pos, Tri: c.Tri}).Moved(g)
	start := time.Now()
	look := Look("", m)
	out.lookTime = time.Since(start)
	start = time.Now()
	p := FindPrepared(look, s.Tooth, nil)
	out.prepTime = time.Since(start)
	middle := c.Middle
	say := func(format string, args ...any) {
		if *trialSay {
			fmt.Printf("%s seed %d tooth %v: %s\n", k.name, seed, s.Tooth, fmt.Sprintf(format, args...))
		}
	}
	off := p.Center.Sub(g.Point(middle)).Reject(look.Arch.Occlusal).Norm()
	switch {
	case p.Sighting == NoneSeen:
		out.missed++
		say("prepared tooth not seen: %s", p.Why)
	case p.Sighting != Seen || off > 2.5:
		out.misplaced++
		say("sighting %d, %.1f mm off: %s", p.Sighting, off, p.Why)
	default:
		out.found++
	}
	if h, _ := Handedness(look, p); h == Consistent {
		out.sides++
	}
	mirror := &mesh.Mesh{Tri: m.Tri}
	for _, q := range m.Pos {
		mirror.Pos = append(mirror.Pos, r3.V(-q.X, q.Y, q.Z))
	}
	ml := Look("", mirror)
	mp := FindPrepared(ml, s.Tooth, nil)
	switch h, why := Handedness(ml, mp); h {
	case Mirrored:
		out.mirrorCaught++
	case Consistent:
		out.mirrorPassed++
		say("mirrored and not told: %s", why)
	}
	truth := c.Truth
	anchor := Anchor{}
	if p.Sighting == Seen {
		anchor = Anchor{Number: s.Tooth, Place: p.Place}
	}
	teeth := FindTeeth(look.Arch, s.Tooth.Jaw(), anchor)
	judgeTeeth(&out, look, teeth, m, truth, c.Teeth, say)
	start = time.Now()
	l := Label(look, teeth, p)
	out.labelTime = time.Since(start)
	area := vertexAreas(m)
	byTooth := map[tooth.Number][2]float64{}
	for v, n := range truth {
		switch {
		case n == 0:
			if l.Tooth[v] != 0 {
				out.areaOver += area[v]
			}
			continue
		case l.Tooth[v] == n:
			out.areaRight += area[v]
		case l.Tooth[v] != 0:
			out.areaWrong += area[v]
		}
		if l.Confidence[v] < surely {
			out.areaUnsure += area[v]
			if l.Tooth[v] != n {
				out.areaUnsureWrong += area[v]
			}
		}
		out.areaSum += area[v]
		b := byTooth[n]
		b[0] += area[v]
		if l.Tooth[v] == n {
			b[1] += area[v]
		}
		byTooth[n] = b
	}
	for _, n := range tooth.All() {
		if b := byTooth[n]; b[0] > 20 && b[1] < 0.95*b[0] {
			say("%v: %.0f %% of its %.0f mm² are labelled so", n, 100*b[1]/b[0], b[0])
		}
	}
	return out
}

// surely is the confidence from which a number counts as said, not as "not sure".
const surely = 0.7

// judgeTeeth compares teeth with the true labels: what a found tooth is, most of the
// true tooth surface near its centre decides.
func judgeTeeth(out *tally, look Scan, teeth []Tooth, m *mesh.Mesh, truth []tooth.Number, want []int, say func(string, ...any)) {
	area := vertexAreas(m)
	seen := map[tooth.Number]bool{}
	clean := true
	for _, x := range teeth {
		votes := map[tooth.Number]float64{}
		for v, p := range m.Pos {
			if truth[v] != 0 && p.Sub(x.Center).Reject(x.Occlusal).Norm() < 0.3*x.Width {
				votes[truth[v]] += area[v]
			}
		}
		var is tooth.Number
		for _, n := range tooth.All() {
			if votes[n] > votes[is] {
				is = n
			}
		}
		seen[is] = true
		switch {
		case is == x.Number:
			out.right++
			if x.Confidence < surely {
				out.unsure++
			}
		case x.Confidence < surely:
			out.wrong++
			out.unsure++
			say("%v is numbered %v, unsure (%.2f)", is, x.Number, x.Confidence)
		default:
			out.wrong++
			out.sureWrong++
			clean = false
			say("%v is numbered %v, sure (%.2f)", is, x.Number, x.Confidence)
		}
	}
	for _, n := range want {
		if !seen[tooth.Number(n)] {
			out.lost++
			say("%d is not found", n)
		}
	}
	if clean {
		out.cleanCases++
	}
}

// TestTrials measures phantoms of every kind and prints what came of them.
func TestTrials(t *testing.T) {
	if *trials == 0 {
		t.Skip("measures phantoms in bulk; run with -trials N")
	}
	fmt.Printf("%-18s %5s | %5s %6s %6s | %5s %6s %6s | %5s %5s %5s %5s %5s | %6s\n", "kind", "cases",
		"found", "missed", "wrong", "side", "mirror", "passed", "right", "wrong", "sureW", "unsur", "lost", "clean")
	for _, k := range kinds {
		if *trialKind != "" && *trialKind != k.name {
			continue
		}
		all := make([]tally, *trials)
		var wg sync.WaitGroup
		gate := make(chan struct{}, max(1, runtime.NumCPU()))
		for i := range all {
			wg.Add(1)
			gate <- struct{}{}
			go func() {
				defer wg.Done()
				all[i] = runTrial(k, *trialSeed+uint64(i))
				<-gate
			}()
		}
		wg.Wait()
		var a tally
		for _, b := range all {
			a.add(b)
		}
		n := math.Max(1, float64(a.cases))
		fmt.Printf("%-18s %5d | %5d %6d %6d | %5d %6d %6d | %5d %5d %5d %5d %5d | %6d  | area %.2f %% right, %.2f %% another, %.2f %% over; %.2f %% unsure; surely wrong %.2f %% | %.0f %.0f %.0f ms\n", k.name, a.cases,
			a.found, a.missed, a.misplaced, a.sides, a.mirrorCaught, a.mirrorPassed,
			a.right, a.wrong, a.sureWrong, a.unsure, a.lost, a.cleanCases, 100*a.areaRight/a.areaSum, 100*a.areaWrong/a.areaSum, 100*a.areaOver/a.areaSum, 100*a.areaUnsure/a.areaSum,
			100*(a.areaSum-a.areaRight-a.areaUnsureWrong)/a.areaSum, float64(a.lookTime.Milliseconds())/n, float64(a.prepTime.Milliseconds())/n, float64(a.labelTime.Milliseconds())/n)
	}
}
