// Package report turns a finished check into something a person reads: a text
// for the terminal ([Text]) and one HTML file that needs nothing but itself
// ([HTML]). The JSON of a report is package casefile's.
//
// It answers, in this order: what to do now, where, how; what else; what was
// measured and with what uncertainty; what was not measured and why; what does
// not matter. It shows what the report says and computes nothing new. It sees no
// mesh: pictures arrive as finished bytes ([Figure]).
//
// The same input gives the same bytes. Everything from a case (file names, notes,
// names) is escaped: in HTML by html/template, on a terminal by dropping control
// characters.
package report
