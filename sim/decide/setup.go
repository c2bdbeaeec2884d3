package decide

import (
	"context"
	"errors"
	"fmt"

	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/strata"
)

// ErrStopped says that the context ended the work before there was an answer.
var ErrStopped = errors.New("stopped before the end")

// Setup is how probabilities are found, the same for every question.
type Setup struct {
	// Run has sampler, seed, samples, workers, confidence and progress. Its
	// scenarios and draws are set by the questions.
	Run sim.Run
	// Events lists, for the tail methods, the events any of which makes a row
	// exceed a requirement, itself first; nil for itself alone. See tail.NewState.
	Events func(q sim.Requirement) []sim.Requirement
	// Evaluations bounds the rows that each estimate by tail methods takes; see
	// rare.Options.
	Evaluations int
	// Accuracy is the half-width wanted of the interval of a probability, over the
	// probability; 0 is DefaultAccuracy. Policy says what must hold for a requirement
	// to be met.
	Accuracy float64
	Policy   Policy

	verdictAlone bool // no number is shown: a first look that tells is enough
}

// stopped is err, or ErrStopped when the context is done.
func stopped(ctx context.Context, err error) error {
	if err != nil && ctx.Err() != nil {
		return ErrStopped
	}
	return err
}

// complete executes a run to its end.
func complete(ctx context.Context, r *sim.Run) (*sim.Result, error) {
	found, err := r.Execute(ctx)
	if err != nil {
		return nil, err
	}
	if !found.Complete {
		return nil, ErrStopped
	}
	return found, nil
}

// concurrently does n tasks on as many goroutines as the run may use and returns
// the first error in their order.
func (s *Setup) concurrently(ctx context.Context, n int, task func(i int) error) error {
	err := batch.Each(ctx, s.Run.Workers, n, task)
	return stopped(ctx, err)
}

// newCourse is a course of about so many rows that a scenario leads.
func (s *Setup) newCourse(ctx context.Context, lead sim.Scenario, q sim.Requirement, most int64) (*strata.Course, error) {
	c, err := strata.NewCourse(ctx, lead, q, strata.Options{Most: most, Confidence: s.Run.Confidence, Seed: s.Run.Seed, Workers: s.Run.Workers})
	return c, stopped(ctx, err)
}

// requirement returns the requirement of a name.
func requirement(list []sim.Requirement, name string) (sim.Requirement, error) {
	for _, q := range list {
		if q.Name == name {
			return q, nil
		}
	}
	return sim.Requirement{}, fmt.Errorf("no requirement %q", name)
}
