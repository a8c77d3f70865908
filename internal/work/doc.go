// Package work is where background jobs, checks, the store and reports meet: what a
// person does with a case, turned into events; what follows from the events; and the
// check that runs in the background.
//
// A case's state is computed from its events alone ([Case.Apply]); nothing else is
// true about it. Every change goes through [Desk].
package work
