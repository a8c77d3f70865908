package cli

import (
	"strings"

	"github.com/alecthomas/kong"
	"github.com/posener/complete"

	"selvage/finding"
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
