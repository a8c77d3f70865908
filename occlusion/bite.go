package occlusion

import (
	"selvage/measure"
	"selvage/r3"
)

// Result says what is known about a bite.
type Result struct {
	// Residual is the RMS distance, in µm, of the record from the arches once it
	// has been registered to each: how well the record is of these arches.
	Residual measure.Value
	// Shift is how far, in mm, the bite that the record shows moves the opposing
	// surface at the prepared tooth from where the files have it.
	Shift measure.Value
	// Lift is the part of that motion along Up, in mm: positive where the record
	// shows the jaws farther apart than the files do.
	Lift measure.Value
	// Tilt is the rotation of that motion, in degrees.
	Tilt measure.Value
	// Implied is that motion: the opposing arch as filed ↦ as the record has it.
	// It is the identity where Shift was not measured.
	Implied r3.Rigid

	PenetrationMax  measure.Value // mm, how deep the arches cross, beside the prepared tooth
	PenetrationArea measure.Value // mm² of the working arch

	Contacts     []Contact     // connected regions, by falling area
	ContactCount measure.Value // len(Contacts)
	// Beside has the contacts of each neighbour's antagonist, in the order of
	// [Input.Neighbours].
	Beside []Beside
	Others []Beside // the same of [Input.Others]
	// Gap is the least distance, in mm, between the arches beside the prepared
	// tooth: about zero in a closed bite, the opening of an open one.
	Gap measure.Value

	Ahead  Support // mesial of the preparation
	Behind Support // distal of it

	// BeforeGap is the least distance, in mm, from the tooth before it was cut to
	// the opposing arch: about zero where that tooth was in contact and the bite
	// is the same; clearly negative where the bite has closed further since.
	BeforeGap measure.Value

	// HoldingSide is the mean distance, in mm along Input.Buccal, of the
	// neighbours' contacts from their centres: towards the holding cusps. A sign
	// against the textbook's speaks for a crossbite.
	HoldingSide measure.Value
}

// Contact is a connected region of the working arch within reach of the opposing.
type Contact struct {
	At     r3.Vec
	Normal r3.Vec
	Area   float64 // mm²
	Least  float64 // mm, the least signed distance in it, as filed
}

// Beside is how a neighbour meets its antagonist.
type Beside struct {
	Neighbour Neighbour
	Contacts  int
	Gap       measure.Value // mm, the least distance to the opposing arch
}

// Support says whether the arches hold each other on one side of the preparation.
type Support struct {
	Held     bool
	Contacts int
	Why      string // why not, or what it rests on
}
