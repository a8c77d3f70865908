package people

import (
	"context"
	"slices"
	"unicode"
	"unicode/utf8"

	"selvage/internal/store"
)

// keys are what can be laid on a key or a foot pedal, by the key that does it where
// nobody says otherwise.
var keys = []string{
	"F8", "F2", "F4", // the next control, the one before, press it: three pedals work every page
	"F9", "l", // curtain, lock
	"d", "c", "a", "t", "s", // the dentist's view, the clock, and the three decisions
	"p", "i", "o", "u", // of the clock: packed again, in, out; take back
}

// Keys lists what can be laid on another key, by its usual key.
func Keys() []string { return slices.Clone(keys) }

type keysSet struct {
	Person string            `json:"person"`
	Keys   map[string]string `json:"keys"` // by the usual key; those that stay are left out
}

// longestKey is the longest name of a key, in letters, that a browser tells.
const longestKey = 20

// SetKeys lays what a person does on other keys. An empty key is none; what is not named
// keeps its usual key. No key can do two things.
func (b *Book) SetKeys(ctx context.Context, id string, laid map[string]string) error {
	out := map[string]string{}
	var used []string
	for _, usual := range keys {
		key, named := laid[usual]
		if !named {
			key = usual
		}
		if key != "" && slices.Contains(used, key) {
			return &Problem{Key: "keys.twice"}
		}
		if key != "" {
			used = append(used, key)
		}
		if !fitKey(key) {
			return &Problem{Key: "keys.name"}
		}
		if key != usual {
			out[usual] = key
		}
	}
	return b.change(ctx, func(tx *store.Tx, r *roster) error {
		if p, ok := r.find(id); !ok || p.Left {
			return &Problem{Key: "nobody"}
		}
		_, err := tx.Add(practice, id, kindKeys, keysSet{Person: id, Keys: out})
		return err
	})
}

// fitKey reports whether a name can be that of a key which nobody needs for moving about
// the page.
func fitKey(key string) bool {
	if slices.Contains([]string{"Tab", "Enter", "Shift", "Control", "Alt", "Meta"}, key) {
		return false
	}
	for _, r := range key {
		if !unicode.IsPrint(r) {
			return false
		}
	}
	return utf8.ValidString(key) && utf8.RuneCountInString(key) <= longestKey
}
