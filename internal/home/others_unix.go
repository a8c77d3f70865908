//go:build unix

package home

import "io/fs"

// readByOthers reports whether others than its owner may read a file.
func readByOthers(info fs.FileInfo) bool { return info.Mode()&0o077 != 0 }
