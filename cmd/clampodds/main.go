// Command clampodds tells how hot the edge of a conduction-cooled card runs
// behind its clamp, how likely it is to run too hot, and what to change.
package main

import (
	"fmt"
	"io"
	"os"
	"runtime/debug"
)

func main() {
	abortOnFatal()
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// run is the whole program. Tests call it as main does; nothing below it exits
// or prints on its own.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) (code int) {
	out, err := &stream{Writer: stdout}, messages{stderr}
	defer func() {
		if r := recover(); r != nil {
			fmt.Fprintf(err, "internal error: %v\n\n%s", r, debug.Stack())
			code = exitFailure
		}
	}()
	root := newRoot()
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(out)
	root.SetErr(err)
	ctx, stop := interruptible()
	defer stop()
	code = report(root.ExecuteContext(ctx), err)
	if out.failed != nil && code != exitFailure {
		code = report(failure(fmt.Errorf("writing the output: %w", out.failed)), err)
	}
	return code
}
