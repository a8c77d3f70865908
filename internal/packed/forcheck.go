package packed

import (
	"fmt"
	"math"
	"strconv"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/mesh"
	"selvage/r3"
	"selvage/tooth"
)

// Site is what a scene needs beside a finished check.
type Site struct {
	// Address is where the packed mesh of a role, or its twin, is fetched, relative to
	// the scene's own address.
	Address func(role finding.Role, coarse bool) string
	// Number gives the finding i of a restoration (-1: of the whole case) the number
	// that the report gives it, 0 for none; report.Numbering makes one.
	Number func(restoration, i int) int
	// Point is the address that tells the value at a place; empty: none.
	Point string
	// Say returns the word for a key in the user's language, and false to leave it in
	// English: "scan.ROLE", "view.path", "map.clearance", "surface.NAME" (a side of a tooth).
	Say func(key string) (string, bool)
	// ClearanceLimit in mm is drawn bold in the map of room; 0: none.
	ClearanceLimit float64
}

// Scan is a mesh of a scene with its values, ready for Encode.
type Scan struct {
	Role   finding.Role
	Mesh   *mesh.Mesh
	Values []Value
}

// The names of the values that surfaces carry, all in mm.
const (
	Clearance = "clearance" // room to the opposing teeth
	Reduction = "reduction" // what was taken off, along the normal
	Undercut  = "undercut"  // depth of the shadow along the insertion axis
)

// RoleMissing is the role of the surface that no scan shows.
const RoleMissing finding.Role = "missing"

// Scans lists the meshes that the scene of a restoration names, in its order: the
// scan that the preparation was measured on, then the others.
func Scans(o check.Outcome, restoration int) []Scan {
	source := o.Scene.Restorations[restoration].Source
	var out []Scan
	take := func(s *check.Scan) {
		if s == nil || s.Fault != "" || s.Mesh == nil || len(s.Mesh.Tri) == 0 {
			return
		}
		c := Scan{Role: s.Role, Mesh: s.Mesh}
		if s == source {
			c.Values = valuesOf(o.Scene.Restorations[restoration], len(s.Mesh.Pos))
		}
		out = append(out, c)
	}
	take(source)
	for _, role := range [...]finding.Role{finding.RoleWorking, finding.RoleOpposing, finding.RoleBefore} {
		if s := o.Scene.Scan(role); s != source {
			take(s)
		}
	}
	if m := o.Scene.Restorations[restoration].Missing; m != nil {
		out = append(out, Scan{Role: RoleMissing, Mesh: m})
	}
	return out
}

// valuesOf lists what was measured by vertex on the scan of the preparation.
func valuesOf(t check.SceneTooth, vertices int) []Value {
	room, cut, under := blank(Clearance, vertices), blank(Reduction, vertices), blank(Undercut, vertices)
	for _, v := range t.Clearance {
		room.put(v.Vertex, v.Distance)
	}
	for _, v := range t.Reduction {
		cut.put(v.Vertex, v.Normal)
	}
	deep := false
	for _, v := range t.Undercut {
		under.put(v.Vertex, v.Depth)
		deep = deep || v.Depth > 0
	}
	var out []Value
	if t.Clearance != nil {
		out = append(out, room)
	}
	if t.Reduction != nil {
		out = append(out, cut)
	}
	if deep { // a map of nothing shows nothing
		out = append(out, under)
	}
	return out
}

// blank is a value that is known nowhere.
func blank(name string, n int) Value {
	v := Value{Name: name, Of: make([]float64, n)}
	for i := range v.Of {
		v.Of[i] = math.NaN()
	}
	return v
}

func (v Value) put(at mesh.VertexID, x float64) {
	if at >= 0 && int(at) < len(v.Of) && finite(x) {
		v.Of[at] = x
	}
}

// SceneOf describes a restoration of a finished check. ok is false where no scan
// shows it.
func SceneOf(o check.Outcome, restoration int, at Site) (s Scene, ok bool) {
	t := o.Scene.Restorations[restoration]
	scans := Scans(o, restoration)
	if !t.Seen || t.Source == nil || len(scans) == 0 {
		return Scene{}, false
	}
	b := builder{o: o, rep: o.Report, t: t, at: at}
	if w := o.Scene.Scan(finding.RoleWorking); w != nil && w.Fault == "" {
		b.occlusal = w.Look.Orientation.Occlusal
	}
	b.occlusal = b.occlusal.UnitOr(t.Axis.UnitOr(r3.V(0, 0, 1)))
	r := o.Report.Restorations[restoration]
	s = Scene{Schema: SceneSchema, Title: r.Tooth.FDI + ": " + o.Report.Line, Point: at.Point, Radius: usualRadius, Centre: arr(t.Center)}
	if a, known := t.Axis.Unit(); known {
		v := arr(a)
		s.Axis = &v
	}
	b.margin(&s, r.Measures.Margin)
	for _, c := range scans {
		s.Surfaces = append(s.Surfaces, b.surface(c))
		for _, v := range c.Values {
			s.Maps = append(s.Maps, b.mapOf(v.Name))
		}
	}
	if f := b.front(); f.Norm2() > 0 {
		v := arr(f)
		s.Front = &v
	}
	s.Rims = b.rims()
	s.Views = b.views()
	s.Teeth, s.Contacts = b.teeth(), b.contacts()
	b.spots(&s, restoration, r.Findings)
	if restoration == 0 {
		b.spots(&s, -1, o.Report.Findings)
	}
	return s, true
}

