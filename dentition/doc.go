// Package dentition tells what a scan shows: which way is up, where the dental
// arch runs, which tooth stands where, which of them is prepared, and whether the
// scan can be of the mouth, the jaw and the side that the prescription names.
//
// Frame: the scan's own, in millimetres, as everywhere. Directions are unit
// vectors in that frame. Occlusal points from the tissue to the opening of the
// mouth (where the scanner was). Along an arch places are measured in millimetres
// from its first point; the ridge runs clockwise seen against the occlusal
// direction, that is, from the patient's right to the left in the upper jaw and
// from left to right in the lower:
//
//	       front                            front
//	   11 . 21                          41 . 31
//	  .       .    upper, seen         .       .    lower, seen
//	 .  ---->  .   against its        .  <----  .   against its
//	18         28  occlusal          48 ----->  38  occlusal
//	(first)   (last)                (last)     (first)
//
// In each quadrant the triple (mesial, buccal, occlusal) has one sign: positive
// in quadrants 1 and 3, negative in 2 and 4. A scan alone cannot tell a mirrored
// jaw from a sound one, for jaws are nearly symmetric; the prepared tooth and its
// number can.
//
// The package says how sure it is and why. What it cannot tell it says it cannot
// tell; it never guesses a side, a jaw or a tooth.
//
// Start with [Orient], then [FindArch], then [FindPrepared] and [FindTeeth].
package dentition
