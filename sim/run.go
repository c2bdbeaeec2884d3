package sim

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
)

// MostSamples is the largest run that is accepted, from a study and from the command line: at a microsecond a row it
// takes a day. Some counts are an int.
const MostSamples = min(100_000_000_000, math.MaxInt)

// mostBlockRows bounds the memory of a block.
const mostBlockRows = 1 << 20

// LeastReplicates is the smallest number of blocks of a run whose blocks are
// the independent replicates: fewer say too little about their scatter
// (L'Ecuyer & Lemieux 2002).
const LeastReplicates = 10

// ErrNoRandomInput says that a scenario has nothing random to sample.
var ErrNoRandomInput = errors.New("no input is random: one evaluation at the nominal values tells all")

// Scenario is one design or condition of a run. All scenarios of a run take
// common draws: variables of one name get the same points of the unit cube in
// all of them.
type Scenario struct {
	Name         string
	Inputs       *Inputs
	Model        Model
	Requirements []Requirement
}

// Requirement is a limit on one output and how often it may be exceeded.
type Requirement struct {
	// Name is unique in its scenario; the same name in several scenarios
	// pairs them.
	Name string
	// Output is the name of the output.
	Output string
	// Limit is in the unit of the output. A row exceeds it when y > Limit, and
	// when y is +Inf: an outcome without a value holds no requirement.
	Limit float64
	// Below turns the limit into a least value: a row exceeds it when
	// y < Limit or y is +Inf.
	Below bool
	// Target is the largest acceptable probability for a row, in (0, 1);
	// 0 for none.
	Target float64
}

// Exceeded reports whether the value y of the output exceeds the requirement.
func (q Requirement) Exceeded(y float64) bool {
	if q.Below {
		return y < q.Limit || y > math.MaxFloat64
	}
	return y > q.Limit
}

// ExceededBy says of each value whether it exceeds the requirement.
func (q Requirement) ExceededBy(y []float64) []bool {
	exceeds := make([]bool, len(y))
	for r, value := range y {
		exceeds[r] = q.Exceeded(value)
	}
	return exceeds
}

// Run is a Monte Carlo run: what to evaluate, how often and how.
type Run struct {
	// Scenarios are evaluated on common draws; the first is the one that the
	// others are compared with. Their inputs have the same rows per group.
	Scenarios []Scenario
	// Sampler lays out the points.
	Sampler Sampler
	// Seed fixes all random numbers; every value is valid, 0 included.
	Seed uint64
	// Samples is the number of rows of each scenario, 1 to MostSamples; rounded
	// up to whole groups, and to whole blocks where blocks are the replicates.
	Samples int64
	// Pilot, if above 0, is how many rows ExecuteUntil draws, and no more, for a goal that takes over ten times the most.
	Pilot int64
	// BlockRows is the number of rows worked on together, a part of what the
	// results depend on; rounded down to whole groups. 0 chooses 1024, or for a
	// sampler with dependent points the power of 2 in 16...4096 that gives
	// about 32 blocks.
	BlockRows int
	// Workers is the number of goroutines; 0 for one per processor. Results do
	// not depend on it.
	Workers int
	// Confidence is the level of all intervals, in (0, 1).
	Confidence float64
	// AllPairs compares every two scenarios, not only each with the first.
	AllPairs bool
	// NoPairs compares none: of many scenarios that takes time. Result.InAny is then of the first alone.
	NoPairs bool
	// LimitsOnly counts the requirements and keeps no output's distribution.
	LimitsOnly bool
	// Spares, if set, has for each scenario others before it that spare rows: one in which none of them
	// exceeds any of its requirements is taken to exceed none here, and is not evaluated. That holds
	// where the scenarios move one way between two of them, and can be helped by requirements that are
	// stricter there. nil for a scenario evaluates all its rows. Only with LimitsOnly.
	Spares [][]int
	// Only, if set, names the outputs whose distributions are kept; of other outputs nothing
	// is.
	Only []string
	// Progress, if set, is told the number of rows done and in all after every
	// block. Calls do not overlap.
	Progress func(done, total int64)
	// Draws, if set, gets the inputs and outputs of every row: blocks in
	// order, in each block the scenarios in order. Calls do not overlap; the
	// columns are valid during the call. An error ends the run.
	Draws func(block int64, scenario int, x, y [][]float64) error
	// watch, if set, gets the outputs of every block of the first scenario, in
	// any order. Calls do not overlap.
	watch func(block int64, y [][]float64)
}

