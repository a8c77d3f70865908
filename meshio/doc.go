// Package meshio reads mesh files: it tells by content, never by a file's name,
// whether bytes are STL, PLY or OBJ, hands them to the decoder, and proposes in
// what unit the numbers can be.
//
// It refuses to guess: bytes that are no mesh give one error that says what they
// look like, and a unit is proposed, not applied. Results are a [mesh.Soup] in
// the file's own unit and frame; weld it with [mesh.Build]. Start at [Decode] and
// [ProposeUnits].
package meshio
