package decide

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"clampodds/sim"
	"clampodds/sim/result"
)

// Effect is what a change does to a design as written, on draws common to the design before
// and after it: it is shown, and does not decide (see Change).
type Effect struct {
	Setup
	// Before and After may differ in anything, but for what they are asked: the
	// requirements that both have are alike in limit and target.
	Before, After sim.Scenario
	// Steps are the design before with one of the differences each.
	Steps []sim.Scenario
	// Along are further limits to compare both designs at.
	Along []sim.Requirement
}

// EffectResult is what a change does to a design as written.
type EffectResult struct {
	// Requirements are those that both designs have; Differences, in their order, and Along
	// are counted, and each interval is of its own.
	Requirements       []sim.Requirement
	Differences, Along []Difference
	// Outputs compares the requirements' outputs.
	Outputs []OutputChange
	// Steps has the differences one at a time.
	Steps []StepChange
	Run   *sim.Result
}

// Difference is that of two probabilities on common draws.
type Difference = result.Difference

// StepChange is what one of the differences does by itself.
type StepChange struct {
	Name string
	// Differences has the requirements in the order of EffectResult.Requirements.
	Differences []Difference
	Outputs     []OutputChange
}

// Show compares the designs. An error says what cannot be compared, or is that of the run,
// or ErrStopped.
func (c *Effect) Show(ctx context.Context) (*EffectResult, error) {
	shared, err := sharedRequirements([]sim.Scenario{c.Before, c.After})
	if err != nil {
		return nil, err
	}
	parts, found, err := c.run(ctx, shared)
	if err != nil {
		return nil, err
	}
	r := &EffectResult{Requirements: shared, Run: found, Outputs: parts.changes(0, 1, c.Run.Confidence)}
	for _, q := range shared {
		r.Differences = append(r.Differences, c.countedDifference(exceedance(found.Pairs[0], q)))
	}
	for _, q := range c.Along {
		r.Along = append(r.Along, c.countedDifference(exceedance(found.Pairs[0], q)))
	}
	for i, step := range c.Steps {
		s := StepChange{Name: step.Name, Outputs: parts.changes(0, 2+i, c.Run.Confidence)}
		for _, q := range shared {
			s.Differences = append(s.Differences, c.countedDifference(exceedance(found.Pairs[1+i], q)))
		}
		r.Steps = append(r.Steps, s)
	}
	return r, nil
}

// sharedRequirements are those that all scenarios have. It is an error when one
// differs between them, or when there is none.
func sharedRequirements(scenarios []sim.Scenario) ([]sim.Requirement, error) {
	var shared []sim.Requirement
	for _, q := range scenarios[0].Requirements {
		everywhere := true
		for _, s := range scenarios[1:] {
			other, err := requirement(s.Requirements, q.Name)
			switch {
			case err != nil:
				everywhere = false
			case other != q:
				return nil, fmt.Errorf("requirement %q is not the same in %s and %s", q.Name, scenarios[0].Name, s.Name)
			}
		}
		if everywhere {
			shared = append(shared, q)
		}
	}
	if len(shared) == 0 {
		return nil, errors.New("the designs have no requirement in common")
	}
	return shared, nil
}

// run evaluates all designs on common draws.
func (c *Effect) run(ctx context.Context, shared []sim.Requirement) (*replicates, *sim.Result, error) {
	r := c.Run
	for i, s := range append([]sim.Scenario{c.Before, c.After}, c.Steps...) {
		s.Requirements = shared
		if i < 2 {
			s.Name += []string{", before", ", after"}[i] // the same file may be given twice
			s.Requirements = slices.Concat(shared, c.Along)
		}
		r.Scenarios = append(r.Scenarios, s)
	}
	parts, err := newReplicates(&r, outputsOf(shared))
	if err != nil {
		return nil, nil, err
	}
	found, err := complete(ctx, &r)
	return parts, found, err
}

// outputsOf lists the outputs of requirements, each once.
func outputsOf(list []sim.Requirement) []string {
	var names []string
	for _, q := range list {
		if !slices.Contains(names, q.Output) {
			names = append(names, q.Output)
		}
	}
	return names
}

// exceedance is that of a requirement both scenarios of the pair have.
func exceedance(p sim.Pair, q sim.Requirement) sim.PairedExceedance {
	i := slices.IndexFunc(p.Exceedances, func(e sim.PairedExceedance) bool { return e.Requirement == q.Name })
	return p.Exceedances[i]
}

// countedDifference is the difference as counted.
func (s *Setup) countedDifference(e sim.PairedExceedance) Difference {
	p, level := e.Paired(), s.Run.Confidence
	return Difference{Value: p.Difference(), Interval: sim.Interval{Low: p.ScoreLower(level), High: p.ScoreUpper(level)}, Level: level}
}
