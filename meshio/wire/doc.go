// Package wire holds what the decoders of mesh files share: the one error type
// they return, what they report about a file's layout, and a reader of words and
// numbers from text.
//
// Nothing here trusts the bytes it is given, takes a path, or allocates more
// than the bytes justify. Start at [Error] and [Text].
package wire
