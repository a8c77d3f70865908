package bvh

import "math"

// folder turns the binary tree into the wide one, in the order of a walk.
type folder struct {
	items []item
	forks []fork
	nodes []node
}

// fold appends the inner nodes of the tree over items to nodes and returns its root.
func fold(items []item, b binary, nodes []node) (ref, []node) {
	f := folder{items, b.forks, nodes}
	root := f.fold(b.root)
	return root, f.nodes
}

// fold returns the wide subtree of a side.
func (f *folder) fold(side int32) ref {
	if side < 0 {
		return f.items[^side].to
	}
	kids, num := f.children(side)
	id := len(f.nodes)
	f.nodes = append(f.nodes, node{})
	child := [width]ref{emptyRef, emptyRef, emptyRef, emptyRef}
	for i, k := range kids[:num] {
		child[i] = f.fold(k)
	}
	f.nodes[id].child = child
	return ref(id)
}

// children opens the largest of a fork's descendants until there are as many as a node
// holds.
func (f *folder) children(at int32) (kids [width]int32, n int) {
	t := &f.forks[at]
	area := [width]uint64{t.area[0], t.area[1]}
	kids[0], kids[1], n = t.side[0], t.side[1], 2
	for n < width {
		open, largest := -1, uint64(0)
		for i, k := range kids[:n] {
			if k >= 0 && area[i] > largest {
				open, largest = i, area[i]
			}
		}
		if open < 0 {
			break
		}
		t := &f.forks[kids[open]]
		kids[open], area[open] = t.side[0], t.area[0]
		kids[n], area[n] = t.side[1], t.area[1]
		n++
	}
	return kids, n
}

// lowest makes the nodes above the leaves, one for each run of several, and returns them
// all as items.
func (t *Tree) lowest(groups []run) []item {
	items := make([]item, len(groups))
	num := 0
	for i, g := range groups {
		items[i] = item{g.span, leafRef(g.first)}
		if g.num > 1 {
			items[i].to = ref(num)
			num++
		}
	}
	t.nodes = make([]node, num, num+num/2+1)
	for i, g := range groups {
		if g.num == 1 {
			continue
		}
		n := &t.nodes[items[i].to]
		for k := range n.child {
			n.child[k] = emptyRef
			if k < int(g.num) {
				n.child[k] = leafRef(g.first + int32(k))
			}
		}
	}
	return items
}

// bound fills in the boxes of the nodes: first of those above the leaves, then
// of the others from the last on, since a child stands behind its parent.
func (t *Tree) bound(lowest int, leaves []bounds) {
	own := make([]bounds, len(t.nodes))
	eachChunk(lowest, func(_, from, to int) {
		for id := from; id < to; id++ {
			t.boundNode(id, own, leaves)
		}
	})
	for id := len(t.nodes) - 1; id >= lowest; id-- {
		t.boundNode(id, own, leaves)
	}
}

// boundNode fills in the boxes of a node's children and its own.
func (t *Tree) boundNode(id int, own, leaves []bounds) {
	n := &t.nodes[id]
	first := true
	for i, c := range n.child {
		var b *bounds
		switch {
		case c == emptyRef:
			for k := range 3 { // a point where nothing is
				n.box[2*k][i], n.box[2*k+1][i] = math.MaxFloat32, math.MaxFloat32
			}
			continue
		case c < 0:
			b = &leaves[c.leaf()]
		default:
			b = &own[c]
		}
		for k := range 3 {
			n.box[2*k][i], n.box[2*k+1][i] = b.lo[k], b.hi[k]
		}
		if first {
			own[id], first = *b, false
		} else {
			own[id].join(b)
		}
	}
}
