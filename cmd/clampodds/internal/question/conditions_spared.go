package question

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"clampodds/sim"
)

// comparedCards show how far the conditions lie apart, card by card; fewestSpared is how many cards are worth that.
const (
	comparedCards = 1000
	fewestSpared  = 8 * comparedCards
)

// spare has a card that keeps well clear of every limit in the first member not evaluated in those that are judged:
// the numbers of these are of record, and their cards count for "ever, in any of them" alone.
func (c *Conditions) spare() error {
	first := &c.run.Scenarios[0]
	if c.run.Samples < fewestSpared || slices.ContainsFunc(first.Requirements, func(q sim.Requirement) bool { return q.Target == 0 }) {
		return nil // a limit without a target has no number of record
	}
	clear, err := c.apart()
	if err != nil {
		return err
	}
	all := slices.Clone(first.Requirements)
	for k, q := range first.Requirements {
		q.Name, q.Target = "clear of "+q.Name, 0
		if q.Limit -= clear[k]; q.Below {
			q.Limit += 2 * clear[k]
		}
		if math.IsInf(q.Limit, 0) || math.IsNaN(q.Limit) {
			return nil // a card that holds in one does not in the other
		}
		all = append(all, q)
	}
	first.Requirements = all
	c.run.Spares = make([][]int, len(c.members))
	for i, m := range c.members {
		if i > 0 && !m.Informative {
			c.run.Spares[i] = []int{0}
		}
	}
	return nil
}

// apart is, by limit, by how much a card may be nearer to it in a member than in the first: as far beyond the greatest of
// some cards as that is from the median.
func (c *Conditions) apart() ([]float64, error) {
	requirements := c.run.Scenarios[0].Requirements
	of := make([]int, len(requirements)) // its output
	for k, q := range requirements {
		of[k] = slices.IndexFunc(c.run.Scenarios[0].Model.Outputs(), func(o sim.Output) bool { return o.Name == q.Output })
	}
	var first [][]float64
	nearer := make([][][]float64, len(c.members)) // by member, limit and card
	run := c.run
	run.Sampler, run.Samples, run.BlockRows = sim.Random{}, comparedCards, comparedCards/4
	run.Draws = func(_ int64, member int, _, y [][]float64) error {
		if member == 0 {
			first = first[:0]
			for _, output := range of {
				first = append(first, slices.Clone(y[output]))
			}
			return nil
		}
		if nearer[member] == nil {
			nearer[member] = make([][]float64, len(of))
		}
		for k, output := range of {
			for r, value := range y[output] {
				by := value - first[k][r]
				if requirements[k].Below {
					by = -by
				}
				nearer[member][k] = append(nearer[member][k], by)
			}
		}
		return nil
	}
	if _, err := run.Execute(context.Background()); err != nil {
		return nil, fmt.Errorf("cards under the conditions: %w", err)
	}
	most := make([]float64, len(of))
	for _, limits := range nearer[1:] {
		for k, by := range limits {
			slices.Sort(by)
			most[k] = max(most[k], 2*by[len(by)-1]-stat.Quantile(0.5, stat.Empirical, by, nil))
		}
	}
	return most, nil
}
