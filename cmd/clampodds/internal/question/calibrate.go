package question

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"clampodds/cmd/clampodds/internal/rig"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim/calibrate"
)

// Calibrate narrows inputs of a study by thermal readings.
type Calibrate struct {
	rig.Options
	Update    []string // keys of the inputs
	Condition string   // that the readings were taken in; empty for the study as written
}

// Calibrated is a calibration that is done.
type Calibrated struct {
	Result reports.Calibration

	read   *study.Study // as written; what the fragment extends
	used   *study.Study // in the condition of the readings
	table  *rig.Table
	wired  *rig.Calibration
	result *calibrate.Result
	inputs []narrowed
}

// Ask reads the table in a file and solves. Output is where the fragment in the result is to be written; empty: beside the study.
func (c Calibrate) Ask(ctx context.Context, read *study.Study, m Sampling, data, output string, progress Progress) (*Calibrated, error) {
	text, _, err := readData(data)
	if err != nil {
		return nil, err
	}
	if read.Chassis != nil {
		return nil, errors.New("a rig holds a card: calibrate its own study, the chassis then reads what was learnt from that")
	}
	read = read.Averaged() // each card by itself
	table, err := rig.Read(data, text, c.Options)
	if err != nil {
		return nil, err
	}
	used := read
	if c.Condition != "" {
		if used, err = read.Condition(c.Condition); err != nil {
			return nil, err
		}
	}
	wired, err := table.Calibrate(used, c.Update)
	if err != nil {
		return nil, err
	}
	show, clear := progress.start("responses")
	defer clear()
	p := &wired.Problem
	p.Confidence, p.Seed, p.Workers, p.Draws, p.Progress = read.Run.Confidence, m.seed(read), m.Workers, int(m.Samples), show
	found, err := p.Solve(ctx)
	switch {
	case ctx.Err() != nil:
		return nil, ErrInterrupted
	case err != nil:
		return nil, err
	}
	done := &Calibrated{read: read, used: used, table: table, wired: wired, result: found}
	for _, m := range found.Marginals {
		in := used.Input(m.Name)
		source := fmt.Sprintf(study.PosteriorSource+"%d rows of %s; before: %s; clampodds %s", len(table.Lines), filepath.Base(table.Name), in.Typed, Version)
		done.inputs = append(done.inputs, newNarrowed(in, m, source))
	}
	done.Result = done.report()
	done.Result.Fragment = done.Fragment(read, output)
	return done, nil
}

// MayCarry refuses another study that is to know the same but has other faces.
func (c Calibrate) MayCarry(read, other *study.Study) error {
	return study.Carries(read.Averaged(), other.Averaged(), c.Update)
}
