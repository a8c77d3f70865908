package phantom

import "fmt"

// Make builds the case that s asks for. It is an error if s.Tooth is no tooth or
// a fault is not known.
func Make(s Spec) (Case, error) {
	if !s.Tooth.Valid() {
		return Case{}, fmt.Errorf("phantom: %v is no tooth", s.Tooth)
	}
	return Case{}, fmt.Errorf("phantom: tooth %v cannot be made yet", s.Tooth)
}
