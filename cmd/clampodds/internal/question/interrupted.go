package question

import "context"

// Stopped says that an interrupt ended the work before there was an answer.
type Stopped string

func (s Stopped) Error() string { return string(s) }

// untilInterrupted does work that gives nothing when stopped half-way. An
// interrupt leaves it behind, to end with the program.
func untilInterrupted(ctx context.Context, work func() error) error {
	done := make(chan error, 1)
	go func() { done <- work() }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
		return Stopped("interrupted: no result")
	}
}
