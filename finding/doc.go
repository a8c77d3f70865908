// Package finding turns measurements into findings and findings into a verdict.
//
// [Judge] takes [Facts], everything that was measured on one case together with
// what the prescription says, and a limit table. It sees numbers, never meshes,
// and knows no file, clock or screen. The same facts give the same findings in
// the same order.
//
// A fact is present, or absent with a reason; a rule whose fact is absent does
// not fire. If the stage needs that fact the verdict says that it was not
// checked: nothing passes in silence. Judgement follows ISO 14253-1: a value
// nearer to its flag limit than its expanded uncertainty (k = 2) is too close to
// call.
//
// Start with [Facts], which says what each field means, and [Judge].
package finding
