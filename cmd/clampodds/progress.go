package main

import (
	"io"
	"time"

	"clampodds/cmd/clampodds/internal/question"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"
)

// progress returns a function that shows how far a run is, for sim's Progress
// hook, and one that clears the line. A command may run several times; each run
// starts the bar anew. Nothing is shown unless stderr is a
// terminal and the user has not asked for quiet: logs and pipes stay clean.
func progress(stderr io.Writer, quiet bool, what string) (show func(done, total int64), clear func()) {
	if quiet || !isTerminal(stderr) {
		return nil, func() {}
	}
	var bar *progressbar.ProgressBar
	var shown int64
	show = func(done, total int64) {
		if bar == nil || done < shown {
			bar = progressbar.NewOptions64(total,
				progressbar.OptionSetWriter(file(stderr)),
				progressbar.OptionSetDescription(what),
				progressbar.OptionShowCount(),
				progressbar.OptionThrottle(100*time.Millisecond),
				progressbar.OptionClearOnFinish())
		}
		shown = done
		_ = bar.Set64(done) // a bar that cannot be drawn is no reason to stop
	}
	return show, func() {
		if bar != nil {
			_ = bar.Clear()
		}
	}
}

// progress is the same for package question.
func (s *shared) progress(cmd *cobra.Command) question.Progress {
	return func(what string) (func(done, total int64), func()) { return progress(cmd.ErrOrStderr(), s.quiet, what) }
}
