// Package seating is about the visit at which the work is tried in: the steps and what
// each showed, how long was adjusted, how the visit ended, and, where it is made again,
// what each party saw and thinks. It holds nouns and rules and keeps nothing.
//
// The order of the steps guides and locks nothing. What is said later stands beside what
// was said before: nothing is overwritten.
package seating
