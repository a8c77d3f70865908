// Package people knows who works here, what each of them may do, and whether somebody
// is who they say.
//
// Who works here is told by events in the ledger that belong to no case. What proves who
// somebody is (a number at the chair, a password elsewhere) is never in the ledger: only
// its hash is kept, in a table of its own, and mixed with a secret that lies beside the
// data and not in it, since a number of four digits alone would soon be guessed from its
// hash. Wrong answers are counted for each person and address, and make the next one
// wait longer.
//
// What a person may do is the table in rights.go, and nowhere else.
package people
