package coverage

import "selvage/r3"

// Assess lists the gaps of a case that matter and those that do not.
func Assess(in Input) Result { return Result{Why: "coverage was not assessed"} }

// FindApproach finds how to hold the scanner to see the points of a place.
func FindApproach(in Input, points, normals []r3.Vec) Approach { return Approach{} }
