// Package backup copies a ledger with the blobs that its events name into a folder, also
// while a program works on them, and makes an installation of such a copy again.
//
// The database is copied first, one moment of it, and then the blobs: a blob is stored
// before the event that names it and never altered after, so that the copy is whole. Only
// blobs that the folder does not hold are copied. They stay sealed, and the key is not
// among them: whoever finds the back-up cannot read it, and whoever loses the key cannot
// either. A list of what there is, with hashes, is written last; until then the list of
// the back-up before holds.
package backup
