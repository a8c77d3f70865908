package people

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"errors"
	"slices"
	"strings"

	"selvage/internal/store"
)

// Another program that may use this one shows a token that a manager made for it. What
// it may do is one row of the table of rights, as for people.

// Parts of a token: what it is of, whose it is, and the secret.
const (
	tokenOf   = "selvage"
	programOf = "x-" // begins the id of a program
)

// AddProgram lets a manager let another program in, and returns the token that it must
// show. The token is shown once and not kept.
func (b *Book) AddProgram(ctx context.Context, by, name string, role Role) (p Person, secret string, err error) {
	if !slices.Contains(ProgramRoles(), role) {
		return p, "", &Problem{Key: "choice"}
	}
	if p.Name, err = fitName(name); err != nil {
		return p, "", err
	}
	p.ID, p.Roles = programOf+strings.ToLower(rand.Text()[:12]), []Role{role}
	proof := strings.ToLower(rand.Text())
	err = b.byManager(ctx, by, Staff, func(tx *store.Tx, r *roster) error {
		if slices.ContainsFunc(r.programs, func(o Person) bool { return !o.Left && sameName(o.Name, p.Name) }) {
			return &Problem{Key: "name.taken"}
		}
		if _, err := tx.Add(practice, by, kindProgram, added{Person: p.ID, Name: p.Name, Roles: p.Roles}); err != nil {
			return err
		}
		// WHY no slow hash: a secret of 130 random bits is not guessed from its hash.
		return b.keep(tx, by, p.ID, token, b.spiced(p.ID, token, proof))
	})
	return p, tokenOf + "_" + strings.TrimPrefix(p.ID, programOf) + "_" + proof, err
}

// EndProgram lets a manager end a program's token.
func (b *Book) EndProgram(ctx context.Context, by, id string) error {
	return b.byManager(ctx, by, Staff, func(tx *store.Tx, r *roster) error {
		p, ok := r.program(id)
		if !ok {
			return &Problem{Key: "nobody"}
		}
		if p.Left {
			return nil
		}
		if _, err := tx.SQL().ExecContext(ctx, `DELETE FROM credential WHERE person = $1`, id); err != nil {
			return err
		}
		_, err := tx.Add(practice, by, kindEnded, ref{Person: id})
		return err
	})
}

// Programs returns the other programs, in the order in which they were let in; those
// whose token ended stay in it, since their names stand in what happened.
func (b *Book) Programs(ctx context.Context) ([]Person, error) {
	r, err := b.current(ctx)
	if err != nil {
		return nil, err
	}
	return slices.Clone(r.programs), nil
}

// Show finds out which program shows a token. The error is [ErrWrong] where none does,
// and a [*WaitError] where an address was wrong too often.
func (b *Book) Show(ctx context.Context, w Where, secret string) (Person, error) {
	p, err := b.shown(ctx, secret)
	if !errors.Is(err, ErrWrong) {
		return p, err
	}
	// WHY only now: a right token must not write to the database at every request.
	if werr := b.begin(ctx, []attemptKey{{key: string(w.Place) + " token " + w.Address, free: freeAddress}}); werr != nil {
		return Person{}, werr
	}
	return Person{}, errors.Join(err, b.ledger.Change(ctx, func(tx *store.Tx) error {
		_, err := tx.Add(practice, system, kindRefused, entry{Place: w.Place})
		return err
	}))
}

func (b *Book) shown(ctx context.Context, secret string) (Person, error) {
	parts := strings.Split(secret, "_")
	if len(parts) != 3 || parts[0] != tokenOf {
		return Person{}, ErrWrong
	}
	r, err := b.current(ctx)
	if err != nil {
		return Person{}, err
	}
	id := programOf + parts[1]
	p, ok := r.program(id)
	if !ok || p.Left {
		return Person{}, ErrWrong
	}
	kept, _, err := b.kept(ctx, id, token)
	if err != nil {
		return Person{}, err
	}
	if kept == "" || !hmac.Equal([]byte(kept), []byte(b.spiced(id, token, parts[2]))) {
		return Person{}, ErrWrong
	}
	return p, nil
}

func (r *roster) program(id string) (Person, bool) {
	i := slices.IndexFunc(r.programs, func(p Person) bool { return p.ID == id })
	if i < 0 {
		return Person{}, false
	}
	return r.programs[i], true
}

// addProgram adds an event about a program.
func (r *roster) addProgram(e store.Event) error {
	if e.Kind == kindProgram {
		var v added
		if err := e.Decode(&v); err != nil {
			return err
		}
		r.programs = append(r.programs, Person{ID: v.Person, Name: v.Name, Roles: v.Roles, Since: e.At})
		return nil
	}
	var v ref
	if err := e.Decode(&v); err != nil {
		return err
	}
	for i := range r.programs {
		if r.programs[i].ID == v.Person {
			r.programs[i].Left = true
		}
	}
	return nil
}