// Execute does the run. The result depends on the Run alone, to the last bit,
// and not on Workers. A cancelled context ends the run early: the result then
// holds the blocks up to some block, without a gap, and Complete is false.
//
// Errors are those of an invalid Run, of Draws, and a NaN output (with its
// block and row). A panic of the model is raised again from Execute. The Run
// is not changed; Execute may be called concurrently if Progress and Draws
// allow it.
func (r *Run) Execute(ctx context.Context) (*Result, error) {
	if err := r.check(); err != nil {
		return nil, err
	}
	e := newEngine(r)
	if err := e.work(ctx, e.layout.blocks); err != nil {
		return nil, err
	}
	return e.result(), nil
}

// check refuses an invalid run.
func (r *Run) check() error {
	switch {
	case len(r.Scenarios) == 0:
		return fmt.Errorf("no scenario to run")
	case r.Sampler == nil:
		return fmt.Errorf("no sampling plan")
	case r.Samples < 1 || r.Samples > MostSamples:
		return fmt.Errorf("samples: %d, must be 1 to %d", r.Samples, int64(MostSamples))
	case r.BlockRows < 0 || r.BlockRows > mostBlockRows:
		return fmt.Errorf("block rows: %d, must be 0 to %d", r.BlockRows, mostBlockRows)
	case r.Workers < 0:
		return fmt.Errorf("workers: %d, must not be negative", r.Workers)
	case !(r.Confidence > 0 && r.Confidence < 1):
		return fmt.Errorf("confidence: %v, must be above 0 and below 1", r.Confidence)
	}
	names := map[string]bool{}
	if err := r.checkSpares(); err != nil {
		return err
	}
	for i, s := range r.Scenarios {
		if names[s.Name] {
			return fmt.Errorf("duplicate scenario %q", s.Name)
		}
		names[s.Name] = true
		if err := s.check(); err != nil {
			return fmt.Errorf("scenario %d %q: %w", i+1, s.Name, err)
		}
		if have, want := s.Inputs.RowsPerGroup(), r.Scenarios[0].Inputs.RowsPerGroup(); have != want {
			return fmt.Errorf("scenario %q has %d rows in a group, the first scenario %d: they cannot share draws", s.Name, have, want)
		}
	}
	l := newLayout(r)
	if l.replicates && l.blocks < LeastReplicates {
		return fmt.Errorf("samples: %d rows make %d blocks of %d; %s needs at least %d for an interval",
			r.Samples, l.blocks, l.blockRows, r.Sampler.Name(), LeastReplicates)
	}
	return nil
}

// check refuses an invalid scenario.
func (s Scenario) check() error {
	if s.Inputs == nil || s.Model == nil {
		return fmt.Errorf("inputs or model missing")
	}
	if len(s.Inputs.Variables()) == 0 {
		return ErrNoRandomInput
	}
	outputs := map[string]bool{}
	for _, o := range s.Model.Outputs() {
		if outputs[o.Name] || !(o.Bin >= 0 && o.Bin <= math.MaxFloat64) {
			return fmt.Errorf("output %q: a duplicate, or of an impossible bin width %v", o.Name, o.Bin)
		}
		outputs[o.Name] = true
	}
	names := map[string]bool{}
	for _, q := range s.Requirements {
		switch {
		case names[q.Name]:
			return fmt.Errorf("duplicate requirement %q", q.Name)
		case !outputs[q.Output]:
			return fmt.Errorf("requirement %q: no output %q", q.Name, q.Output)
		case !(math.Abs(q.Limit) <= math.MaxFloat64):
			return fmt.Errorf("requirement %q: limit %v, must be finite", q.Name, q.Limit)
		case !(q.Target >= 0 && q.Target < 1):
			return fmt.Errorf("requirement %q: target probability %v, must be above 0 and below 1, or 0 for none", q.Name, q.Target)
		}
		names[q.Name] = true
	}
	return nil
}

// outputIndex returns the position of an output known to exist.
func (s Scenario) outputIndex(name string) int {
	return slices.IndexFunc(s.Model.Outputs(), func(o Output) bool { return o.Name == name })
}
