package strata

import (
	"context"
	"fmt"
	"math"

	"clampodds/sim"
)

// Course estimates how often a row exceeds a limit in designs that differ by a setting, all on the
// same rows, so that the probability is a smooth function of the setting.
type Course struct {
	lead  sample
	share []float64 // of the rows of each stratum that exceed in the leading design
	rows  []int64
}

// unseenOverTarget is what one row of a course may stand for, over the target: where none exceeds,
// a bound of the usual levels is then below the target. For a target so small that this takes more
// than mostUnseen rows, it stands for more.
const (
	unseenOverTarget = 0.1
	mostUnseen       = 40_000
)

// NewCourse draws strata along the direction in which the output of the leading design rises at the
// limit: best one that exceeds about as often as the target. About o.Most rows lie about the limit,
// besides those that bound what is not seen. Relative is not looked at. Errors are those of Estimate.
func NewCourse(ctx context.Context, lead sim.Scenario, q sim.Requirement, o Options) (*Course, error) {
	s, err := newSample(ctx, lead, q, nil, o)
	if err != nil {
		return nil, err
	}
	share, err := s.profile()
	if err != nil {
		return nil, err
	}
	return (&Course{lead: *s, share: smooth(s.strata, share)}).spread(o.Most, max(unseenOverTarget*q.Target, 1.0/mostUnseen)), nil
}

// About is the course of about so many rows about the limit alone: for designs that exceed no
// more often where the leading one does not.
func (c *Course) About(rows int64) *Course { return c.spread(rows, math.Inf(1)) }

func (c *Course) spread(about int64, heaviest float64) *Course {
	other := *c
	fits := func(density float64) []int64 { return allocate(c.lead.strata, c.share, heaviest, density) }
	other.rows = fits(0)
	if expected(c.lead.strata, c.share) > 0 {
		other.rows = filled(about+total(other.rows), fits)
	}
	return &other
}

// Shares are those of the variables in the direction in which the output rises at the limit, the largest first.
func (c *Course) Shares() []Share { return c.lead.direction.shares(c.lead.randomInputs()) }

// At are the probabilities in designs, which have the variables of the leading one, by name: each is what it is
// alone. Errors are those of Estimate.
func (c *Course) At(ctx context.Context, designs ...sim.Scenario) (found []sim.Estimate, err error) {
	s := c.lead
	q := s.scenario.Requirements[0]
	singles := make([]sim.Scenario, len(designs))
	for i, design := range designs {
		singles[i] = design.Only(q.Output)
		singles[i].Inputs = singles[i].Inputs.Single()
		if !sameVariables(singles[i].Inputs, s.randomInputs()) {
			return nil, fmt.Errorf("scenario %q has other random inputs than the leading one", design.Name)
		}
	}
	s.rows = make([]int64, len(s.strata))
	all, err := s.see(ctx, singles, "strata/course", make([]int64, len(c.rows)), c.rows, q, nil)
	if err != nil {
		return nil, err
	}
	for _, one := range all {
		found = append(found, s.weighted(one.counts(q, len(s.strata)), s.Confidence))
	}
	return found, nil
}
