package sim

import (
	"context"
	"fmt"
	"math"
)

// Goal is a number of a run's first scenario that is to be known well enough:
// KnownProbability, KnownPercentile or StableDigits.
type Goal interface {
	// begin checks the goal and returns the rows to start with, and how to look at
	// a result. It may set the watch of the run.
	begin(r *Run) (rows int64, look look, err error)
}

// look returns the half-width that a result has and the one wanted, the number
// of rows to go on to, and that which is expected to do.
type look func(r *Result) (have, want, next, needed float64)

// Reached is what became of a goal.
type Reached struct {
	// Width is the half-width reached, Wanted the one asked for: over the value
	// for a probability, else in the unit of the output. It is infinite where an
	// end of the interval is not available.
	Width, Wanted float64
	// Reached says that Width is at most Wanted.
	Reached bool
	// Looks is how often the width was looked at, the last time included.
	Looks int
	// Needed is the number of rows in all that would do if rows go on to scatter
	// as they did; 0 when reached, math.MaxInt64 when no number can be told.
	Needed int64
	// GaveUp says that no more than a pilot was drawn.
	GaveUp bool
}

const (
	// spare is what a stage is planned longer than its prediction, so that the
	// next look is mostly the last.
	spare = 1.03
	// mostGrowth bounds a stage, since few events predict badly.
	mostGrowth = 10
	// hopeless is how many times the most a goal may take before no more than a pilot is drawn for it.
	hopeless = 10
)

// ExecuteUntil does the run in stages: a first sample predicts how many rows the
// goal takes, and the run goes on to that number; should the goal be missed, it
// predicts again. A run is at most `most` rows, whole blocks. Samples plays no
// part. The result is, bit for bit, that of Execute with as many samples and the
// same BlockRows (0 means 1024 here, 2048 for dependent points), and has Reached.
//
// Looks read the width of the interval and nothing else. What that costs in
// coverage is of the order of one over the number of events, since width and
// value of a probability go together a little (Anscombe, Proc. Camb. Phil. Soc.
// 48 (1952) 600); tests repeat whole runs and find no coverage below the level.
// The verdict on a requirement decides nothing here: it is judged once, at the
// end.
//
// Errors and cancellation are as in Execute.
func (r *Run) ExecuteUntil(ctx context.Context, goal Goal, most int64) (*Result, error) {
	run := *r
	if run.Sampler == nil || len(run.Scenarios) == 0 {
		return nil, run.check()
	}
	if run.BlockRows == 0 {
		run.BlockRows = 1024
		if run.Sampler.Dependent() {
			run.BlockRows = 2048
		}
	}
	first, look, err := goal.begin(&run)
	if err != nil {
		return nil, err
	}
	if run.Samples, err = run.wholeBlocks(min(first, most), most); err != nil {
		return nil, err
	}
	if err := run.check(); err != nil {
		return nil, err
	}
	e := newEngine(&run)
	for looks := 1; ; looks++ {
		if err := e.work(ctx, e.layout.blocks); err != nil {
			return nil, err
		}
		result := e.result()
		have, want, next, needed := look(result)
		result.Reached = &Reached{Width: have, Wanted: want, Reached: have <= want, Looks: looks}
		least := leastNeeded(goal, result, needed)
		giveUp := run.Pilot > 0 && least/hopeless > float64(most)
		if giveUp {
			next, needed = min(next, float64(run.Pilot)), least
		}
		rows, err := run.wholeBlocks(int64(min(next, float64(most), mostGrowth*float64(run.Samples))), most)
		if have <= want || !result.Complete || err != nil || rows <= run.Samples {
			result.Reached.needed(needed)
			result.Reached.GaveUp = giveUp && have > want && result.Complete && err == nil
			return result, nil
		}
		e.extend(rows)
	}
}

// leastNeeded is what a goal takes at least: as many as needed or, of a probability of which nothing was seen, as many as at its
// bound. 0 where nothing can be told.
func leastNeeded(goal Goal, r *Result, needed float64) float64 {
	if !math.IsInf(needed, 1) {
		return needed
	}
	if g, ok := goal.(KnownProbability); ok {
		return g.least(r)
	}
	return 0
}

// needed sets the number of rows that would do.
func (u *Reached) needed(rows float64) {
	switch {
	case u.Reached:
	case rows < 1e18:
		u.Needed = int64(rows)
	default:
		u.Needed = math.MaxInt64
	}
}

// wholeBlocks rounds a number of rows up to whole blocks, or down where that is
// more than most.
func (r *Run) wholeBlocks(rows, most int64) (int64, error) {
	block := int64(newLayout(r).blockRows)
	blocks := (rows + block - 1) / block
	if blocks*block > most {
		blocks = most / block
	}
	if blocks < 1 || (r.Sampler.Dependent() && blocks < LeastReplicates) {
		return 0, fmt.Errorf("at most %d rows: blocks of %d are too few of them for an interval", most, block)
	}
	return blocks * block, nil
}

// predict is the number of rows for a half-width that shrinks with the square
// root of it, and infinite without a width.
func predict(rows int64, have, want float64) float64 {
	return math.Ceil(float64(rows) * spare * (have / want) * (have / want))
}
