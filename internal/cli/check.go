package cli

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"selvage/finding"
	"selvage/internal/casefile"
	"selvage/internal/check"
	"selvage/internal/since"
)

// checkVerb measures a case.
type checkVerb struct {
	Case   []string `arg:"" help:"A case folder, a case.json, or scan files." predictor:"case"`
	Stage  string   `enum:"preparation,final" default:"final" help:"preparation: before the gum is opened, handpiece at hand. final: everything."`
	JSON   file     `name:"json" help:"Write the report as JSON; - is standard output, and the text then goes to standard error." predictor:"file"`
	Report file     `help:"Write the report with pictures as one HTML file that needs no network; or, as .pdf, the work order for the laboratory on one sheet, with measurements and pictures on the next." predictor:"file"`
	Margin file     `help:"Write the margin as a polyline, .obj, or as a table with confidence, .csv, in the frame of its scan." predictor:"file"`
	Since  file     `help:"The JSON report of the check before: says what was put right, what is new and what is still there." predictor:"file"`
	Limits file     `help:"A limit table of your own (selvage limits --toml)." predictor:"file"`
	order  `group:"Without case.json, or to overrule it:"`
}

// Help is shown below the flags.
func (checkVerb) Help() string {
	return `
Reads the scans, measures the preparation, and says one of four things:

    clear (exit code 0)         nothing to scan again, nothing that needs the bur
    scan again (10)             the assistant can put it right now
    get the dentist (11)        the dentist must look or cut
    not checked (12)            a measure could not be made; never a pass

    selvage check CASE
    selvage check CASE --report report.html --json report.json
    selvage check CASE --report order.pdf
    selvage check CASE --stage preparation
    selvage check CASE --since report.json
    selvage check FOLDER --tooth 26 --material lithium-disilicate
    selvage check upper.stl lower.stl bite.stl --tooth UL6
    selvage check FOLDER --tooth 26 --role working=scan7.stl

Nothing is written into the case folder, and no scan is altered or overwritten.
More: selvage help verdicts | case | roles | units | cautions`
}

// Run reads, checks and reports.
func (v checkVerb) Run(ctx context.Context, env Env) error {
	switch ext := strings.ToLower(filepath.Ext(string(v.Report))); {
	case v.Report == "-":
		return &inputError{What: "--report needs a file name", Try: "--report report.html"}
	case v.Report != "" && ext != ".html" && ext != ".htm" && ext != ".pdf":
		return &inputError{File: string(v.Report), What: "a report is written as .html, and the work order as .pdf", Try: "--report report.html, or --report order.pdf"}
	}
	if ext := strings.ToLower(filepath.Ext(string(v.Margin))); v.Margin != "" && ext != ".obj" && ext != ".csv" {
		return &inputError{File: string(v.Margin), What: "the margin is written as .obj or .csv", Try: "--margin margin.obj"}
	}
	l, err := load(v.Case, v.order)
	if err != nil {
		return err
	}
	l.input.Stage = finding.Stage(v.Stage)
	if v.Limits != "" {
		data, err := readBounded(string(v.Limits), maxTextBytes)
		if err != nil {
			return err
		}
		if _, err := parseLimits(string(v.Limits), data); err != nil {
			return err
		}
		l.input.Limits = data
		l.sources = append(l.sources, string(v.Limits))
	}
	var was *casefile.Report
	if v.Since != "" {
		r, err := readReport(string(v.Since))
		if err != nil {
			return err
		}
		was = &r
		l.sources = append(l.sources, string(v.Since))
	}
	out := outputs{sources: l.sources, folder: l.folder}
	for _, path := range []file{v.JSON, v.Report, v.Margin} {
		if err := out.allow(string(path)); err != nil {
			return err
		}
	}
	bar := newProgress(env)
	defer bar.done()
	in := l.input
	l.input.Files = nil // the check lets go of them once they are decoded, and so must its caller
	result, err := check.Run(ctx, in, bar.show)
	bar.done()
	if err != nil {
		return asInput(err)
	}
	if err := v.report(env, result, l.input.Case, was); err != nil {
		return err
	}
	return exitOf(result.Report.Verdict)
}

// report writes what was asked for, then prints the text.
func (v checkVerb) report(env Env, result check.Outcome, c casefile.Case, was *casefile.Report) error {
	in := told(result, &c)
	if was != nil {
		in.Since = since.Compare(*was, result.Report)
	}
	if v.JSON != "" {
		data, err := result.Report.Encode()
		if err != nil {
			return err
		}
		if err := emit(env.Stdout, string(v.JSON), data); err != nil {
			return err
		}
	}
	if v.Margin != "" {
		if err := writeMargin(string(v.Margin), result.Report); err != nil {
			return err
		}
	}
	if v.Report != "" {
		make := pageOf
		if strings.EqualFold(filepath.Ext(string(v.Report)), ".pdf") {
			make = sheetOf
		}
		data, err := make(result, in)
		if err != nil {
			return err
		}
		if err := writeFile(string(v.Report), data); err != nil {
			return err
		}
	}
	if v.JSON == "-" {
		return printText(env.Stderr, env.Terminal, env.Width, in)
	}
	return printText(env.Stdout, env.OutTerminal, env.Width, in)
}

// readReport reads the JSON report of an earlier check.
func readReport(path string) (casefile.Report, error) {
	data, err := readBounded(path, maxReportBytes)
	if err != nil {
		return casefile.Report{}, err
	}
	r, err := casefile.ParseReport(data)
	if err != nil {
		return r, &inputError{File: path, What: "is not the report of a check: " + err.Error(), Try: "the file that --json wrote then", Err: err}
	}
	return r, nil
}

// maxReportBytes bounds a report that is read: the margin's points are the most of it, some
// hundred kilobytes.
const maxReportBytes = 64 << 20

// asInput turns an input error of the check into one of the command line.
func asInput(err error) error {
	var in *check.InputError
	if errors.As(err, &in) {
		return &inputError{File: in.File, What: in.What, Try: in.Try, Err: err}
	}
	return err
}

// exitOf returns the exit code of a verdict as the error that carries it.
func exitOf(v finding.Verdict) error {
	switch v {
	case finding.Clear:
		return nil
	case finding.ScanAgainNow:
		return verdictExit(exitScanAgain)
	case finding.AskDentistFirst:
		return verdictExit(exitAskDentist)
	case finding.NotChecked:
		return verdictExit(exitNotChecked)
	default:
		return fmt.Errorf("the check gave the verdict %q, which has no exit code", v)
	}
}
