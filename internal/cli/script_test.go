package cli

import (
	"context"
	"flag"
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite the expected output in the scripts")

// TestMain lets the scripts run the program under its own name, in a process of
// its own, so that exit codes and the two output streams are real.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"selvage": func() {
			os.Exit(Main(context.Background(), os.Args[1:], Env{Stdout: os.Stdout, Stderr: os.Stderr}))
		},
	})
}

// TestScripts runs the scripts: command, standard output, standard error, code.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"code":   cmdCode,
			"shape":  cmdShape,
			"keeps":  cmdKeeps,
			"sized":  cmdSized,
			"noted":  cmdNoted,
			"shorts": cmdShorts,
		},
	})
}
