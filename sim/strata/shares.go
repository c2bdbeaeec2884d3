package strata

import (
	"cmp"
	"context"
	"slices"

	"clampodds/sim"
)

// Share is the part that a variable has in how an output or a probability rises.
type Share struct {
	Variable string
	Of       float64 // of the variance along the direction; they add up to 1
}

// Shares returns what each variable marked Knowledge contributes to the spread of the normal score of the
// probability that a row of the scenario exceeds q, the largest first: the squares of the
// weights in the direction in which the output rises at the limit. They are those of a straight line. Variables without a weight
// are left out. Of the options Screen, Seed and Workers matter. Errors are ErrNoKnowledge and those of
// the run.
func Shares(ctx context.Context, scenario sim.Scenario, q sim.Requirement, o KnowledgeOptions) ([]Share, error) {
	var unknown []int
	scenario = scenario.Only(q.Output)
	for i, v := range scenario.Inputs.Variables() {
		if v.Knowledge {
			unknown = append(unknown, i)
		}
	}
	if len(unknown) == 0 {
		return nil, ErrNoKnowledge
	}
	s, err := newSample(ctx, scenario, q, nil, Options{Confidence: o.Confidence, Seed: o.Seed, Workers: o.Workers})
	if err != nil {
		return nil, err
	}
	d := s.direction.restricted(unknown)
	if len(d.weight) == 0 {
		return nil, ErrNoKnowledge
	}
	return d.shares(s.randomInputs()), nil
}

func (d direction) shares(inputs *sim.Inputs) (list []Share) {
	for i, v := range d.variable {
		list = append(list, Share{inputs.Variables()[v].Name, d.weight[i] * d.weight[i]})
	}
	slices.SortStableFunc(list, func(a, b Share) int { return cmp.Compare(b.Of, a.Of) })
	return list
}
