// Command selvage measures the scans of a tooth prepared for a crown and says what
// to do next. Run it without arguments for its help.
package main

import (
	"context"
	"os"
	"os/signal"

	"golang.org/x/term"

	"selvage/internal/cli"
	"selvage/internal/web"
)

func main() { os.Exit(run()) }

// run is main with a return, so that what it defers is done.
func run() int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	env := cli.Env{Stdout: os.Stdout, Stderr: os.Stderr, Pages: web.New}
	env.OutTerminal = term.IsTerminal(int(os.Stdout.Fd()))
	env.Terminal = term.IsTerminal(int(os.Stderr.Fd()))
	for _, f := range []*os.File{os.Stderr, os.Stdout} {
		if w, _, err := term.GetSize(int(f.Fd())); err == nil {
			env.Width = w
		}
	}
	return cli.Main(ctx, os.Args[1:], env)
}
