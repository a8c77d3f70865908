package store

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash"
	"time"
)

// Event is one thing that happened, as it stands in the ledger.
type Event struct {
	Seq   int64           // place in the whole ledger, from 1 without gaps
	Case  string          // the case that it belongs to; empty for what concerns the practice
	N     int64           // place among the events of its case, from 1 without gaps
	At    time.Time       // UTC, to the millisecond
	Actor string          // who did it: the id of a person, or "selvage"
	Kind  string          // what happened, such as "scan-added"
	Body  json.RawMessage // the particulars, one JSON object
	Hash  string          // of this event and of all before it, hexadecimal
}

// Decode reads the body into v.
func (e Event) Decode(v any) error {
	if err := json.Unmarshal(e.Body, v); err != nil {
		return fmt.Errorf("event %d (%s): %w", e.Seq, e.Kind, err)
	}
	return nil
}

// chain returns the hash of e after an event with the hash before. Every field is
// preceded by its length, so that no two events share one text.
func (e Event) chain(before string) string {
	h := sha256.New()
	field(h, before)
	number(h, e.Seq)
	field(h, e.Case)
	number(h, e.N)
	number(h, e.At.UnixMilli())
	field(h, e.Actor)
	field(h, e.Kind)
	field(h, string(e.Body))
	return hex.EncodeToString(h.Sum(nil))
}

func field(h hash.Hash, s string) {
	number(h, int64(len(s)))
	h.Write([]byte(s))
}

func number(h hash.Hash, n int64) {
	var b [8]byte
	binary.BigEndian.PutUint64(b[:], uint64(n))
	h.Write(b[:])
}
