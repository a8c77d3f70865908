package phantom

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// fault is one thing that can be wrong with a case. Each step is nil where the
// fault has nothing to do there; v is the value asked for, or usual.
type fault struct {
	name  string
	usual float64
	unit  string
	plan  func(s *Spec, v float64)        // before anything is made
	shape func(b *build, v float64) error // once the mouth stands
	spoil func(b *build, v float64) error // once the scans are captured
	file  func(b *build, v float64) error // last: units, roles, mirrored
}

// faults is the registry, by name.
var faults = []fault{
	{name: "arch-too-short", usual: 1, shape: shortenArch},
	{name: "bite-differs", usual: 0.3, unit: "mm", file: slipBite},
	{name: "bite-open", usual: 0.3, unit: "mm", shape: openBite},
	{name: "bite-penetrates", usual: 0.25, unit: "mm", shape: sinkBite},
	{name: "bite-unsupported", plan: loseLastTeeth},
	{name: "clearance-low", usual: 0.6, unit: "mm", shape: lowerClearance},
	{name: "contact-area-missing", usual: 2.5, unit: "mm", spoil: loseContact},
	{name: "contrast-colour", usual: 2, unit: "mm²", plan: wantColour, file: bleed},
	{name: "convergence-high", usual: 28, unit: "deg", plan: converge},
	{name: "convergence-low", usual: 4, unit: "deg", plan: converge},
	{name: "finish-line-differs", file: otherFinishLine},
	{name: "finish-line-narrow", usual: 0.5, unit: "mm", plan: narrowShelf},
	{name: "fragments", usual: 8, file: scatter},
	{name: "gap-narrow", usual: 0.35, unit: "mm", shape: driftNeighbour},
	{name: "margin-not-captured", usual: 3, unit: "mm", spoil: loseMargin},
	{name: "margin-rough", usual: 130, unit: "um", plan: roughMargin},
	{name: "margin-unclear", usual: 3, unit: "mm", shape: coverMargin},
	{name: "neighbour-contour", usual: 0.7, unit: "mm", shape: overhang},
	{name: "neighbour-damaged", usual: 0.3, unit: "mm", shape: gougeNeighbour},
	{name: otherMouth, shape: swapMouth},
	{name: "path-blocked", usual: 0.3, unit: "mm", shape: tipNeighbour},
	{name: "prescription-incomplete", file: forgetMaterial},
	{name: "reduction-low", usual: 0.6, unit: "mm", plan: reduceLess},
	{name: "resistance-low", usual: 0.4, shape: loseResistance},
	{name: "root-not-seen", usual: 0.22, unit: "mm", plan: shallowSulcus},
	{name: "sampling-coarse", usual: 0.25, unit: "mm", plan: sampleCoarsely},
	{name: "scan-mirrored", file: mirror},
	{name: "scan-missing", file: loseOpposing},
	{name: "scan-outdated", usual: 0.4, unit: "mm", plan: wantAlone, shape: keepEarlier},
	{name: "sharp-edge", usual: 0.12, unit: "mm", plan: sharpen},
	{name: "sulcus-narrow", usual: 0.1, unit: "mm", plan: narrowSulcus},
	{name: "surface-doubled", usual: 0.15, unit: "mm", file: double},
	{name: "surface-invented", usual: 3, unit: "mm", spoil: invent},
	{name: "surface-missing", usual: 2.2, unit: "mm", spoil: loseSurface},
	{name: "surface-noisy", usual: 0.036, unit: "mm", plan: addNoise},
	{name: "tooth-differs", file: otherTooth},
	{name: "undercut", usual: 0.25, unit: "mm", shape: hollowWall},
	{name: "units-unlikely", usual: 1000, file: otherUnits},
	{name: "walls-short", usual: 2.5, unit: "mm", shape: shortenWalls},
	{name: "wrong-arch", file: swapArches},
}

// otherMouth is the fault that changes the scan from before alone.
const otherMouth = "other-mouth"

// resting are the faults made on the finished cut, after all that cut the tooth anew.
var resting = []string{"gap-narrow", "path-blocked", "neighbour-contour", "neighbour-damaged", "margin-unclear", "undercut"}

// FaultNames lists the faults that can be asked for, in alphabetical order.
func FaultNames() []string {
	names := make([]string, len(faults))
	for i, f := range faults {
		names[i] = f.name
	}
	sort.Strings(names)
	return names
}

// FaultError says that a fault cannot be made in this mouth or on this tooth.
type FaultError struct {
	Name string
	Err  error
}

// Error names the fault and what stood in its way.
func (e *FaultError) Error() string { return fmt.Sprintf("%s: %v", e.Name, e.Err) }

// Unwrap returns what stood in the way.
func (e *FaultError) Unwrap() error { return e.Err }

// pickFaults looks the faults of a spec up and settles their values. They come in the
// order of their making: what cuts the tooth anew before what rests on the cut.
func pickFaults(asked []Fault) ([]fault, []Fault, error) {
	var out []fault
	used := make([]Fault, 0, len(asked))
	for _, a := range asked {
		known := false
		for _, f := range faults {
			if f.name != a.Name {
				continue
			}
			known = true
			if math.IsNaN(a.Value) || a.Value == 0 {
				a.Value = f.usual
			}
			out = append(out, f)
			used = append(used, a)
		}
		if !known {
			return nil, nil, fmt.Errorf("phantom: there is no fault %q", a.Name)
		}
	}
	last := func(i int) int { return slices.Index(resting, used[i].Name) }
	by := make([]int, len(out))
	for i := range by {
		by[i] = i
	}
	slices.SortStableFunc(by, func(i, j int) int { return last(i) - last(j) })
	sorted, values := make([]fault, len(out)), make([]Fault, len(used))
	for i, k := range by {
		sorted[i], values[i] = out[k], used[k]
	}
	return sorted, values, nil
}
