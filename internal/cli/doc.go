// Package cli is the command line of Selvage: one file per verb, and around the
// verbs the reading and writing of files, the words and the exit codes.
//
// Nothing is measured here. A verb reads files, calls one package that does the
// work on values, and prints what came back. Files are read with a bound on
// their size; results are written under a temporary name and then renamed; no
// verb writes into a folder it reads a case from.
//
// Exit codes: 0 clear, 10 scan again, 11 ask the dentist, 12 not checked, 2 the
// input could not be used (one line on standard error: which file, what is
// wrong, what to try), 1 the program failed.
package cli
