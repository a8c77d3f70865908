package work

import (
	"encoding/json"
	"fmt"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/internal/packed"
	"selvage/internal/picture"
	"selvage/internal/report"
	"selvage/internal/store"
)

// Result is what a check leaves in the store: the report, and the hashes of its
// pictures. It is stored as JSON.
type Result struct {
	Report  json.RawMessage `json:"report"` // casefile.Report
	Figures []FigureRef     `json:"figures"`
	Facing  []report.Facing `json:"facing"`
	Models  []ModelRef      `json:"models"`
	Scenes  []packed.Scene  `json:"scenes"` // by restoration; without a surface where no scan shows it
}

// ModelRef is a stored surface for the browser; see package packed.
type ModelRef struct {
	Restoration int          `json:"restoration"`
	Role        finding.Role `json:"role"`
	Coarse      bool         `json:"coarse"`
	Hash        store.Hash   `json:"sha256"`
}

// FigureRef is a stored picture; see [report.Figure].
type FigureRef struct {
	Slot string     `json:"slot"`
	MIME string     `json:"mime"`
	Hash store.Hash `json:"sha256"`
	W    int        `json:"w"`
	H    int        `json:"h"`
	Alt  string     `json:"alt"`
}

// parsed is a result with its report decoded.
func (r Result) parsed() (casefile.Report, error) { return casefile.ParseReport(r.Report) }

// drawn makes the pictures of a finished check.
func drawn(o check.Outcome) []report.Figure {
	var out []report.Figure
	for _, f := range picture.ForCheck(o, report.Numbering(o.Report)) {
		out = append(out, report.Figure{Slot: f.Slot, MIME: f.MIME, Data: f.Data, W: f.W, H: f.H, Alt: f.Alt})
	}
	return out
}

func facing(o check.Outcome) []report.Facing {
	var out []report.Facing
	for _, t := range o.Scene.Restorations {
		out = append(out, report.Facing{Mesial: t.Mesial, Buccal: t.Buccal})
	}
	return out
}

func decodeResult(data []byte) (Result, error) {
	var r Result
	if err := json.Unmarshal(data, &r); err != nil {
		return r, fmt.Errorf("stored result: %w", err)
	}
	return r, nil
}
