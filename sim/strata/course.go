package strata

import (
	"context"
	"fmt"
	"math"
	"slices"

	"clampodds/sim"
	"clampodds/sim/batch"
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
	return (&Course{lead: *s, share: smooth(s.strata, share)}).Spread(o.Most, max(unseenOverTarget*q.Target, 1.0/mostUnseen)), nil
}

// About is the course of about so many rows about the limit alone: for designs that exceed no
// more often where the leading one does not.
func (c *Course) About(rows int64) *Course { return c.Spread(rows, math.Inf(1)) }

// Spread is the course of about so many rows about the limit, besides those which it takes that none stands for more
// than heaviest.
func (c *Course) Spread(about int64, heaviest float64) *Course {
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
	q := c.lead.scenario.Requirements[0]
	only := slices.Clone(designs)
	for i, design := range designs {
		only[i] = design.Only(q.Output)
		only[i].Requirements = []sim.Requirement{q}
		if !sameVariables(only[i].Inputs, c.lead.randomInputs()) {
			return nil, fmt.Errorf("scenario %q has other random inputs than the leading one", design.Name)
		}
	}
	all, err := c.Exceeds(ctx, only...)
	for _, one := range all {
		found = append(found, c.Estimate(one[0]))
	}
	return found, err
}

// Estimate is the probability that the rows say which exceed, as those of Exceeds.
func (c *Course) Estimate(exceeds []bool) sim.Estimate {
	return drawn{c.lead.strata, c.rows}.weighted(c.counts(func(r int) bool { return exceeds[r] }), c.lead.Confidence)
}

// Pair compares two designs, or two requirements, by the rows that exceed.
func (c *Course) Pair(first, other []bool) *Pair {
	return &Pair{
		Rows: int64(len(first)), drawn: drawn{c.lead.strata, c.rows},
		onlyOther: c.counts(func(r int) bool { return other[r] && !first[r] }),
		onlyFirst: c.counts(func(r int) bool { return first[r] && !other[r] }),
		both:      c.counts(func(r int) bool { return first[r] && other[r] }),
	}
}

// Exceeds says by design, requirement and row whether it exceeds what Outputs are.
func (c *Course) Exceeds(ctx context.Context, designs ...sim.Scenario) ([][][]bool, error) {
	outputs, err := c.Outputs(ctx, designs...)
	all := make([][][]bool, len(outputs))
	for d, columns := range outputs {
		for k, y := range columns {
			all[d] = append(all[d], designs[d].Requirements[k].ExceededBy(y))
		}
	}
	return all, err
}

// Outputs are what the requirements ask of, by design, requirement and row, those of one stratum after another's. The designs
// share the variables that the leading one has, by name. The farther a requirement is from that of the course, the less the
// rows tell of it.
func (c *Course) Outputs(ctx context.Context, designs ...sim.Scenario) ([][][]float64, error) {
	scenarios := []sim.Scenario{c.lead.scenario} // the scores of its variables are moved
	all := make([][][]float64, len(designs))
	for d, design := range designs {
		design.Inputs = design.Inputs.Single()
		scenarios = append(scenarios, design)
		for range design.Requirements {
			all[d] = append(all[d], make([]float64, total(c.rows)))
		}
	}
	pieces := piecesOf("strata/course", make([]int64, len(c.rows)), c.rows, pieceRows)
	from, sum := make([]int, len(pieces)), 0
	for i, p := range pieces {
		from[i], sum = sum, sum+p.rows
	}
	err := batch.EachWith(ctx, c.lead.Workers, len(pieces), evaluators(scenarios, pieceRows), func(e *evaluator, i int) error {
		c.lead.scores(pieces[i], e)
		e.values(0, 0, pieces[i].rows)
		for d, design := range designs {
			e.values(d+1, 0, pieces[i].rows)
			y := e.evaluate(d+1, 0, pieces[i].rows)
			for k, q := range design.Requirements {
				column, err := outputOf(design, q, y)
				if err != nil {
					return err
				}
				copy(all[d][k][from[i]:], column)
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return all, nil
}

// counts are how many rows of each stratum are so.
func (c *Course) counts(so func(r int) bool) []int64 {
	n := make([]int64, len(c.rows))
	r := 0
	for h, rows := range c.rows {
		for range rows {
			if so(r) {
				n[h]++
			}
			r++
		}
	}
	return n
}
