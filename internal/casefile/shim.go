package casefile

import (
	"slices"

	"selvage/tooth"
)

// ShimPair is one pair of opposing teeth between which a strip of shim stock, 8 µm
// thick, was tried before the anaesthetic.
type ShimPair struct {
	Upper ToothRef `json:"upper" doc:"The upper tooth."`
	Lower ToothRef `json:"lower" doc:"The lower tooth."`
	Held  *bool    `json:"held" doc:"Whether the pair held the strip."`
}

// shimStock reads the pairs that were tried.
func (r *reader) shimStock(o *object, rs []Restoration) []ShimPair {
	items, paths := o.list("shim_stock")
	var out []ShimPair
	for i, n := range items {
		so := r.object(paths[i], n)
		p := ShimPair{Held: so.truth("held")}
		for _, t := range []struct {
			name string
			to   *ToothRef
		}{{"upper", &p.Upper}, {"lower", &p.Lower}} {
			if v, ok := so.get(t.name); ok {
				*t.to = r.toothRef(paths[i]+"."+t.name, v, rs)
			} else {
				r.fail(paths[i]+"."+t.name, "is missing; it names a tooth")
			}
		}
		if p.Held == nil {
			r.fail(paths[i]+".held", "is missing; it says whether the pair held the strip")
		}
		so.done()
		r.checkJaws(paths[i], p, rs)
		out = append(out, p)
	}
	return out
}

// checkJaws refuses a pair whose teeth are not in the jaws that it names.
func (r *reader) checkJaws(path string, p ShimPair, rs []Restoration) {
	for _, t := range []struct {
		name string
		ref  ToothRef
		jaw  tooth.Jaw
	}{{"upper", p.Upper, tooth.Upper}, {"lower", p.Lower, tooth.Lower}} {
		n, err := t.ref.number(rs)
		if err == nil && t.ref != (ToothRef{}) && n.Jaw() != t.jaw {
			r.fail(path+"."+t.name, "%v is no %s tooth", n, t.name)
		}
	}
}

// Tried lists the teeth of the pairs that were tried with shim stock, each once, in the
// order of the case.
func (c Case) Tried() []tooth.Number {
	var out []tooth.Number
	for _, p := range c.ShimStock {
		for _, t := range []ToothRef{p.Upper, p.Lower} {
			if n, err := t.number(c.Restorations); err == nil && !slices.Contains(out, n) {
				out = append(out, n)
			}
		}
	}
	return out
}

// Shim says whether tooth n held shim stock before the anaesthetic, against any
// tooth. ok is false where none of its pairs was tried.
func (c Case) Shim(n tooth.Number) (held, ok bool) {
	for _, p := range c.ShimStock {
		for _, t := range []ToothRef{p.Upper, p.Lower} {
			if m, err := t.number(c.Restorations); err == nil && m == n && p.Held != nil {
				held, ok = held || *p.Held, true
			}
		}
	}
	return held, ok
}
