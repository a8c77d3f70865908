package cli

import (
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/alecthomas/kong"
	"github.com/posener/complete"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/internal/picture"
	"selvage/internal/prescription"
	"selvage/internal/report"
	"selvage/internal/workorder"
	"selvage/limit"
	"selvage/phantom"
)

const summary = `Measures the scans of a tooth prepared for a crown and says what to do next.`

// variables are the words that the flags' help quotes.
func variables() map[string]string {
	return map[string]string{
		"materials":   listed(limit.Materials()),
		"finishlines": listed(limit.FinishLines()),
		"cements":     listed(limit.Cements()),
	}
}

// listed joins the words of a closed list.
func listed[T ~string](words []T) string {
	s := make([]string, len(words))
	for i, w := range words {
		s[i] = string(w)
	}
	return strings.Join(s, ", ")
}

// predictors complete the values of flags in a shell.
func predictors() map[string]complete.Predictor {
	return map[string]complete.Predictor{
		"file":     complete.PredictFiles("*"),
		"case":     complete.PredictOr(complete.PredictDirs("*"), complete.PredictFiles("*")),
		"folder":   complete.PredictDirs("*"),
		"material": complete.PredictSet(strings.Split(listed(limit.Materials()), ", ")...),
		"line":     complete.PredictSet(strings.Split(listed(limit.FinishLines()), ", ")...),
		"cement":   complete.PredictSet(strings.Split(listed(limit.Cements()), ", ")...),
		"fault":    complete.PredictSet(phantom.FaultNames()...),
		"unit":     complete.PredictSet("mm", "cm", "m", "in", "um"),
		"role":     complete.PredictSet(strings.Split(listed(finding.Roles()), ", ")...),
		"topic":    complete.PredictSet(topicNames()...),
	}
}

// printHelp prints what kong knows of a verb: its usage, its flags and its text.
func printHelp(options kong.HelpOptions, ctx *kong.Context) error {
	return kong.DefaultHelpPrinter(options, ctx)
}

// The help shows the name of a flag's type for its value: --report=FILE.
type (
	file  string
	code  string
	name  string
	fault string
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

// sheetOf draws the pictures and prints the work order with the measurement sheet. It is a
// draft: who signs does so on paper, or at the page.
func sheetOf(result check.Outcome, in report.Input) ([]byte, error) {
	order := *in.Case
	if order.Name == "" {
		order.Name = result.Report.Case
	}
	w := workorder.Input{Order: order, Program: result.Report.Program.Version}
	w.Check(result.Report)
	for _, l := range prescription.Missing(order, prescription.Laboratory{}) {
		w.Missing = append(w.Missing, workorder.Missing{Lack: l})
	}
	for _, f := range picture.ForCheck(result, report.Numbering(result.Report)) {
		w.Show(f.Slot, f.MIME, f.Data, f.Alt)
	}
	return workorder.PDF(w)
}

// pageOf draws the pictures and makes the page that holds them.
func pageOf(result check.Outcome, in report.Input) ([]byte, error) {
	for _, f := range picture.ForCheck(result, report.Numbering(result.Report)) {
		in.Figures = append(in.Figures, report.Figure{Slot: f.Slot, MIME: f.MIME, Data: f.Data, W: f.W, H: f.H, Alt: f.Alt})
	}
	return report.HTML(in)
}

// writeMargin writes the margins of a report in the form that the file's ending names:
// polylines (.obj) or a table (.csv).
func writeMargin(path string, r casefile.Report) error {
	if strings.ToLower(filepath.Ext(path)) == ".csv" {
		data, err := r.MarginCSV()
		if err != nil {
			return err
		}
		return writeFile(path, data)
	}
	return writeFile(path, r.MarginOBJ())
}