// usualRadius in mm is half a molar: where the preparation's size is not known.
const usualRadius = 5.0

type builder struct {
	o        check.Outcome
	rep      casefile.Report
	t        check.SceneTooth
	at       Site
	occlusal r3.Vec
}

func (b builder) say(key, english string) string {
	if b.at.Say != nil {
		if w, ok := b.at.Say(key); ok {
			return w
		}
	}
	return english
}

func (b builder) surface(c Scan) SceneSurface {
	out := SceneSurface{
		Role: string(c.Role), Kind: Context, Fine: b.at.Address(c.Role, false), Colour: len(c.Mesh.Color) > 0,
		Shown: c.Role != finding.RoleOpposing && c.Role != finding.RoleBefore,
		Name:  b.say("scan."+string(c.Role), scanNames[c.Role]),
	}
	if len(c.Mesh.Tri) > CoarseTarget*5/4 { // a smaller one is turned as it is
		out.Coarse = b.at.Address(c.Role, true)
	}
	switch {
	case c.Role == RoleMissing:
		out.Kind = Missing
	case c.Role == b.t.Source.Role:
		out.Kind = Subject
	case c.Role == finding.RoleOpposing:
		out.Kind = Opposing
	}
	return out
}

// scanNames are the everyday words for the scans, as they stand on a switch.
var scanNames = map[finding.Role]string{
	finding.RolePreparation: "Prep", finding.RoleWorking: "Working arch",
	finding.RoleOpposing: "Opposing arch", finding.RoleBefore: "Before the prep", RoleMissing: "What is missing",
}

// mapOf shows room and reduction up to where every material is content, with a contour
// every half millimetre, as the server's pictures do; an undercut up to half a millimetre.
func (b builder) mapOf(name string) Map {
	switch name {
	case Reduction:
		return Map{Name: name, Word: "Reduction", Title: b.say("map.reduction", "Taken off since the scan from before, mm"), Max: 3, Step: 0.5}
	case Undercut:
		return Map{Name: name, Word: "Undercut", Title: b.say("map.undercut", "Undercut along the path of draw, mm"), Max: 0.5, Step: 0.1}
	}
	m := Map{Name: Clearance, Word: "Room", Title: b.say("map.clearance", "Room to the opposing teeth, mm"), Max: 3, Step: 0.5}
	if b.at.ClearanceLimit > 0 {
		m.Limit = &b.at.ClearanceLimit
	}
	return m
}

// contacts lists where the arches touch.
func (b builder) contacts() []Contact {
	var out []Contact
	for _, c := range b.t.Contacts {
		out = append(out, Contact{At: arr(c.At), Across: 2 * math.Sqrt(c.Area/math.Pi)})
	}
	return out
}

// margin adds the traced line, and takes the preparation's middle and size from it.
func (b builder) margin(s *Scene, m casefile.Margin) {
	if len(m.Points) < 3 {
		return
	}
	g := b.toWorking(m.Scan)
	out := Margin{Closed: m.Closed, Confidence: m.Confidence, State: make([]State, len(m.Points))}
	var mid r3.Vec
	for i, p := range m.Points {
		q := g.Point(vec(p))
		mid = mid.Add(q)
		out.Points = append(out.Points, arr(q))
		out.State[i] = Captured
	}
	mid = mid.Scale(1 / float64(len(m.Points)))
	far := 0.0
	for _, p := range out.Points {
		far = max(far, vec(p).Sub(mid).Reject(b.t.Axis.UnitOr(b.occlusal)).Norm())
	}
	s.Centre, s.Radius = arr(mid), max(far, 1)
	for _, st := range m.Stretches {
		state := Doubtful
		if st.State == finding.NotCaptured {
			state = NotCaptured
		}
		for i := st.From; i >= 0 && i < len(out.State); i = (i + 1) % len(out.State) {
			out.State[i] = state
			if i == st.To {
				break
			}
		}
	}
	s.Margins = []Margin{out}
}

