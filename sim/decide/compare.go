package decide

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"

	"clampodds/sim"
)

// MostDesigns is how many designs are compared at once.
const MostDesigns = 8

// Compare is designs to be held side by side.
type Compare struct {
	Setup
	// Scenarios are two to MostDesigns designs; the others are compared with the
	// first.
	Scenarios []sim.Scenario
	// By is the name of the requirement they are ranked by.
	By string
	// Outputs are compared besides those of the requirements; all designs have
	// them.
	Outputs []string
}

// Comparison is designs side by side.
type Comparison struct {
	// Requirements are those that all designs have.
	Requirements []sim.Requirement
	// Run has the designs in the order given.
	Run *sim.Result
	// Others has for each design after the first what it changes.
	Others []StepChange
	// Ranking has the best design first.
	Ranking []Rank
	// Inputs lists what the probability of the last one rests on, the largest
	// share first.
	Inputs []Share
}

// Rank is the place of a design.
type Rank struct {
	Design int // its position
	// Place counts from 1. A design that cannot be told apart from the one
	// before it in the ranking has the place of that one.
	Place int
	sim.Estimate
	Tail bool
	// Over is the difference to the design before it in the ranking, with
	// bounds that hold for all of the ranking together; of the first all is zero.
	Over Difference
}

// Rank compares the designs. An error says what cannot be compared, or is that of
// the run or the tail methods, or ErrStopped.
func (c *Compare) Rank(ctx context.Context) (*Comparison, error) {
	if n := len(c.Scenarios); n < 2 || n > MostDesigns {
		return nil, fmt.Errorf("%d designs, must be 2 to %d", n, MostDesigns)
	}
	shared, err := sharedRequirements(c.Scenarios)
	if err != nil {
		return nil, err
	}
	by, err := requirement(shared, c.By)
	if err != nil {
		return nil, fmt.Errorf("%w that all designs have", err)
	}
	r := c.Run
	r.AllPairs = true
	for i, s := range c.Scenarios {
		s.Name = fmt.Sprintf("%d %s", i, s.Name)
		s.Requirements = shared
		r.Scenarios = append(r.Scenarios, s)
	}
	watched := outputsOf(shared)
	for _, name := range c.Outputs {
		if !slices.Contains(watched, name) {
			watched = append(watched, name)
		}
	}
	parts, err := newReplicates(&r, watched)
	if err != nil {
		return nil, err
	}
	found, err := complete(ctx, &r)
	if err != nil {
		return nil, err
	}
	result := &Comparison{Requirements: shared, Run: found}
	for i := range c.Scenarios[1:] {
		s := StepChange{Name: c.Scenarios[1+i].Name, Outputs: parts.changes(0, 1+i, c.Run.Confidence)}
		for _, q := range shared {
			s.Differences = append(s.Differences, c.countedDifference(exceedance(found.Pairs[i], q)))
		}
		result.Others = append(result.Others, s)
	}
	if result.Ranking, err = c.rank(ctx, by, found); err != nil {
		return nil, err
	}
	if result.Ranking[0].Tail {
		if err := c.replaceByTails(ctx, result, by); err != nil {
			return nil, err
		}
	}
	last, err := c.tail(c.Scenarios[result.Ranking[len(result.Ranking)-1].Design], by, c.Run.Confidence)
	result.Inputs = last.shares
	return result, err
}

// replaceByTails puts the differences to the first design by the tail methods in
// the place of the counted ones, so that they go with the ranking.
func (c *Compare) replaceByTails(ctx context.Context, result *Comparison, by sim.Requirement) error {
	at := slices.IndexFunc(result.Requirements, func(q sim.Requirement) bool { return q.Name == by.Name })
	return c.concurrently(ctx, len(result.Others), func(i int) error {
		p, err := c.pairTails(c.Scenarios[0], c.Scenarios[1+i], by)
		result.Others[i].Differences[at] = p.difference(c.Run.Confidence)
		return err
	})
}

// rank orders the designs by the probability of exceeding q.
func (c *Compare) rank(ctx context.Context, q sim.Requirement, found *sim.Result) ([]Rank, error) {
	ranking := make([]Rank, len(c.Scenarios))
	tails := q.Target > 0 && !c.counted(c.Scenarios[0].Plan, q.Target)
	err := c.concurrently(ctx, len(ranking), func(i int) error {
		ranking[i] = Rank{Design: i, Estimate: exceeded(found.Scenarios[i], q), Tail: tails}
		if !tails {
			return nil
		}
		t, err := c.tail(c.Scenarios[i], q, c.Run.Confidence)
		ranking[i].Estimate = t.Estimate
		return err
	})
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(ranking, func(a, b Rank) int {
		return cmp.Or(cmp.Compare(a.Value, b.Value), cmp.Compare(a.High, b.High))
	})
	// Each side of each comparison gets its part of the chance of error.
	each := c.Setup
	each.Run.Confidence = 1 - (1-c.Run.Confidence)/2/float64(len(ranking)-1)
	err = c.concurrently(ctx, len(ranking)-1, func(i int) error {
		var err error
		ranking[i+1].Over, err = each.over(c.Scenarios, ranking[i].Design, ranking[i+1].Design, q, found, tails)
		return err
	})
	if err != nil {
		return nil, err
	}
	for i := range ranking {
		ranking[i].Place = i + 1
		if i > 0 && ranking[i].Over.Low <= 0 {
			ranking[i].Place = ranking[i-1].Place
		}
	}
	return ranking, nil
}

// over is the difference of design b over design a.
func (s *Setup) over(scenarios []sim.Scenario, a, b int, q sim.Requirement, found *sim.Result, tails bool) (Difference, error) {
	if tails {
		p, err := s.pairTails(scenarios[a], scenarios[b], q)
		return p.difference(s.Run.Confidence), err
	}
	first, other := min(a, b), max(a, b)
	name := func(i int) string { return found.Scenarios[i].Name }
	i := slices.IndexFunc(found.Pairs, func(p sim.Pair) bool { return p.First == name(first) && p.Other == name(other) })
	if i < 0 {
		return Difference{}, errors.New("pair not counted")
	}
	d := s.countedDifference(exceedance(found.Pairs[i], q))
	if a > b {
		d.Value, d.Low, d.High = -d.Value, -d.High, -d.Low
	}
	return d, nil
}
