package ply

import (
	"encoding/binary"
	"fmt"
	"math"

	"selvage/meshio/wire"
)

// readBinary reads the rows of a binary file.
func (d *decoder) readBinary() error {
	b := d.h.body
	for i, e := range d.h.elements {
		least := e.least()
		if err := d.promise(i, least, len(b)); err != nil {
			return err
		}
		var err error
		switch {
		case i == d.vertex && e.fixed:
			err = d.fixedVertices(b, e)
			b = b[least*e.rows:]
		case e.fixed:
			b = b[least*e.rows:]
		default:
			b, err = d.binaryRows(b, i, e)
		}
		if err != nil {
			return err
		}
	}
	d.layout.Trailing = len(b)
	return nil
}

// fixedVertices reads vertices whose rows all have the same size, which promise
// has found to be there.
func (d *decoder) fixedVertices(b []byte, e element) error {
	size, big := e.least(), d.h.encoding == wire.BinaryBig
	var used []field
	at := 0
	for k, p := range e.props {
		if d.slots[k] != slotNone {
			used = append(used, field{d.slots[k], p.typ, at})
		}
		at += p.typ.size
	}
	d.row = 0
	if !d.general {
		d.row = usual{d}.vertices(b, e.rows, size, used)
	}
	var v [numSlots]float64
	for ; d.row < e.rows; d.row++ {
		row := b[d.row*size : (d.row+1)*size]
		for _, f := range used {
			v[f.slot] = f.typ.read(row[f.at:], big)
		}
		if err := d.setVertex(&v); err != nil {
			return err
		}
	}
	return nil
}

// field is a property that is read, with its place in the row.
type field struct {
	slot slot
	typ  number
	at   int
}

// binaryRows reads or skips rows that hold lists, and returns what follows them.
func (d *decoder) binaryRows(b []byte, i int, e element) ([]byte, error) {
	big := d.h.encoding == wire.BinaryBig
	d.row = 0
	if i == d.face && !d.general {
		d.row = usual{d}.faces(b, e)
		b = b[d.row*faceSize:]
	}
	for ; d.row < e.rows; d.row++ {
		var v [numSlots]float64
		for k, p := range e.props {
			if len(b) < p.least() {
				return nil, d.ends()
			}
			switch {
			case i == d.face && k == d.corners:
				list, rest, err := d.list(b, p, big)
				if err != nil {
					return nil, err
				}
				if err := d.binaryFace(list, p.typ, big); err != nil {
					return nil, err
				}
				b = rest
				continue
			case p.list:
				_, rest, err := d.list(b, p, big)
				if err != nil {
					return nil, err
				}
				b = rest
				continue
			case i == d.vertex && d.slots[k] != slotNone:
				v[d.slots[k]] = p.typ.read(b, big)
			}
			b = b[p.typ.size:]
		}
		if i == d.vertex {
			if err := d.setVertex(&v); err != nil {
				return nil, err
			}
		}
	}
	return b, nil
}

// list parts the bytes of a list's items from what follows it. b holds at least
// the list's length.
func (d *decoder) list(b []byte, p property, big bool) (items, rest []byte, err error) {
	n := p.count.readInt(b, big)
	b = b[p.count.size:]
	switch {
	case n < 0:
		return nil, nil, d.fail(wire.Syntax, fmt.Sprintf("a list has the length %d", n), wire.HintExport)
	case n > len(b)/p.typ.size:
		return nil, nil, d.fail(wire.Truncated,
			fmt.Sprintf("a list of %d items is longer than the rest of the file", n), wire.HintCopy)
	}
	return b[:n*p.typ.size], b[n*p.typ.size:], nil
}

// binaryFace reads the corners of a face.
func (d *decoder) binaryFace(items []byte, typ number, big bool) error {
	var f fan
	for ; len(items) > 0; items = items[typ.size:] {
		if err := d.corner(&f, typ.readInt(items, big)); err != nil {
			return err
		}
	}
	d.endFace(f)
	return nil
}

// bits returns the first n.size bytes of b as an unsigned number.
func (n number) bits(b []byte, big bool) uint64 {
	switch {
	case n.size == 1:
		return uint64(b[0])
	case n.size == 2 && big:
		return uint64(binary.BigEndian.Uint16(b))
	case n.size == 2:
		return uint64(binary.LittleEndian.Uint16(b))
	case n.size == 4 && big:
		return uint64(binary.BigEndian.Uint32(b))
	case n.size == 4:
		return uint64(binary.LittleEndian.Uint32(b))
	case big:
		return binary.BigEndian.Uint64(b)
	default:
		return binary.LittleEndian.Uint64(b)
	}
}

// readInt reads a whole number; n must not be a float.
func (n number) readInt(b []byte, big bool) int {
	u := n.bits(b, big)
	if !n.signed {
		return int(u)
	}
	unused := 64 - 8*n.size
	return int(int64(u<<unused) >> unused) // spreads the sign
}

// read reads a number of any type.
func (n number) read(b []byte, big bool) float64 {
	switch {
	case !n.float:
		return float64(n.readInt(b, big))
	case n.size == 4:
		return float64(math.Float32frombits(uint32(n.bits(b, big))))
	default:
		return math.Float64frombits(n.bits(b, big))
	}
}
