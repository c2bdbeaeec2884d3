package question

import (
	"context"
	"fmt"
	"time"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

// Keeping says where a count that takes long is kept, so that it can go on after a break.
type Keeping struct {
	// Kept is what was counted before; nil for nothing.
	Kept *Part
	// Keep gets all that was counted so far, about Every so often, and at the end or when an interrupt came.
	// nil: never.
	Keep  func(*Part) error
	Every time.Duration
}

// CountPart counts a part of a run of a study: the whole run is part 1 of 1. An interrupt ends it
// early; the error is a Stopped then.
func CountPart(ctx context.Context, s *study.Study, run *sim.Run, d Division, k Keeping) (*sim.Portion, *Part, error) {
	rows, own := int64(0), *run
	if run.Progress != nil {
		own.Progress = func(done, _ int64) { run.Progress(done, rows) }
	}
	portion, err := k.begin(s, &own, d)
	if err != nil {
		return nil, nil, err
	}
	first, end := d.of(portion.Blocks())
	rows = portion.Rows(first, end)
	step := end - first
	if k.Keep != nil {
		step = 1
	}
	for portion.End() < end && ctx.Err() == nil {
		before, begun := portion.End(), time.Now()
		if err := portion.Count(ctx, min(before+step, end)); err != nil {
			return nil, nil, err
		}
		if k.Keep != nil {
			if err := k.keep(s, &own, d, portion); err != nil {
				return nil, nil, err
			}
			step = blocksFor(portion.End()-before, time.Since(begun), k.Every)
		}
	}
	if portion.End() < end {
		return nil, nil, Stopped(fmt.Sprintf("stopped after %d of %d cards", portion.Rows(first, portion.End()), rows))
	}
	part, err := newPart(s, &own, d, portion)
	return portion, part, err
}

func (k Keeping) keep(s *study.Study, run *sim.Run, d Division, portion *sim.Portion) error {
	part, err := newPart(s, run, d, portion)
	if err != nil {
		return err
	}
	return k.Keep(part)
}

// begin is what was counted before, or nothing yet.
func (k Keeping) begin(s *study.Study, run *sim.Run, d Division) (*sim.Portion, error) {
	if k.Kept == nil {
		empty, err := run.Portion(0)
		if err != nil {
			return nil, err
		}
		first, _ := d.of(empty.Blocks())
		return run.Portion(first)
	}
	portion, err := k.Kept.portion(s, run)
	if err == nil && k.Kept.Division != d {
		err = fmt.Errorf("it is %s, not %s", k.Kept.Division, d)
	}
	return portion, err
}

// blocksFor is how many blocks to do next, when some took so long and are to take another time: at most
// ten times as many.
func blocksFor(done int64, took, wanted time.Duration) int64 {
	ratio := min(float64(wanted)/float64(max(took, time.Microsecond)), 10)
	return max(int64(float64(done)*ratio), 1)
}

// NamedPart is a part with the name of its file.
type NamedPart struct {
	Name string
	*Part
}

// Merge adds up the parts of a run of a study, in any order. A part that is missing, doubled or of
// another run is refused by name.
func Merge(s *study.Study, run *sim.Run, parts []NamedPart) (*sim.Result, error) {
	byPart := make([]*NamedPart, parts[0].Parts)
	for i := range parts {
		p := &parts[i]
		if p.Parts != len(byPart) {
			return nil, fmt.Errorf("%s is %s, %s one of %d", p.Name, p.Division, parts[0].Name, len(byPart))
		}
		if other := byPart[p.Number-1]; other != nil {
			return nil, fmt.Errorf("%s and %s are both %s", other.Name, p.Name, p.Division)
		}
		byPart[p.Number-1] = p
	}
	if missing := missingParts(byPart); missing != "" {
		return nil, fmt.Errorf("missing of %d parts: %s", len(byPart), missing)
	}
	whole, err := run.Portion(0)
	if err != nil {
		return nil, err
	}
	for _, p := range byPart {
		portion, err := p.portion(s, run)
		if _, end := p.of(whole.Blocks()); err == nil && p.End != end {
			err = fmt.Errorf("it is not finished: %d of %d blocks", p.End-p.First, end-p.First)
		}
		if err == nil {
			err = whole.Add(portion)
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", p.Name, err)
		}
	}
	return whole.Result(), nil
}

// missingParts lists the numbers of parts that are not there, the first of many.
func missingParts(byPart []*NamedPart) (list string) {
	const most = 20
	n := 0
	for i, p := range byPart {
		switch {
		case p != nil:
			continue
		case n == most:
			return list + ", ..."
		case n > 0:
			list += ", "
		}
		list += fmt.Sprint(i + 1)
		n++
	}
	return list
}
