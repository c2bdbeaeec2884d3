package question

import (
	"context"
	"fmt"
)

// Refused says which part of what was asked is wrong, by the name of its field in lower
// case.
type Refused struct {
	Part string
	Err  error // begins with the value
}

func (r Refused) Error() string { return r.Part + " " + r.Err.Error() }

func (r Refused) Unwrap() error { return r.Err }

func refused(part, format string, args ...any) Refused {
	return Refused{part, fmt.Errorf(format, args...)}
}

// Stopped says that an interrupt ended the work before there was an answer.
type Stopped string

func (s Stopped) Error() string { return string(s) }

// Interrupted are the words of every command that an interrupt ended; what was finished may
// follow.
const Interrupted = "interrupted before the end"

// ErrInterrupted is the end of work that leaves nothing.
const ErrInterrupted = Stopped(Interrupted + ": no result")

// ErrIncomplete is the end of work that leaves a part of its result.
const ErrIncomplete = Stopped(Interrupted + ": the result is incomplete")

// untilInterrupted does work that gives nothing when stopped half-way. An
// interrupt leaves it behind, to end with the program.
func untilInterrupted(ctx context.Context, work func() error) error {
	done := make(chan error, 1)
	go func() { done <- work() }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
		return ErrInterrupted
	}
}
