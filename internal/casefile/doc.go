// Package casefile holds the two documents that cross the program's border:
// case.json, the prescription with its list of scans, and the report.
//
// [Parse] reads case.json: strict about types and words, with errors that name
// the field; fields that it does not know are tolerated and listed. [Report] is
// written with [Report.Encode] and read with [ParseReport]; the same report gives
// the same bytes. The JSON Schemas under doc/formats are generated from these
// types, and a test holds them to it.
//
// A measure in a report has a value or a reason why there is none: [Measure]
// refuses to be written with both or with neither.
package casefile
