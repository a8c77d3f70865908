package cli

import (
	"io"
	"os"

	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/internal/picture"
	"selvage/internal/report"
)

// told is what a report is made from, without its pictures.
func told(result check.Outcome, c *casefile.Case) report.Input {
	in := report.Input{Report: result.Report, Case: c, Limits: &result.Limits}
	for _, t := range result.Scene.Restorations {
		in.Facing = append(in.Facing, report.Facing{Mesial: t.Mesial, Buccal: t.Buccal})
	}
	return in
}

// printText prints the report for a person. terminal says whether w is one.
func printText(w io.Writer, terminal bool, width int, in report.Input) error {
	return report.Text(w, in, report.TextOptionsFor(os.Getenv, terminal, width))
}

// pageOf draws the pictures and makes the page that holds them.
func pageOf(result check.Outcome, in report.Input) ([]byte, error) {
	for _, f := range picture.ForCheck(result, report.Numbering(result.Report)) {
		in.Figures = append(in.Figures, report.Figure{Slot: f.Slot, MIME: f.MIME, Data: f.Data, W: f.W, H: f.H, Alt: f.Alt})
	}
	return report.HTML(in)
}
