package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"

	"github.com/alecthomas/kong"
	kongcompletion "github.com/jotaen/kong-completion"

	"selvage/internal/work"
)

// Env is what a command may touch besides the files it is told of.
type Env struct {
	Stdout, Stderr io.Writer
	OutTerminal    bool // Stdout is a terminal
	Terminal       bool // Stderr is a terminal: a moving progress line is welcome
	Width          int  // columns of the terminal; 0 means 80
	Pages          Pages
}

// Pages makes the handler of the page at the chair. WHY it is handed in: the pages and
// the command line stand side by side, and neither imports the other.
type Pages func(work.Shop) (http.Handler, error)

// grammar is the whole command line. Kong fills it in; each verb has a Run.
type grammar struct {
	Check      checkVerb                 `cmd:"" help:"Measure the scans of a case and say what to do next."`
	HandOff    handOffVerb               `cmd:"" name:"hand-off" help:"Pack a case for a laboratory: scans, work order, pictures, a page to look at it."`
	Verify     verifyVerb                `cmd:"" help:"Hold a packed case against its list of hashes, and its seal."`
	Serve      serveVerb                 `cmd:"" help:"Serve the page at the chair, and check in the background."`
	Backup     backupVerb                `cmd:"" help:"Copy the cases into a folder, also while they are in use."`
	BackupKey  backupKeyVerb             `cmd:"" help:"Copy the key of the stored scans to another place."`
	Restore    restoreVerb               `cmd:"" help:"Make a data folder of a back-up, and prove it."`
	Phantom    phantomVerb               `cmd:"" help:"Make a case with known truth, with or without faults."`
	Study      studyVerb                 `cmd:"" help:"Check many phantoms and print how often each finding was right."`
	Limits     limitsVerb                `cmd:"" help:"Print the limits with their sources, or an editable copy."`
	Version    versionVerb               `cmd:"" help:"Print the version and run the self-test."`
	Help       helpVerb                  `cmd:"" help:"Explain a verb or a topic."`
	Completion kongcompletion.Completion `cmd:"" help:"Print how to switch on completion in your shell."`
}

// stop carries the exit code that kong asks for after printing help.
type stop int

// Main runs one command and returns its exit code. Cancelling ctx ends long
// work at its next phase.
func Main(ctx context.Context, args []string, env Env) (code int) {
	defer func() {
		switch r := recover().(type) {
		case nil:
		case stop:
			code = int(r)
		default:
			panic(r)
		}
	}()
	var g grammar
	parser, err := newParser(&g, env)
	if err != nil {
		return fail(env, err)
	}
	if os.Getenv("COMP_LINE") != "" { // the shell asks for completions
		kongcompletion.Register(parser, kongcompletion.WithPredictors(predictors()))
		return exitClear
	}
	if len(args) == 0 {
		args = []string{"help"}
	}
	kctx, err := parser.Parse(args)
	if err != nil {
		return fail(env, usage(err))
	}
	kctx.BindTo(ctx, (*context.Context)(nil))
	kctx.Bind(env, parser)
	return fail(env, kctx.Run())
}

func newParser(g *grammar, env Env) (*kong.Kong, error) {
	return kong.New(g,
		kong.Name("selvage"),
		kong.Description(summary),
		kong.Writers(env.Stdout, env.Stderr),
		kong.Exit(func(code int) { panic(stop(code)) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: 96}),
		kong.Help(printHelp),
		kong.Vars(variables()),
		kong.Configuration(loadSettings),
	)
}

// usage turns a complaint of the parser into an input error that says where the
// verb is explained.
func usage(err error) error {
	try := "selvage help"
	var pe *kong.ParseError
	if errors.As(err, &pe) && pe.Context != nil && pe.Context.Selected() != nil {
		try += " " + pe.Context.Selected().Name
	}
	return &inputError{What: err.Error(), Try: try}
}

// fail prints err, if there is one, on one line and returns the exit code.
func fail(env Env, err error) int {
	var v verdictExit
	switch {
	case err == nil:
		return exitClear
	case errors.As(err, &v):
		return int(v)
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(env.Stderr, "selvage: stopped before the end; nothing was written")
		return exitFailed
	}
	line, code := describe(err)
	fmt.Fprintln(env.Stderr, "selvage: "+line)
	return code
}
