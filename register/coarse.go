package register

import (
	"selvage/mesh"
	"selvage/r3"
)

// Pose is a proposed start for [Align].
type Pose struct {
	DstFromSrc r3.Rigid
	Overlap    float64 // share of the source's sample that lies on the destination
}

// Coarse proposes motions that lay src on dst from any starting position, the best
// first. It returns nil where nothing fits.
func Coarse(src, dst *mesh.Mesh) []Pose {
	return nil
}
