package loosen

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"clampodds/dist"
	"clampodds/sim"
)

// Step is one tolerance on offer.
type Step struct {
	// Factor multiplies spread or size of the input as it is, 0 or above.
	Factor float64
	// Cost is in any unit that all steps share, finite.
	Cost float64
}

// Choice are the steps on offer for one input.
type Choice struct {
	Input string
	Steps []Step
}

// MostSets bounds the number of combinations.
const MostSets = 100_000

// Set is one combination of steps.
type Set struct {
	// Steps has the step taken of each Choice.
	Steps []int
	Cost  float64
	// Point is what it does on the draws of the search.
	Point Point
}

// Cheapest is the answer to which set costs least.
type Cheapest struct {
	// Best is the cheapest set that is shown to meet every requirement; nil when
	// none is.
	Best *Set
	// Confirmed is Best on fresh draws, of the seed FreshSeed.
	Confirmed Point
	FreshSeed uint64
	// Undecided is the cheapest set below Best's cost that more samples might
	// show to meet every requirement; nil when there is none.
	Undecided *Set
	// Sets is the number of combinations, Evaluated of how many were evaluated;
	// the others cost more or are at least as wide as one that missed.
	Sets, Evaluated int
}

// setsAtOnce is the number of sets evaluated in one run.
const setsAtOnce = 8

// Cheapest finds the set of lowest cost that meets every requirement. Of sets
// of equal cost the one earlier in the order of choices and steps wins.
//
// Errors name a choice that is empty or a duplicate, an input that does not
// scatter, a step out of range, more than MostSets combinations; and are those
// of the runs.
func (s *Search) Cheapest(ctx context.Context, choices []Choice) (Cheapest, error) {
	sets, err := s.sets(choices)
	if err != nil {
		return Cheapest{}, err
	}
	found := Cheapest{Sets: len(sets), FreshSeed: s.run.Seed + 1}
	var missed []Set
	for len(sets) > 0 && found.Best == nil {
		var batch []Set
		batch, sets = nextSets(choices, sets, missed)
		if err := s.evaluateSets(ctx, choices, batch); err != nil {
			return Cheapest{}, err
		}
		found.Evaluated += len(batch)
		for _, set := range batch {
			switch verdict := set.Point.Verdict(); {
			case verdict == sim.NotMet:
				missed = append(missed, set)
			case found.Best != nil:
			case verdict == sim.Met:
				found.Best = &set
			case found.Undecided == nil:
				found.Undecided = &set
			}
		}
	}
	if found.Best == nil {
		return found, nil
	}
	scenario, err := s.scenarioOf(choices, *found.Best)
	if err != nil {
		return Cheapest{}, err
	}
	points, err := s.measure(ctx, found.FreshSeed, []sim.Scenario{scenario})
	if err != nil {
		return Cheapest{}, err
	}
	found.Confirmed = points[0]
	return found, nil
}

// nextSets takes the next sets worth evaluating off a list.
func nextSets(choices []Choice, sets, missed []Set) (batch, rest []Set) {
	for len(sets) > 0 && len(batch) < setsAtOnce {
		set := sets[0]
		sets = sets[1:]
		wider := func(m Set) bool { return atLeastAsWide(choices, set, m) }
		if !slices.ContainsFunc(missed, wider) {
			batch = append(batch, set)
		}
	}
	return batch, sets
}

// atLeastAsWide reports whether a is at least as wide as b in every choice.
func atLeastAsWide(choices []Choice, a, b Set) bool {
	for i, c := range choices {
		if c.Steps[a.Steps[i]].Factor < c.Steps[b.Steps[i]].Factor {
			return false
		}
	}
	return true
}

// evaluateSets sets the points of sets.
func (s *Search) evaluateSets(ctx context.Context, choices []Choice, sets []Set) error {
	if len(sets) == 0 {
		return nil
	}
	var scenarios []sim.Scenario
	for _, set := range sets {
		scenario, err := s.scenarioOf(choices, set)
		if err != nil {
			return err
		}
		scenarios = append(scenarios, scenario)
	}
	points, err := s.measure(ctx, s.run.Seed, scenarios)
	for i := range points {
		sets[i].Point = points[i]
	}
	return err
}

// scenarioOf is the design with the steps of a set.
func (s *Search) scenarioOf(choices []Choice, set Set) (sim.Scenario, error) {
	scenario := s.run.Scenarios[0]
	for i, c := range choices {
		m, err := Widen(s.run.Scenarios[0].Plan, c.Input)
		if err != nil {
			return sim.Scenario{}, err
		}
		if scenario, err = m.scenario(scenario, c.Steps[set.Steps[i]].Factor); err != nil {
			return sim.Scenario{}, err
		}
	}
	scenario.Name = fmt.Sprint("set ", set.Steps)
	return scenario, nil
}

// sets lists all combinations by rising cost.
func (s *Search) sets(choices []Choice) ([]Set, error) {
	if err := s.checkChoices(choices); err != nil {
		return nil, err
	}
	costs := make([][]float64, len(choices))
	for i, c := range choices {
		for _, step := range c.Steps {
			costs[i] = append(costs[i], step.Cost)
		}
	}
	return Sets(costs, MostSets)
}

// Sets lists all combinations of steps, costs[i][k] being that of step k of choice i, by rising
// cost; of equal cost in the order of choices and steps. More than most are an error.
func Sets(costs [][]float64, most int) ([]Set, error) {
	sets := []Set{{}}
	for _, steps := range costs {
		if len(sets)*len(steps) > most {
			return nil, fmt.Errorf("more than %d combinations of steps", most)
		}
		var longer []Set
		for _, set := range sets {
			for i, cost := range steps {
				longer = append(longer, Set{Steps: append(slices.Clip(set.Steps), i), Cost: set.Cost + cost})
			}
		}
		sets = longer
	}
	slices.SortStableFunc(sets, func(a, b Set) int { return cmp.Compare(a.Cost, b.Cost) })
	return sets, nil
}

func (s *Search) checkChoices(choices []Choice) error {
	if len(choices) == 0 {
		return errors.New("no steps are on offer")
	}
	seen := map[string]bool{}
	for _, c := range choices {
		d, err := distributionOf(s.run.Scenarios[0].Plan, c.Input)
		switch {
		case err != nil:
			return err
		case seen[c.Input]:
			return fmt.Errorf("duplicate input %q", c.Input)
		case len(c.Steps) == 0:
			return fmt.Errorf("input %q has no step", c.Input)
		}
		seen[c.Input] = true
		for _, step := range c.Steps {
			if _, err := dist.Multiplied(d, step.Factor); err != nil || math.IsNaN(step.Cost) || math.IsInf(step.Cost, 0) {
				return fmt.Errorf("input %q: step of factor %v and cost %v, the factor must be 0 or above, both finite", c.Input, step.Factor, step.Cost)
			}
		}
	}
	return nil
}