// sides are the directions around a tooth, mesial first.
func (b builder) sides() []struct {
	side tooth.Surface
	to   r3.Vec
} {
	m, u := b.t.Mesial.Reject(b.occlusal).UnitOr(r3.Vec{}), b.t.Buccal.Reject(b.occlusal).UnitOr(r3.Vec{})
	return []struct {
		side tooth.Surface
		to   r3.Vec
	}{{tooth.Mesial, m}, {tooth.Distal, m.Neg()}, {tooth.Buccal, u}, {tooth.Lingual, u.Neg()}}
}

// teeth lists the numbers of the teeth that were found, each on its surface.
func (b builder) teeth() []Label {
	var out []Label
	for _, s := range b.rep.Scans {
		g := s.ToWorking.Rigid()
		for _, t := range s.Teeth {
			out = append(out, Label{Role: string(s.Role), At: arr(g.Point(vec(t.At))), Text: t.Tooth, Unsure: t.Unsure})
		}
	}
	return out
}

func (b builder) sideWord(s tooth.Surface) string {
	w := s.Word(b.t.Number)
	return b.say("surface."+w, w)
}

func (b builder) rims() []Rim {
	var out []Rim
	for _, s := range b.sides() {
		if s.to.Norm2() > 0 {
			out = append(out, Rim{To: arr(s.to), Word: b.sideWord(s.side)})
		}
	}
	return out
}

// views are the ways to look at the tooth. From the side the top of the head is up;
// from the biting side it is as on a dental chart, the front teeth at the top of an
// upper arch and at the bottom of a lower one.
func (b builder) views() []View {
	n := b.t.Number
	head, chart := b.occlusal, b.front().Neg()
	if n.Jaw() == tooth.Upper {
		head, chart = head.Neg(), chart.Neg()
	}
	if chart.Norm2() == 0 {
		chart = b.occlusal.Cross(r3.V(0.36, 0.48, 0.8)).UnitOr(r3.V(1, 0, 0))
	}
	out := []View{{Name: "path", Word: b.say("view.path", "Path of draw"), Eye: arr(b.t.Axis.UnitOr(b.occlusal)), Up: arr(chart)}}
	const lean = 0.35 // a look from the side comes a little from above, over the neighbours
	for _, s := range b.sides() {
		if eye, known := s.to.AddScaled(lean, b.occlusal).Unit(); known && s.to.Norm2() > 0 {
			out = append(out, View{Name: string(s.side), Word: b.sideWord(s.side), Eye: arr(eye), Up: arr(head)})
		}
	}
	return out
}

// front is the way out of the mouth: mesial for back teeth, buccal for incisors,
// between the two for canines and premolars.
func (b builder) front() r3.Vec {
	share := [...]float64{0.2, 0.95, 0.75, 0.5, 0.25, 0.1, 0, 0, 0}
	t := share[min(max(b.t.Number.Position(), 0), len(share)-1)]
	return b.t.Mesial.Scale(1 - t).Add(b.t.Buccal.Scale(t)).Reject(b.occlusal).UnitOr(r3.Vec{})
}

func (b builder) spots(s *Scene, restoration int, list []casefile.Finding) {
	for i, f := range list {
		n := i + 1
		if b.at.Number != nil {
			n = b.at.Number(restoration, i)
		}
		if f.At == nil || n < 1 {
			continue
		}
		g := b.toWorking(f.Scan)
		p := Spot{Number: strconv.Itoa(n), Kind: SpotNote, At: arr(g.Point(vec(*f.At))), Sentence: f.Text}
		if f.Normal != nil {
			v := arr(g.Dir(vec(*f.Normal)))
			p.Normal = &v
		}
		if f.Approach != nil {
			v := arr(g.Dir(vec(f.Approach.Direction)))
			p.Eye = &v
		}
		switch f.Action {
		case finding.ScanAgain, finding.OpenMargin:
			p.Kind = SpotScan
		case finding.AskDentist:
			p.Kind = SpotAsk
		}
		if f.Measured != nil && f.Unit == "mm" {
			p.Across = math.Abs(*f.Measured)
			if f.Action == finding.AskDentist {
				p.Text = valueText(*f.Measured, f.U)
			}
		}
		s.Spots = append(s.Spots, p)
	}
}

func valueText(v float64, u *float64) string {
	switch {
	case u == nil:
		return fmt.Sprintf("%.1f mm", v)
	case *u < 0.1:
		return fmt.Sprintf("%.2f ± %.2f mm", v, *u)
	}
	return fmt.Sprintf("%.1f ± %.1f mm", v, *u)
}

// toWorking is the motion that the report gives for a scan, or none.
func (b builder) toWorking(role finding.Role) r3.Rigid {
	for _, s := range b.rep.Scans {
		if s.Role == role && s.ToWorking != nil {
			return s.ToWorking.Rigid()
		}
	}
	return r3.Still()
}

func vec(a [3]float64) r3.Vec { return r3.V(a[0], a[1], a[2]) }

func arr(v r3.Vec) [3]float64 { return [3]float64{v.X, v.Y, v.Z} }
