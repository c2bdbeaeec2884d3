package question

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/sim"
)

// Checkpoint is a file in which a count that takes long is kept, so that it can go on after a break. The zero value
// keeps nothing.
type Checkpoint struct {
	File  string
	Every time.Duration // about; and at the end or when an interrupt came
	Read  *files.Inputs // what is not written over
}

// hold takes the file until release is called, and reads what was counted before: nil for nothing.
func (at Checkpoint) hold() (kept *Part, release func(), err error) {
	if at.File == "" {
		return nil, func() {}, nil
	}
	if err = at.Read.MayWrite(at.File, true); err == nil {
		release, err = files.Hold(at.File)
	}
	if err != nil {
		return nil, nil, err
	}
	if kept, err = PartIn(at.File); err != nil && !errors.Is(err, fs.ErrNotExist) {
		release()
		return nil, nil, err
	}
	return kept, release, nil
}

// about names the file in what is wrong with what it kept, and after an interrupt.
func (at Checkpoint) about(kept *Part, err error) error {
	switch {
	case at.File == "":
		return err
	case errors.As(err, new(Stopped)):
		return fmt.Errorf("%w: the same command goes on from %s", err, at.File)
	case kept != nil && err != nil && !errors.As(err, new(files.Failed)) && !errors.As(err, new(files.Refused)):
		return fmt.Errorf("%s: %w", at.File, err)
	}
	return err
}

// count counts blocks up to end, and keeps them every so often.
func (at Checkpoint) count(ctx context.Context, portion *sim.Portion, end int64, keep func() error) error {
	step := end - portion.End()
	if at.File != "" {
		step = 1
	}
	for portion.End() < end && ctx.Err() == nil {
		before, begun := portion.End(), time.Now()
		if err := portion.Count(ctx, min(before+step, end)); err != nil {
			return err
		}
		if err := keep(); err != nil {
			return err
		}
		step = blocksFor(portion.End()-before, time.Since(begun), at.Every)
	}
	return nil
}

// blocksFor is how many blocks to do next, when some took so long and are to take another time: at most
// ten times as many.
func blocksFor(done int64, took, wanted time.Duration) int64 {
	ratio := min(float64(wanted)/float64(max(took, time.Microsecond)), 10)
	return max(int64(float64(done)*ratio), 1)
}
