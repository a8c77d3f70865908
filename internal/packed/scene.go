package packed

// SceneSchema names the format of a Scene, doc/formats/scene.md.
const SceneSchema = "selvage.scene/1"

// Scene is what the browser's view draws of one prepared tooth. Places are mm in the
// frame of the working scan, directions unit vectors; texts are ready to be read, in
// the user's language. internal/web/ui/src/scene.ts is the same in TypeScript.
type Scene struct {
	Schema   string         `json:"schema"`
	Title    string         `json:"title"`  // what a screen reader says for the picture
	Centre   [3]float64     `json:"centre"` // of the preparation
	Radius   float64        `json:"radius"` // mm, about half the preparation's width
	Axis     *[3]float64    `json:"axis,omitempty"`
	Front    *[3]float64    `json:"front,omitempty"` // out of the mouth: where a scanner's handle leads
	Rims     []Rim          `json:"rims,omitempty"`
	Surfaces []SceneSurface `json:"surfaces"`
	Maps     []Map          `json:"maps,omitempty"`
	Margins  []Margin       `json:"margins,omitempty"`
	Spots    []Spot         `json:"spots,omitempty"`
	Views    []View         `json:"views,omitempty"`
	Teeth    []Label        `json:"teeth,omitempty"`
	Contacts []Contact      `json:"contacts,omitempty"`
	Point    string         `json:"point,omitempty"` // address that tells the value at a place, with {x} {y} {z} {role}
}

// Contact is a place where the arches touch.
type Contact struct {
	At     [3]float64 `json:"at"`
	Across float64    `json:"across"` // mm, of a disc of its area
}

// Label is the number of a tooth, written on it where numbers are asked for.
type Label struct {
	Role   string     `json:"role"` // of the surface that it stands on
	At     [3]float64 `json:"at"`
	Text   string     `json:"text"` // ISO 3950
	Unsure bool       `json:"unsure,omitempty"`
}

// Rim is a word for a direction, written where it leaves the picture. The first one
// is mesial where that is known: cuts are laid along it and across.
type Rim struct {
	To   [3]float64 `json:"to"`
	Word string     `json:"word"`
}

// Kind says how a surface is drawn.
type Kind string

// The kinds of surfaces.
const (
	Subject  Kind = "subject"  // what the picture is about
	Context  Kind = "context"  // what lies around it: paler
	Opposing Kind = "opposing" // the other jaw: cooler
	Missing  Kind = "missing"  // not on any scan: hatched
)

// SceneSurface is a packed mesh by its addresses, relative to the scene's own.
type SceneSurface struct {
	Role   string `json:"role"`
	Name   string `json:"name"` // on its switch
	Kind   Kind   `json:"kind"`
	Coarse string `json:"coarse,omitempty"` // the twin to draw while turning
	Fine   string `json:"fine"`
	Shown  bool   `json:"shown"` // at the start; what is not shown is loaded when it is asked for
	Colour bool   `json:"colour,omitempty"`
}

// Map says how a named value of the surfaces is shown.
type Map struct {
	Name   string   `json:"name"`  // of the value in the packed mesh
	Title  string   `json:"title"` // with its unit
	Word   string   `json:"word"`  // on its button
	Min    float64  `json:"min"`
	Max    float64  `json:"max"`
	Step   float64  `json:"step"`            // between contour lines
	Limit  *float64 `json:"limit,omitempty"` // drawn as a bold line
	Signed bool     `json:"signed,omitempty"`
}

// Margin is a traced line with what is known of each point.
type Margin struct {
	Points     [][3]float64 `json:"points"`
	Closed     bool         `json:"closed"`
	Confidence []float64    `json:"confidence,omitempty"` // 0..1 per point; under 0.5 it is dashed
	State      []State      `json:"state,omitempty"`      // per point
}

// State says how a point of a margin stands.
type State string

// The states of a margin's points.
const (
	Captured    State = "captured"     // a full line
	Doubtful    State = "doubtful"     // dashed, with a hatched band beside it
	NotCaptured State = "not-captured" // beads, with a hatched band beside them
)

// Spot is a place of which something is said.
type Spot struct {
	Number   string      `json:"number"`
	Kind     SpotKind    `json:"kind"`
	At       [3]float64  `json:"at"`
	Normal   *[3]float64 `json:"normal,omitempty"`
	Eye      *[3]float64 `json:"eye,omitempty"` // where to look from: surface to viewer
	Across   float64     `json:"across,omitempty"`
	Text     string      `json:"text,omitempty"` // beside the pin
	Sentence string      `json:"sentence"`
}

// SpotKind says what a spot asks for; the pin's shape follows.
type SpotKind string

// The kinds of spots.
const (
	SpotScan SpotKind = "scan" // scan again: an open ring
	SpotAsk  SpotKind = "ask"  // the dentist decides: a full disc
	SpotNote SpotKind = "note" // worth knowing: a square
)

// View is a direction to look from, with its button. The first is shown at the start.
type View struct {
	Name string     `json:"name"`
	Word string     `json:"word"`
	Eye  [3]float64 `json:"eye"` // surface to viewer
	Up   [3]float64 `json:"up"`
}

// Answer is what the address Scene.Point gives: lines to read, the value first with
// its uncertainty. No line means that nothing was measured there.
type Answer struct {
	Lines []string `json:"lines"`
}
