// Command clampodds tells how hot the edge of a conduction-cooled card runs
// behind its clamp, how likely it is to run too hot, and what to change.
package main

import (
	"io"
	"os"
)

func main() {
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// run is the whole program. Tests call it as main does; nothing below it exits
// or prints on its own.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	root := newRoot()
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	ctx, stop := interruptible()
	defer stop()
	return report(root.ExecuteContext(ctx), stderr)
}
