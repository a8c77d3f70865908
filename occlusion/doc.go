// Package occlusion answers two questions about the two arches of a case: can
// the bite that the files carry be believed, and how much room does it leave
// above the preparation?
//
// Start with [Judge]: a clearance means nothing in a doubtful bite. [Clear] then
// measures the room from the preparation to the opposing arch.
//
// All scans are given in one frame, the working scan's, in millimetres, with
// outward winding; both arches are open surfaces whose outside faces the other
// arch. A distance from one arch to the other is positive in the free space and
// negative where the surfaces cross. Up is the occlusal direction of the working
// arch, from its tissue to the opening.
//
// The package refuses to judge where it has nothing to judge by: without a bite
// record the record's residual and shift are not measured, and where no opposing
// surface lies within reach there is no clearance, never a large one.
package occlusion
