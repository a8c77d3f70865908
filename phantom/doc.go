// Package phantom makes whole cases whose truth is known by construction: a
// prepared tooth between its neighbours in the gum, the opposing teeth, the bite
// and the arch as it was before the cut, each as a scanner would deliver it, and
// beside them the exact insertion axis, tapers, heights, margin, clearances and
// gaps that a perfect check would find.
//
// Start with [Default] for a tooth, alter the [Spec], and call [Make]. A Spec is
// the whole input: the same Spec gives the same bytes on any number of cores.
//
// Every surface is the zero set of a field built from exact shapes (planes'
// envelopes, ruled walls, circular edges and fillets), so the truth is solved on
// the shapes and never read off a mesh. The package imports no analysis: what it
// says is independent of what it is used to test.
//
// Lengths are mm, angles in a Spec radians; in a [Truth], which is written as
// truth.json, degrees where a name ends in _deg. The arch frame is that of the
// patient: +X to the patient's left, +Y towards the back, +Z up, so the occlusal
// direction is +Z in a lower jaw and -Z in an upper one. All scans of a case share
// it unless [Spec.OwnFrames] is set.
//
// What it is not: a model of any particular person's mouth, or of a particular
// scanner. Teeth are recognisable, not anatomical; errors of a scanner that come
// from stitching long spans are faults that must be asked for.
package phantom
