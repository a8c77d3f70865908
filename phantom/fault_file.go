package phantom

import (
	"math"
	"slices"

	"selvage/r3"
)

// slipBite moves the opposing scan by v mm against the record, sideways and away, so
// that the teeth do not cross.
func slipBite(b *build, v float64) error {
	m := b.scan(Opposing)
	if m == nil {
		return nil
	}
	a := 2 * math.Pi * b.rng.Float64()
	s, c := math.Sincos(a)
	d := r3.V(0.6*c, 0.6*s, 0.8).Scale(v)
	m.pose.T = m.pose.T.Add(d)
	b.bite.ShiftMm = d.Norm()
	b.bite.Move = pointOf(d)
	return nil
}

func loseOpposing(b *build, _ float64) error {
	b.scans = slices.DeleteFunc(b.scans, func(m *made) bool { return m.role == Opposing })
	return nil
}

// mirror writes every scan with x turned round and the winding left as it was.
func mirror(b *build, _ float64) error {
	for _, m := range b.scans {
		m.mirrored = true
	}
	return nil
}

// otherTooth writes the tooth of the other side into the order.
func otherTooth(b *build, _ float64) error {
	b.order.Tooth = b.order.Tooth.OtherSide()
	return nil
}

// otherFinishLine writes another finish line into the order.
func otherFinishLine(b *build, _ float64) error {
	if b.spec.Stump.FinishLine == Shoulder {
		b.order.FinishLine = string(Chamfer)
	} else {
		b.order.FinishLine = string(Shoulder)
	}
	return nil
}

// otherUnits writes the files with v mm to the unit, 1000 for metres, 25.4 for
// inches, and leaves the unit out of the order.
func otherUnits(b *build, v float64) error {
	for _, m := range b.scans {
		m.scale = 1 / v
	}
	b.order.Units = ""
	return nil
}

// swapArches exchanges the files of the two jaws.
func swapArches(b *build, _ float64) error {
	w, o := b.scan(Working), b.scan(Opposing)
	if w != nil && o != nil {
		w.role, o.role = Opposing, Working
	}
	return nil
}

// forgetMaterial leaves the material out of the order.
func forgetMaterial(b *build, _ float64) error {
	b.order.Material = ""
	return nil
}
