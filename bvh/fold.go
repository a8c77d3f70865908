package bvh

import (
	"math"

	"selvage/r3"
)

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

// bound fills in the boxes and plates of the nodes: first of those above the leaves, then
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

// boundNode fills in the boxes and the plate of a node and its own box.
func (t *Tree) boundNode(id int, own, leaves []bounds) {
	n := &t.nodes[id]
	var plates [width]*plate
	num := 0
	for i, c := range n.child {
		var b *bounds
		switch {
		case c == emptyRef:
			for k := range 3 { // a point where nothing is
				n.box[2*k][i], n.box[2*k+1][i] = math.MaxFloat32, math.MaxFloat32
			}
			continue
		case c < 0:
			b, plates[num] = &leaves[c.leaf()], &t.plates[c.leaf()]
		default:
			b, plates[num] = &own[c], &t.nodes[c].plate
		}
		for k := range 3 {
			n.box[2*k][i], n.box[2*k+1][i] = b.lo[k], b.hi[k]
		}
		if num == 0 {
			own[id] = *b
		} else {
			own[id].join(b)
		}
		num++
	}
	n.plate = joinPlates(plates[:num], own[id].middle(), t.pad)
}

// worthThickness is the share of a plate's radius up to which its thickness makes it
// better than a box.
const worthThickness = 0.5

// joinPlates returns the plate about plates, near the middle c.
func joinPlates(ps []*plate, c r3.Vec, pad float64) plate {
	none := plate{r: -1}
	var n r3.Vec
	for _, p := range ps {
		if p.r < 0 {
			return none
		}
		n = n.AddScaled(float64(p.r)*float64(p.r), vec(p.n))
	}
	u, _ := n.Unit()
	out := plate{n: float32Array(u), c: float32Array(c)}
	u, c = vec(out.n), vec(out.c)
	t, r := 0.0, 0.0
	for _, p := range ps {
		d := vec(p.c).Sub(c)
		h := u.Dot(d)
		cos := u.Dot(vec(p.n))
		sin := math.Sqrt(max(1-cos*cos, 0))
		t = max(t, math.Abs(h)+float64(p.t)*math.Abs(cos)+float64(p.r)*sin)
		r = max(r, math.Sqrt(max(d.Norm2()-h*h, 0))+float64(p.r)+float64(p.t)*sin)
	}
	if t > worthThickness*r {
		return none
	}
	out.t, out.r = float32(t+pad), float32(r+pad)
	return out
}
