package work

import (
	"fmt"

	"selvage/internal/store"
)

// Named lists the stored files that an event names, each with words for a person. A
// result of a check names its pictures and surfaces in turn, and is read by get. Where it
// cannot be read, what was found so far is returned with the error.
func Named(e store.Event, get func(store.Hash) ([]byte, error)) (map[store.Hash]string, error) {
	out := map[store.Hash]string{}
	switch e.Kind {
	case kindScan:
		return out, read(e, func(v Scan) { out[v.Hash] = fmt.Sprintf("the scan %s of case %s", v.Name, e.Case) })
	case kindHandedOff:
		return out, read(e, func(v Sending) { v.named(e.Case, out) })
	case kindDone:
		var v done
		if err := e.Decode(&v); err != nil {
			return out, err
		}
		out[v.Result] = fmt.Sprintf("the answer of a check of case %s", e.Case)
		data, err := get(v.Result)
		if err != nil {
			return out, err
		}
		r, err := decodeResult(data)
		if err != nil {
			return out, err
		}
		for _, f := range r.Figures {
			out[f.Hash] = fmt.Sprintf("a picture of a check of case %s", e.Case)
		}
		for _, m := range r.Models {
			out[m.Hash] = fmt.Sprintf("a surface of a check of case %s", e.Case)
		}
	}
	return out, nil
}
