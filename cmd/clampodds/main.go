// Command clampodds tells how hot the edge of a conduction-cooled card runs
// behind its clamp, how likely it is to run too hot, and what to change.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"

	"clampodds/cmd/clampodds/internal/terminal"
)

func main() {
	keepHeap()
	abortOnFatal()
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// keepHeap has garbage collected where the heap has grown by 40 per cent: columns are used again and again,
// so that a tight heap costs little. The environment variables GOGC and GOMEMLIMIT, where they are set, go first.
func keepHeap() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(40)
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		limitMemory()
	}
}

// limitMemory has the runtime give back to the system what the parts of an answer leave free. The limit is
// moved after every collection, well above what is in use: at a fixed one garbage would be collected ever sooner.
func limitMemory() {
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(live)
	limit := max(70<<20, int64(live[0].Value.Uint64()*3/2))
	debug.SetMemoryLimit(limit)
	runtime.SetFinalizer(new(*byte), func(**byte) {
		if debug.SetMemoryLimit(-1) == limit { // else a command has set its own
			limitMemory()
		}
	})
}

// run is the whole program. Tests call it as main does; nothing below it exits
// or prints on its own.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) (code int) {
	out, notes := &terminal.Output{Writer: stdout}, terminal.Messages{Writer: stderr}
	defer func() {
		if r := recover(); r != nil {
			fmt.Fprintf(notes, "internal error: %v\n\n%s", r, debug.Stack())
			code = exitFailure
		}
	}()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0)) // --workers limits it
	root := newRoot()
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(out)
	root.SetErr(notes)
	ctx, stop := interruptible()
	defer stop()
	failed := unanswered(root.ExecuteContext(ctx))
	if o := (outcome{}); out.Failed != nil && !(errors.As(failed, &o) && o.code == exitFailure) {
		failed = failure(fmt.Errorf("writing the output: %w", out.Failed))
	}
	return report(failed, notes)
}
