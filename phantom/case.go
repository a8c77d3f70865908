package phantom

import (
	"selvage/mesh"
	"selvage/tooth"
)

// Roles of the scans in a case, as in case.json.
const (
	Working     = "working"
	Opposing    = "opposing"
	Bite        = "bite"
	Before      = "before"
	Preparation = "preparation"
)

// Case is a made case: the scans, what the prescription says, and the truth.
type Case struct {
	Scans        []Scan
	Prescription Prescription
	Truth        Truth

	sources []source   // of Scans, for ToothAt
	exact   *mesh.Mesh // the true surface of the working arch in the frame of its file, for [Case.Again]
}

// Scan is one file of a case. Mesh is in the unit of the file, mm unless a fault
// says otherwise.
type Scan struct {
	Role  string
	File  string // suggested file name
	Mesh  *mesh.Mesh
	Tooth tooth.Number // the tooth that a preparation scan shows; else zero
}

// Scan returns the scan with the given role, or false.
func (c *Case) Scan(role string) (Scan, bool) {
	for _, s := range c.Scans {
		if s.Role == role {
			return s, true
		}
	}
	return Scan{}, false
}

// Prescription is what the order of the case says, in the words of case.json. It
// agrees with the preparation unless a fault makes it differ.
type Prescription struct {
	Tooth      tooth.Number `json:"tooth"`
	Kind       string       `json:"kind"`
	Material   string       `json:"material"`
	Cement     string       `json:"cement"`
	FinishLine string       `json:"finish_line"`
	Units      string       `json:"units"` // empty where the order does not say
}
