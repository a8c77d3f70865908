package work

import (
	"encoding/json"
	"fmt"
	"slices"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/internal/picture"
	"selvage/internal/report"
	"selvage/internal/store"
)

// Result is what a check leaves in the store with its verdict: the report, and what it was
// made from beside the scans. It is stored as JSON. What is drawn of it follows in a
// [Shown] of its own; results of earlier versions hold it.
type Result struct {
	Report json.RawMessage `json:"report"` // casefile.Report
	Facing []report.Facing `json:"facing"`
	Shown

	Case   casefile.Case `json:"case"`             // as it was checked
	Limits []byte        `json:"limits,omitempty"` // the table as text

	Wordings map[string]Wording `json:"wordings,omitempty"` // by language; the report itself is in English
}

// Wording is what the findings of a report say in another language, in the report's order.
type Wording struct {
	Line         string        `json:"line"`
	Findings     []Sentences   `json:"findings"` // of the whole case
	Restorations [][]Sentences `json:"restorations"`
}

// Sentences are the words of one finding.
type Sentences struct {
	Text   string `json:"text"`
	Advice string `json:"advice"`
}

// wordings writes the findings of a finished check in every language but English.
func wordings(o check.Outcome) map[string]Wording {
	out := map[string]Wording{}
	for _, c := range finding.Catalogues()[1:] {
		j := finding.JudgeIn(o.Facts, o.Limits, c)
		w := Wording{Line: j.Line, Restorations: make([][]Sentences, len(o.Report.Restorations))}
		for _, f := range j.Findings {
			s := Sentences{Text: f.Text, Advice: f.Advice}
			if f.Restoration >= 0 && f.Restoration < len(w.Restorations) {
				w.Restorations[f.Restoration] = append(w.Restorations[f.Restoration], s)
			} else {
				w.Findings = append(w.Findings, s)
			}
		}
		out[c.Language] = w
	}
	return out
}

// lines are the verdict's line in every language but English.
func lines(in map[string]Wording) map[string]string {
	out := map[string]string{}
	for lang, w := range in { // into a map: order does not matter
		out[lang] = w.Line
	}
	return out
}

// In returns a report with its findings in a language, or as it is where the result has
// none in that language.
func (r Result) In(lang string, rep casefile.Report) casefile.Report {
	w, ok := r.Wordings[lang]
	if !ok || len(w.Restorations) != len(rep.Restorations) {
		return rep
	}
	rep.Line = w.Line
	rep.Findings = worded(rep.Findings, w.Findings)
	rep.Restorations = slices.Clone(rep.Restorations)
	for i := range rep.Restorations {
		rep.Restorations[i].Findings = worded(rep.Restorations[i].Findings, w.Restorations[i])
	}
	return rep
}

func worded(list []casefile.Finding, s []Sentences) []casefile.Finding {
	if len(list) != len(s) {
		return list
	}
	list = slices.Clone(list)
	for i := range list {
		list[i].Text, list[i].Advice = s[i].Text, s[i].Advice
	}
	return list
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

func decodeShown(data []byte) (Shown, error) {
	var s Shown
	if err := json.Unmarshal(data, &s); err != nil {
		return s, fmt.Errorf("stored pictures: %w", err)
	}
	return s, nil
}

// Named lists the stored files that an event names, each with words for a person; without
// words where the event says that they were deleted. A
// result of a check names its pictures and surfaces in turn, and is read by get. Where it
// cannot be read, what was found so far is returned with the error.
func Named(e store.Event, get func(store.Hash) ([]byte, error)) (map[store.Hash]string, error) {
	out := map[store.Hash]string{}
	switch e.Kind {
	case kindDeleted:
		return out, read(e, func(v deleted) {
			for _, h := range v.Files {
				out[h] = ""
			}
		})
	case kindScan:
		return out, read(e, func(v Scan) { out[v.Hash] = fmt.Sprintf("the scan %s of case %s", v.Name, e.Case) })
	case kindPhoto:
		return out, read(e, func(v Photo) { out[v.Hash] = fmt.Sprintf("a photograph of case %s", e.Case) })
	case kindHandedOff:
		return out, read(e, func(v Sending) { v.named(e.Case, out) })
	case kindDone:
		var v done
		if err := e.Decode(&v); err != nil {
			return out, err
		}
		out[v.Result] = fmt.Sprintf("the answer of a check of case %s", e.Case)
		data, err := get(v.Result)
		if err != nil {
			return out, err
		}
		r, err := decodeResult(data)
		if err != nil {
			return out, err
		}
		r.Shown.named(e.Case, out)
	case kindShown:
		var v shown
		if err := e.Decode(&v); err != nil || v.Shown == "" {
			return out, err
		}
		out[v.Shown] = fmt.Sprintf("the list of pictures of a check of case %s", e.Case)
		data, err := get(v.Shown)
		if err != nil {
			return out, err
		}
		s, err := decodeShown(data)
		if err != nil {
			return out, err
		}
		s.named(e.Case, out)
	}
	return out, nil
}

func (s Shown) named(id string, out map[store.Hash]string) {
	for _, f := range s.Figures {
		out[f.Hash] = fmt.Sprintf("a picture of a check of case %s", id)
	}
	for _, m := range s.Models {
		out[m.Hash] = fmt.Sprintf("a surface of a check of case %s", id)
	}
}
