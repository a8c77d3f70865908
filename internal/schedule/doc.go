// Package schedule tells time at the chair: how long retraction has been in, how long
// the sulcus has been open, and what was put in and is not out yet.
//
// It reminds and decides nothing. The times are a practice's own, from the instructions
// of the products it uses; the shipped ones are common practice, with their sources.
package schedule
