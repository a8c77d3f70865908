// Command chain recomputes the chain of a ledger without any code of Selvage's own: it
// reads the table of events of a data folder's selvage.db and holds every hash against
// what the fields say.
//
//	go run ./cmd/chain selvage.db
//
// The hash of an event is SHA-256 over, in this order: the hash before it, its place in the
// ledger, its case, its place in the case, its time in milliseconds since 1970, who, what
// and the particulars. A number is eight bytes, most significant first; a text is the
// number of its bytes and then these. The first event follows sixty-four
// zeros.
package main

import (
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"strings"

	_ "modernc.org/sqlite" // the driver
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: chain selvage.db")
		os.Exit(2)
	}
	n, err := verify(os.Args[1])
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	fmt.Printf("%d events, the chain holds\n", n)
}

// verify returns how many events the chain holds.
func verify(path string) (n int64, err error) {
	db, err := sql.Open("sqlite", "file:"+path+"?mode=ro")
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	rows, err := db.Query("SELECT seq, case_id, n, at, actor, kind, body, hash FROM event ORDER BY seq")
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	before := strings.Repeat("0", 2*sha256.Size)
	for rows.Next() {
		var seq, place, at int64
		var id, actor, kind, body, stated string
		if err := rows.Scan(&seq, &id, &place, &at, &actor, &kind, &body, &stated); err != nil {
			return n, err
		}
		if n++; seq != n {
			return n, fmt.Errorf("event %d is missing", n)
		}
		var text []byte
		for _, field := range []any{before, seq, id, place, at, actor, kind, body} {
			switch v := field.(type) {
			case int64:
				text = binary.BigEndian.AppendUint64(text, uint64(v))
			case string:
				text = binary.BigEndian.AppendUint64(text, uint64(len(v)))
				text = append(text, v...)
			}
		}
		sum := sha256.Sum256(text)
		if before = hex.EncodeToString(sum[:]); before != stated {
			return n, fmt.Errorf("event %d is not what its hash says", n)
		}
	}
	return n, rows.Err()
}
