// Package workorder prints what a laboratory needs on one sheet of paper: the prescription
// with both tooth numbers, a two-dimensional code, what was disinfected, the signature, and
// the files with their hashes. The measurement sheet and the pictures follow on the next.
//
// It says what the prescription says and fills in nothing: what is missing is printed as
// missing. The same input gives the same bytes.
package workorder

import (
	"slices"
	"strings"
	"time"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/prescription"
)

// Input is what a work order is printed from. Only Order is needed.
type Input struct {
	Order    casefile.Case
	Version  int              // of the prescription; 0: a draft
	Hash     string           // of what the prescription says
	Signed   *Signature       // nil: not signed, and a line is left for ink
	Missing  []Missing        // what the prescription lacks
	Files    []File           // that go along
	Report   *casefile.Report // the check; nil: none was made
	Pictures []Picture        // drawn, for the second sheet
	Photos   []Picture        // taken, for the sheet after
	Lang     string           // empty: the first of prescription.Languages
	Program  string           // version of the program

	Reasons map[string]string // why a measure was not made, in the language, by its English words
}

// Signature is who signed, and when.
type Signature struct {
	By string
	At time.Time
}

// Missing is one thing that the prescription lacks, and what was said about it.
type Missing struct {
	prescription.Lack
	Said string // empty: nothing
}

// File is one file of the case.
type File struct {
	Name   string
	Role   finding.Role // what it shows; may be empty
	SHA256 string
}

// Picture is one picture, as PNG or as JPEG.
type Picture struct {
	PNG, JPEG []byte
	Caption   string
}

// Check takes in the report of a check, and the files that it names.
func (in *Input) Check(rep casefile.Report) {
	in.Report = &rep
	for _, s := range rep.Scans {
		in.Files = append(in.Files, File{Name: s.File, Role: s.Role, SHA256: s.SHA256})
	}
}

// shown are the pictures that go on paper, by the beginning of their slot in a report.
var shown = []string{"overview-", "clearance-", "bite-", "finding-"}

// Show takes a picture of a report in, if it is one for paper.
func (in *Input) Show(slot, mime string, data []byte, caption string) {
	fits := slices.ContainsFunc(shown, func(s string) bool { return strings.HasPrefix(slot, s) })
	if fits && mime == "image/png" && len(data) > 0 {
		in.Pictures = append(in.Pictures, Picture{PNG: data, Caption: caption})
	}
}

// Code returns the text of the two-dimensional code: what finds the case again, and no
// name. The hash is shortened to 32 digits.
func (in Input) Code() string {
	out := "selvage-order 1\n" + in.Order.Name
	for _, r := range in.Order.Restorations {
		out += "\nFDI " + r.Tooth.Number().String()
	}
	if in.Version > 0 {
		out += "\nversion " + itoa(in.Version)
	}
	if len(in.Hash) >= 32 {
		out += "\nsha256 " + in.Hash[:32]
	}
	return out
}
