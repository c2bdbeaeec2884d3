package decide

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"

	"clampodds/sim"
	"clampodds/sim/strata"
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
	// Missions are those of the designs, with the scenarios as their member Condition: the ranking goes by
	// their records. Nil for none judged yet.
	Missions  []*Mission
	Condition string
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
	// Place is one more than the number of designs that are shown to exceed more rarely.
	Place int
	// Estimate is the number of record; Tail says that the tail methods gave the differences.
	sim.Estimate
	Tail bool
	// Over is the difference to the design before it in the ranking, Worse that it is shown
	// to exceed more often than the first. The bounds hold for all pairs of designs
	// together; of the first all is zero.
	Over  Difference
	Worse bool
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
		s.Name += ", " + string(rune('A'+i)) // the same file may be given twice
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
	together := c.Setup // each side of each difference gets its part of the chance of error
	together.Run.Confidence = 1 - (1-c.Run.Confidence)/2/float64((len(c.Scenarios)-1)*len(shared))
	for i := range c.Scenarios[1:] {
		s := StepChange{Name: c.Scenarios[1+i].Name, Outputs: parts.changes(0, 1+i, c.Run.Confidence)}
		for _, q := range shared {
			s.Differences = append(s.Differences, together.countedDifference(exceedance(found.Pairs[i], q)))
		}
		result.Others = append(result.Others, s)
	}
	if err := c.rank(ctx, by, result); err != nil {
		return nil, err
	}
	last, err := c.tail(c.Scenarios[result.Ranking[len(result.Ranking)-1].Design], by, c.Run.Confidence)
	result.Inputs = last.shares
	return result, err
}

// rank orders the designs by the number of record of a requirement, and finds what each pair of
// them differs by.
func (c *Compare) rank(ctx context.Context, q sim.Requirement, result *Comparison) error {
	ranking := make([]Rank, len(c.Scenarios))
	tails := q.Target > 0 && q.Target < leastByStrata
	err := c.concurrently(ctx, len(ranking), func(i int) error {
		mean, err := c.mean(ctx, i, q)
		ranking[i] = Rank{Design: i, Estimate: mean, Tail: tails}
		return err
	})
	if err != nil {
		return err
	}
	slices.SortStableFunc(ranking, func(a, b Rank) int {
		return cmp.Or(cmp.Compare(a.Value, b.Value), cmp.Compare(a.High, b.High))
	})
	var pairs [][2]int // of the ranking
	for i := range ranking {
		for j := range i {
			pairs = append(pairs, [2]int{j, i})
		}
	}
	each := c.Setup
	each.Run.Confidence = 1 - (1-c.Run.Confidence)/2/float64(len(pairs))
	over := make([]Difference, len(pairs))
	err = c.concurrently(ctx, len(pairs), func(i int) error {
		var err error
		over[i], err = each.over(ctx, c.Scenarios, ranking[pairs[i][0]].Design, ranking[pairs[i][1]].Design, q, result.Run, tails)
		return err
	})
	if err != nil {
		return err
	}
	for i := range ranking {
		ranking[i].Place = 1
	}
	at := slices.IndexFunc(result.Requirements, func(r sim.Requirement) bool { return r.Name == q.Name })
	for i, p := range pairs {
		one := &ranking[p[1]]
		if over[i].Low > 0 {
			one.Place++
			one.Worse = one.Worse || p[0] == 0
		}
		if p[0] == p[1]-1 {
			one.Over = over[i]
		}
		a, b, d := ranking[p[0]].Design, one.Design, over[i]
		if b == 0 {
			a, b, d = b, a, d.Reversed()
		}
		if a == 0 { // the one that goes with the ranking in place of the counted one
			result.Others[b-1].Differences[at] = d
		}
	}
	result.Ranking = ranking
	return nil
}

// mean is the number of record of a design.
func (c *Compare) mean(ctx context.Context, design int, q sim.Requirement) (sim.Estimate, error) {
	scenario, i := c.Scenarios[design], slices.Index(c.Scenarios[design].Requirements, q)
	var r Record
	if c.Missions != nil {
		m := c.Missions[design]
		r = m.Records[m.MemberNamed(c.Condition)][i]
	} else {
		var err error
		if r, err = c.Record(ctx, scenario, i); err != nil {
			return sim.Estimate{}, err
		}
	}
	if r.Verdict != sim.NoTarget {
		return r.Mean, nil
	}
	err := c.refine(ctx, scenario, &r) // without a target the screen says little
	return r.Mean, err
}

// over is the difference of design b over design a: on rows common to both along the rise of the
// output of the one that exceeds more often, b, as many as for a change and more with more cards, or as counted
// where next to none of them exceeds.
func (s *Setup) over(ctx context.Context, scenarios []sim.Scenario, a, b int, q sim.Requirement, found *sim.Result, tails bool) (Difference, error) {
	if tails {
		p, err := s.pairTails(scenarios[a], scenarios[b], q)
		return p.difference(s.Run.Confidence), err
	}
	pair, err := strata.Compare(ctx, [2]sim.Scenario{scenarios[a], scenarios[b]}, 1, q, strata.Options{
		Most: max(s.atAccuracy(pairRows), s.Run.Samples), Confidence: s.Run.Confidence, Seed: s.Run.Seed, Workers: 1,
	})
	if errors.Is(err, strata.ErrTooFew) {
		return s.countedOver(a, b, q, found)
	}
	if err != nil {
		return Difference{}, stopped(ctx, err)
	}
	d := Difference{Level: s.Run.Confidence, Rows: pair.Rows}
	d.Value, d.Low, d.High = pair.Difference(0, s.Run.Confidence)
	return d, nil
}

// countedOver is the same as counted on the cards of the run.
func (s *Setup) countedOver(a, b int, q sim.Requirement, found *sim.Result) (Difference, error) {
	first, other := min(a, b), max(a, b)
	name := func(i int) string { return found.Scenarios[i].Name }
	i := slices.IndexFunc(found.Pairs, func(p sim.Pair) bool { return p.First == name(first) && p.Other == name(other) })
	if i < 0 {
		return Difference{}, errors.New("pair not counted")
	}
	d := s.countedDifference(exceedance(found.Pairs[i], q))
	if a > b {
		d = d.Reversed()
	}
	return d, nil
}
