package people

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/alexedwards/argon2id"

	"selvage/internal/store"
)

// Kind is a kind of proof.
type Kind string

// The kinds of proof.
const (
	Number   Kind = "number"   // digits, on this computer
	Password Kind = "password" // from another computer
	sealed   Kind = "sealed"   // the practice's way back in, kept in an envelope
	token    Kind = "token"    // of another program
)

// Place is where somebody stands.
type Place string

// The places.
const (
	Chair Place = "chair" // at this computer
	Away  Place = "away"  // at another one
)

// Kind returns what proves who somebody is at a place.
func (p Place) Kind() Kind {
	if p == Chair {
		return Number
	}
	return Password
}

// Bounds of a number, in digits, and of a password, in characters.
const (
	MinDigits   = 4
	MaxDigits   = 8
	MinPassword = 12
	maxPassword = 128
)

// cost is what one guess costs: 64 MiB, three passes, the second choice of RFC 9106 with
// two lanes for the two cores of a small computer. WHY fixed: the same on every machine.
var cost = &argon2id.Params{Memory: 64 << 10, Iterations: 3, Parallelism: 2, SaltLength: 16, KeyLength: 32}

// hashers bounds how many guesses are weighed at a time: each takes 64 MiB.
const hashers = 2

// fit refuses proofs that are guessed first.
func fit(kind Kind, proof string) error {
	switch n := utf8.RuneCountInString(proof); {
	case kind == Password && (n < MinPassword || n > maxPassword):
		return &Problem{Key: "password.length"}
	case kind == Number && (n < MinDigits || n > MaxDigits || strings.Trim(proof, "0123456789") != ""):
		return &Problem{Key: "number.length"}
	case kind == Number && plain(proof):
		return &Problem{Key: "number.plain"}
	}
	return nil
}

// plain reports whether every digit follows the one before by the same step, as in 0000,
// 1234 and 8642, or the halves are the same, as in 1212.
func plain(digits string) bool {
	step := (int(digits[1]) - int(digits[0]) + 10) % 10
	same := true
	for i := 1; i < len(digits); i++ {
		same = same && (int(digits[i])-int(digits[i-1])+10)%10 == step
	}
	return same || len(digits)%2 == 0 && digits[:len(digits)/2] == digits[len(digits)/2:]
}

// spiced mixes a proof with the secret and with whose it is: a hash of one person's is
// of no use for another.
func (b *Book) spiced(id string, kind Kind, proof string) string {
	m := hmac.New(sha256.New, b.secret)
	fmt.Fprintf(m, "%d:%s %s %s", len(id), id, kind, proof)
	return hex.EncodeToString(m.Sum(nil))
}

// hash returns what is kept of a proof.
func (b *Book) hash(ctx context.Context, id string, kind Kind, proof string) (string, error) {
	free, err := b.turn(ctx)
	if err != nil {
		return "", err
	}
	defer free()
	return argon2id.CreateHash(b.spiced(id, kind, proof), b.cost)
}

// right reports whether a proof is the one whose hash was kept. It takes as long where
// there is none: how long it takes must not tell who works here.
func (b *Book) right(ctx context.Context, id string, kind Kind, proof, kept string) (bool, error) {
	if kept == "" {
		_, err := b.hash(ctx, id, kind, proof)
		return false, err
	}
	free, err := b.turn(ctx)
	if err != nil {
		return false, err
	}
	defer free()
	return argon2id.ComparePasswordAndHash(b.spiced(id, kind, proof), kept)
}

// turn waits until a guess may be weighed.
func (b *Book) turn(ctx context.Context) (func(), error) {
	select {
	case b.turns <- struct{}{}:
		return func() { <-b.turns }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// kept returns the hash of a proof and who set it; empty where there is none.
func (b *Book) kept(ctx context.Context, id string, kind Kind) (hash, by string, err error) {
	err = b.ledger.DB().QueryRowContext(ctx, `SELECT hash, set_by FROM credential WHERE person = $1 AND kind = $2`, id, string(kind)).Scan(&hash, &by)
	if errors.Is(err, sql.ErrNoRows) {
		return "", "", nil
	}
	if err != nil {
		return "", "", fmt.Errorf("people: %w", err)
	}
	return hash, by, nil
}

// keep stores the hash of a proof and notes in the ledger that it was set.
func (b *Book) keep(tx *store.Tx, by, id string, kind Kind, hash string) error {
	_, err := tx.SQL().ExecContext(tx.Context(), `INSERT INTO credential (person, kind, hash, set_by, at) VALUES ($1, $2, $3, $4, $5)
		ON CONFLICT (person, kind) DO UPDATE SET hash = excluded.hash, set_by = excluded.set_by, at = excluded.at`,
		id, string(kind), hash, by, b.now().UnixMilli())
	if err != nil {
		return fmt.Errorf("people: %w", err)
	}
	_, err = tx.Add(practice, by, kindProof, proofSet{Person: id, Kind: kind})
	return err
}
