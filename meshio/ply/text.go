package ply

import "selvage/meshio/wire"

// readText reads the rows of an ASCII file. Line ends count as any white space,
// since the header says how many words each row has.
func (d *decoder) readText() error {
	t := wire.NewText(d.h.body)
	for i, e := range d.h.elements {
		// Each word takes a byte and one more that parts it from the next.
		if err := d.promise(i, 2*len(e.props), len(t.Rest())+1); err != nil {
			return err
		}
		if len(e.props) == 0 {
			continue
		}
		for d.row = 0; d.row < e.rows; d.row++ {
			if err := d.textRow(t, i, e); err != nil {
				return err
			}
		}
	}
	d.layout.Trailing = trailing(t.Rest())
	return nil
}

// textRow reads one row.
func (d *decoder) textRow(t *wire.Text, i int, e element) error {
	var v [numSlots]float64
	for k, p := range e.props {
		var err error
		switch {
		case i == d.face && k == d.corners:
			err = d.textFace(t)
		case p.list:
			err = d.skipTextList(t)
		case i == d.vertex && d.slots[k] != slotNone:
			v[d.slots[k]], err = d.textFloat(t)
		case len(t.Word()) == 0:
			err = d.ends()
		}
		if err != nil {
			return err
		}
	}
	if i == d.vertex {
		return d.setVertex(&v)
	}
	return nil
}

// textFloat reads a number.
func (d *decoder) textFloat(t *wire.Text) (float64, error) {
	v, word, ok := t.Float()
	switch {
	case ok:
		return v, nil
	case len(word) == 0:
		return 0, d.ends()
	default:
		return 0, d.fail(wire.Number, wire.Quote(word)+" is not a finite number", wire.HintExport)
	}
}

// textInt reads a whole number.
func (d *decoder) textInt(t *wire.Text) (int, error) {
	word := t.Word()
	v, ok := wire.ParseInt(word)
	switch {
	case ok:
		return v, nil
	case len(word) == 0:
		return 0, d.ends()
	default:
		return 0, d.fail(wire.Number, wire.Quote(word)+" is no whole number", wire.HintExport)
	}
}

// textLength reads the length of a list. That it may be longer than the file
// does no harm: its items are read one by one.
func (d *decoder) textLength(t *wire.Text) (int, error) {
	n, err := d.textInt(t)
	if err == nil && n < 0 {
		err = d.fail(wire.Syntax, "a list has a negative length", wire.HintExport)
	}
	return n, err
}

// skipTextList steps over a list.
func (d *decoder) skipTextList(t *wire.Text) error {
	n, err := d.textLength(t)
	if err != nil {
		return err
	}
	for range n {
		if len(t.Word()) == 0 {
			return d.ends()
		}
	}
	return nil
}

// textFace reads the corners of a face.
func (d *decoder) textFace(t *wire.Text) error {
	n, err := d.textLength(t)
	if err != nil {
		return err
	}
	var f fan
	for range n {
		v, err := d.textInt(t)
		if err != nil {
			return err
		}
		if err := d.corner(&f, v); err != nil {
			return err
		}
	}
	d.endFace(f)
	return nil
}
