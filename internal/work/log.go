package work

import (
	"log/slog"
	"os"
)

// quiet is a log for the queue's own warnings. It never holds a word about a case.
func quiet() *slog.Logger {
	return slog.New(slog.NewTextHandler(os.Stderr, &slog.HandlerOptions{Level: slog.LevelError}))
}
