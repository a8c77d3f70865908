package solid

// The corners of a cell are numbered by their bits: corner 1 is +x, 2 is +y, 4 is
// +z. Edge 4a+j runs along axis a (0 x, 1 y, 2 z) from corner edgeStart[a][j].
var edgeStart = [3][4]uint8{{0, 2, 4, 6}, {0, 1, 4, 5}, {0, 1, 2, 3}}

// noPatch marks an edge that the surface does not cross.
const noPatch = 0xff

// patching says into how many separate patches the surface falls in a cell with
// the given inside corners (one bit each), and to which one each crossed edge
// belongs. On a face with four crossings the inside corners are joined; the rule
// looks at the face alone, so the two cells that share it agree.
type patching struct {
	num int
	of  [12]uint8
}

var patchings = makePatchings()

func makePatchings() (t [256]patching) {
	for mask := range t {
		t[mask] = patchCell(uint8(mask))
	}
	return t
}

// edgeOf returns the edge between two corners that differ in one bit.
func edgeOf(a, b uint8) int {
	lo, axis := min(a, b), int((a^b)>>1) // bits 1, 2, 4 are axes 0, 1, 2
	for j, s := range edgeStart[axis] {
		if s == lo {
			return 4*axis + j
		}
	}
	panic("solid: corners that share no edge")
}

func patchCell(mask uint8) patching {
	var parent [12]int
	for i := range parent {
		parent[i] = i
	}
	find := func(i int) int {
		for parent[i] != i {
			i = parent[i]
		}
		return i
	}
	inside := func(c uint8) bool { return mask>>c&1 == 1 }
	for axis := range 3 {
		u, v := uint8(1)<<((axis+1)%3), uint8(1)<<((axis+2)%3)
		for _, base := range [2]uint8{0, 1 << axis} {
			ring := [4]uint8{base, base + u, base + u + v, base + v}
			var crossed []int
			for i := range ring {
				if inside(ring[i]) != inside(ring[(i+1)%4]) {
					crossed = append(crossed, edgeOf(ring[i], ring[(i+1)%4]))
				}
			}
			switch len(crossed) {
			case 2:
				parent[find(crossed[0])] = find(crossed[1])
			case 4: // crossed[i] follows ring[i]; cut off the outside corners
				if inside(ring[0]) { // ring[1] and ring[3] are outside
					parent[find(crossed[0])] = find(crossed[1])
					parent[find(crossed[2])] = find(crossed[3])
				} else {
					parent[find(crossed[3])] = find(crossed[0])
					parent[find(crossed[1])] = find(crossed[2])
				}
			}
		}
	}
	p := patching{}
	var name [12]int
	for e := range p.of {
		p.of[e] = noPatch
		a := edgeStart[e/4][e%4]
		if inside(a) == inside(a|1<<(e/4)) {
			continue
		}
		root := find(e)
		if name[root] == 0 {
			p.num++
			name[root] = p.num
		}
		p.of[e] = uint8(name[root] - 1)
	}
	return p
}
