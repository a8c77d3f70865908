// Command selvage measures the scans of a tooth prepared for a crown and says what
// to do next. Run it without arguments for its help.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"

	"golang.org/x/term"

	"selvage/internal/cli"
	"selvage/internal/web"
)

// heapGrowth is by how many per cent of what is alive the heap may grow before it is
// collected. A check holds a few hundred megabytes in some dozens of arrays without
// pointers, which cost a collection nothing to mark: to collect four times as often as
// by default takes no time that can be measured and saves nearly half of the memory. Who
// sets GOGC is obeyed.
const heapGrowth = 25

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(heapGrowth)
	}
	os.Exit(run())
}

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
