package occlusion

import (
	"selvage/bvh"
	"selvage/mesh"
	"selvage/r3"
)

// withoutCrumbs returns the part of an arch within box, without the loose crumbs
// that float there: a crumb above a preparation would read as a tooth. Where
// nothing floats the tree that was given serves.
//
// A piece is a crumb if it is smaller than crumbArea and lies wholly inside the
// box. Cost: O(F).
func withoutCrumbs(t *bvh.Tree, box r3.Box) *bvh.Tree {
	sub, _, _ := mesh.Submesh(t.Mesh, func(f mesh.FaceID) bool { return box.Contains(t.Mesh.Pos[t.Mesh.Tri[f][0]]) })
	label, n := mesh.NewTopology(sub).Components()
	area := make([]float64, n)
	inner := box.Grow(-1) // a piece that reaches the cut is part of something larger
	for f, l := range label {
		area[l] += sub.AreaVector(mesh.FaceID(f)).Norm()
		for _, v := range sub.Tri[f] {
			if !inner.Contains(sub.Pos[v]) {
				area[l] += crumbArea
			}
		}
	}
	crumbs := 0
	for _, a := range area {
		if a < crumbArea {
			crumbs++
		}
	}
	if crumbs == 0 || crumbs == n {
		return t
	}
	kept, _, _ := mesh.Submesh(sub, func(f mesh.FaceID) bool { return area[label[f]] >= crumbArea })
	return bvh.Build(kept)
}
