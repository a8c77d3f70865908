package cli

import (
	"strings"

	"github.com/schollz/progressbar/v3"
)

// progress shows one moving line on a terminal and nothing anywhere else: a log
// file wants results, not movement.
type progress struct {
	env Env
	bar *progressbar.ProgressBar
}

func newProgress(env Env) *progress { return &progress{env: env} }

// show says that a phase of the work begins, done of total being finished.
func (p *progress) show(phase string, done, total int) {
	if !p.env.Terminal {
		return
	}
	if p.bar == nil {
		p.bar = progressbar.NewOptions(total,
			progressbar.OptionSetWriter(p.env.Stderr),
			progressbar.OptionSetWidth(24),
			progressbar.OptionClearOnFinish(),
			progressbar.OptionSetElapsedTime(false),
			progressbar.OptionSetPredictTime(false),
			progressbar.OptionSetTheme(progressbar.Theme{Saucer: "#", SaucerPadding: ".", BarStart: "[", BarEnd: "]"}),
		)
	}
	const longest = 24 // of the phases' names, so that the bar stands still
	p.bar.Describe(phase + strings.Repeat(" ", max(0, longest-len(phase))))
	_ = p.bar.Set(done) // a line that cannot be drawn is no reason to stop
}

// done removes the line. It may be called more than once.
func (p *progress) done() {
	if p.bar != nil {
		_ = p.bar.Finish()
		p.bar = nil
	}
}
