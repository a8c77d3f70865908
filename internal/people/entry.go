package people

import (
	"context"
	"crypto/rand"
	"errors"
	"slices"
	"strings"

	"selvage/internal/store"
)

// Where says from where somebody asks.
type Where struct {
	Place   Place
	Address string // of the other computer
}

// nobody is whose proof the code in the sealed envelope is: the practice's.
const nobody = ""

// ErrWrong says that a proof was not the right one. It does not say whether there is
// such a person.
var ErrWrong = errors.New("people: this is not right")

// Enter signs a person in. renew says that the proof was set by somebody else, and must
// be changed before anything is done with it.
func (b *Book) Enter(ctx context.Context, w Where, id, proof string) (p Person, renew bool, err error) {
	p, renew, err = b.show(ctx, w, id, proof)
	if err != nil {
		return Person{}, false, err
	}
	err = b.ledger.Change(ctx, func(tx *store.Tx) error {
		_, err := tx.Add(practice, p.ID, kindIn, entry{Person: p.ID, Place: w.Place})
		return err
	})
	return p, renew, err
}

// Confirm weighs a proof again, of who is signed in already: for a signature.
func (b *Book) Confirm(ctx context.Context, w Where, id, proof string) error {
	_, renew, err := b.show(ctx, w, id, proof)
	if err == nil && renew {
		return &Problem{Key: "renew"}
	}
	return err
}

// show weighs a proof: whether there was one wrong answer too many, then whether it is
// right. WHY the attempt is counted first: answers that are sent all at once must not
// all be weighed.
func (b *Book) show(ctx context.Context, w Where, id, proof string) (Person, bool, error) {
	r, err := b.current(ctx)
	if err != nil {
		return Person{}, false, err
	}
	p, ok := r.find(id)
	ok = ok && !p.Left
	keys := attemptKeys(w, id, ok)
	if err := b.begin(ctx, keys); err != nil {
		return Person{}, false, err
	}
	kind := w.Place.Kind()
	var hash, by string
	if ok && len(proof) <= 4*maxPassword {
		if hash, by, err = b.kept(ctx, id, kind); err != nil {
			return Person{}, false, err
		}
	} else {
		proof = ""
	}
	right, err := b.right(ctx, id, kind, proof, hash)
	if err != nil {
		return Person{}, false, err
	}
	if !right {
		if !ok {
			id = ""
		}
		return Person{}, false, errors.Join(ErrWrong, b.ledger.Change(ctx, func(tx *store.Tx) error {
			_, err := tx.Add(practice, system, kindRefused, entry{Person: id, Place: w.Place})
			return err
		}))
	}
	return p, by != p.ID, b.forgive(ctx, keys)
}

// Reopen gives a manager a new number for the code in the sealed envelope, on this
// computer only, and returns the code for the next envelope.
func (b *Book) Reopen(ctx context.Context, w Where, code, id, number string) (next string, err error) {
	if w.Place != Chair {
		return "", &Problem{Key: "right"}
	}
	if err := fit(Number, number); err != nil {
		return "", err
	}
	r, err := b.current(ctx)
	if err != nil {
		return "", err
	}
	if p, _ := r.find(id); !p.May(Staff) {
		return "", &Problem{Key: "nobody"}
	}
	keys := attemptKeys(w, "envelope", true)
	if err := b.begin(ctx, keys); err != nil {
		return "", err
	}
	old, _, err := b.kept(ctx, nobody, sealed)
	if err != nil {
		return "", err
	}
	right, err := b.right(ctx, nobody, sealed, plainCode(code), old)
	if err != nil {
		return "", err
	}
	if !right {
		return "", errors.Join(ErrWrong, b.ledger.Change(ctx, func(tx *store.Tx) error {
			_, err := tx.Add(practice, system, kindRefused, entry{Person: id, Place: w.Place})
			return err
		}))
	}
	hash, err := b.hash(ctx, id, Number, number)
	if err != nil {
		return "", err
	}
	next, nextHash, err := b.newCode(ctx)
	if err != nil {
		return "", err
	}
	err = b.change(ctx, func(tx *store.Tx, r *roster) error {
		// WHY again: the code opens once, also where it is sent twice at a time.
		var now string
		if err := tx.SQL().QueryRowContext(ctx, `SELECT hash FROM credential WHERE person = $1 AND kind = $2`, nobody, string(sealed)).Scan(&now); err != nil {
			return err
		}
		if p, _ := r.find(id); now != old || !p.May(Staff) {
			return ErrWrong
		}
		if _, err := tx.Add(practice, system, kindSealed, ref{Person: id}); err != nil {
			return err
		}
		if err := b.keep(tx, id, id, Number, hash); err != nil {
			return err
		}
		return b.keep(tx, id, nobody, sealed, nextHash)
	})
	if err != nil {
		return "", err
	}
	return next, b.forgive(ctx, keys)
}

// newCode makes a code for the sealed envelope: 80 bits, in groups that can be read.
func (b *Book) newCode(ctx context.Context) (code, hash string, err error) {
	code = rand.Text()[:16]
	if hash, err = b.hash(ctx, nobody, sealed, code); err != nil {
		return "", "", err
	}
	return strings.Join(slices.Collect(groups(code, 4)), "-"), hash, nil
}

// groups cuts a text into pieces of n.
func groups(s string, n int) func(yield func(string) bool) {
	return func(yield func(string) bool) {
		for len(s) > 0 {
			k := min(n, len(s))
			if !yield(s[:k]) {
				return
			}
			s = s[k:]
		}
	}
}

// plainCode undoes what a person makes of a code when writing it.
func plainCode(code string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'A' && r <= 'Z' || r >= '2' && r <= '7' {
			return r
		}
		return -1
	}, strings.ToUpper(code))
}
