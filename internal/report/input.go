package report

import (
	"selvage/internal/casefile"
	"selvage/internal/since"
	"selvage/limit"
	"selvage/r3"
)

// Input is what a report is made from. Only Report is needed.
type Input struct {
	Report  casefile.Report
	Figures []Figure       // by slot; see Figure
	Case    *casefile.Case // the prescription, for the limits of its material; nil: unknown
	Limits  *limit.Table   // the table that was used; nil: the column of limits is left out
	Facing  []Facing       // one per restoration; nil: the margin's diagram carries no directions
	Words   *Words         // nil: English
	Since   []since.Change // what changed since the check before; nil: there was none

	Elsewhere bool // what the prescription lacks is told elsewhere, as it is now
}

// Facing says how a restoration is turned, in the frame of the working scan.
type Facing struct {
	Mesial, Buccal r3.Vec
}

// Figure is one picture of the report.
//
// Slots: "overview-R" along the insertion axis of restoration R (from 0),
// "clearance-R" the room above it, "bite-R" the arches in bite; "finding-N" the
// spot of the finding with number N, "hold-N" how to hold the scanner for it, and
// "section-N" a cut through it.
type Figure struct {
	Slot string
	MIME string // image/png or image/svg+xml; any other is left out
	Data []byte
	URL  string // where the picture is served; empty: Data goes into the page
	W, H int    // CSS pixels at which it is meant to be shown
	Alt  string // a sentence; empty: the finding's own
}

// figure returns the figure in a slot.
func (in Input) figure(slot string) (Figure, bool) {
	for _, f := range in.Figures {
		if f.Slot == slot && (len(f.Data) > 0 || f.URL != "") && (f.MIME == "image/png" || f.MIME == "image/svg+xml") {
			return f, true
		}
	}
	return Figure{}, false
}

func (in Input) words() *Words {
	if in.Words != nil {
		return in.Words
	}
	return English()
}
