package rare

import "math"

// census adds up crude draws.
type census struct {
	draws, failures int
	events          []int
}

func (c *census) add(draws int, union Probability, events []Probability) {
	number := func(p Probability) int { return int(math.Round(p.Value * float64(draws))) }
	c.draws += draws
	c.failures += number(union)
	for e, p := range events {
		c.events[e] += number(p)
	}
}

// addRows counts rows of a batch.
func (c *census) addRows(b batch, rows []int) {
	c.draws += len(rows)
	for _, row := range rows {
		if b.fails(row) {
			c.failures++
		}
		for e := range c.events {
			if b.g[e][row] <= 0 {
				c.events[e]++
			}
		}
	}
}

// countAll is the estimate from the crude draws of the screen, of the first
// levels of the subset simulation and of importance sampling's component at the
// origin. Without any centre nothing better can be done with the evaluations
// left than to draw on.
func (a *assessment) countAll() (union Probability, events []Probability) {
	share := func(draws int) int { return int(a.mixture.share[0] * float64(draws)) }
	c := a.census
	c.add(len(a.subset.Runs)*a.subset.PerLevel, a.subset.Union, a.subset.Events)
	c.add(share(a.importance.Evaluations), a.importance.Union, a.importance.Events)
	if a.limit = a.Evaluations; len(a.mixture.share) == 1 && a.affords(importanceBatch) {
		more := sampleMixture(a.meter, a.mixture, a.Stream, uint64(a.round), a.RelativeError, a.Level)
		c.add(more.Evaluations, more.Union, more.Events)
	}
	for _, failures := range c.events {
		events = append(events, counted(failures, c.draws, a.Level))
	}
	return counted(c.failures, c.draws, a.Level), events
}
