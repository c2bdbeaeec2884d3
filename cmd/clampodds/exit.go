package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"strings"
	"syscall"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// The exit codes, the same for every command and format.
const (
	exitDone      = 0 // done, every requirement met
	exitFailure   = 1 // the machine, the file system or the program failed, or the run was interrupted
	exitUsage     = 2 // the command line or the input is wrong
	exitNotMet    = 3 // done, a requirement is not met
	exitUndecided = 4 // done, the evidence does not decide
)

// outcome is an error that carries its exit code. A nil err prints nothing: the
// answer is in the result already.
type outcome struct {
	code int
	err  error
}

func (o outcome) Error() string {
	if o.err == nil {
		return fmt.Sprintf("exit %d", o.code)
	}
	return o.err.Error()
}

func (o outcome) Unwrap() error { return o.err }

// usage marks an error of the command line or the input.
func usage(err error) error { return outcome{exitUsage, err} }

// failure marks an error of the environment.
func failure(err error) error { return outcome{exitFailure, err} }

// unanswered marks what nobody marked: an interrupt and what the operating system would not do are
// failures, all else is wrong input.
func unanswered(err error) error {
	switch {
	case err == nil:
		return nil
	case errors.As(err, new(outcome)):
		return err
	case errors.As(err, new(question.Stopped)):
		return failure(err)
	case errors.Is(err, decide.ErrStopped):
		return failure(question.ErrInterrupted)
	case errors.As(err, new(files.Refused)):
		return usage(err)
	case errors.As(err, new(question.FileError)), errors.As(err, new(files.Failed)):
		return failure(err)
	}
	if errors.As(err, new(question.Refused)) { // one a line; its parts are named as the flags are
		return usage(errors.New("--" + strings.ReplaceAll(err.Error(), "\n", "\n--")))
	}
	return usage(errors.New(strings.TrimRight(flagNames.Replace(err.Error()), "\n")))
}

// flagNames turns the names of options into those of the flags.
var flagNames = strings.NewReplacer(
	"\n\nDid you mean this?\n\t", "; did you mean: ", "\n\t", " or ", "rare: ", "", "Options.Evaluations", "--evaluations", "Options.RelativeError", "--relative-error", "Options.Level", "confidence", "Options.Rows", "--samples")

// report prints err, if there is something to print, and returns the exit code.
func report(err error, stderr io.Writer) int {
	o := outcome{code: exitDone}
	if errors.As(err, &o); o.err != nil {
		fmt.Fprintln(stderr, o.err)
	}
	return o.code
}

// verdicts turns the verdicts of all requirements into an outcome: one not met
// decides, then one undecided.
func verdicts(all ...sim.Verdict) error {
	switch sim.All(all...) {
	case sim.NotMet:
		return outcome{code: exitNotMet}
	case sim.Undecided:
		return outcome{code: exitUndecided}
	}
	return nil
}

// interruptible returns a context that an interrupt cancels, so that a run ends
// with what it has. A second one ends the program at once.
func interruptible() (context.Context, func()) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)
	return ctx, stop
}

// abortOnFatal lets what the runtime cannot go on from, such as want of memory, end the program by
// SIGABRT, 134 to a shell: its own exit code for that is 2, which says here that the input is
// wrong. A reader of the output that is gone does not end the program by SIGPIPE: its code is still
// the verdict.
func abortOnFatal() {
	debug.SetTraceback("crash")
	noCoreFile()
	signal.Ignore(syscall.SIGPIPE)
}
