// Package study checks many phantoms, whose truth is known by construction, and
// says how often each finding was right and how far each measure was off.
//
// It is the only source of the accuracy that the documentation states. A case is
// a function of the study's seed and the case's number alone, so the table is
// the same for any number of workers. Cases whose truth lies within the stated
// uncertainty of a limit are counted apart: there no answer is wrong (ISO
// 14253-1, [ISO14253]).
//
// The package also holds the self-test: exact solids with known answers, run by
// every copy of the program on the machine it finds itself on.
package study
