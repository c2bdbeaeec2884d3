package decide

import (
	"context"
	"errors"
	"slices"
	"sync"

	"clampodds/sim"
	"clampodds/sim/interval"
	"clampodds/sim/strata"
)

// lookCloser is the second look: by what exceeds after the change, or after it only, where that is next to nothing; with what is
// not known kept apart; and where that leaves the mean open, on rows drawn to the limit for both designs.
func (c *Change) lookCloser(ctx context.Context, r *Changed, one *ChangeRecord, plain *plainRows) error {
	before, after := r.Before.At(one.Before), r.After.At(one.After)
	designs, lead := c.designs(r, one)
	unknown, bounded, first := c.knowledgeCounts(designs[1]), c.bounded(r, *one), one.Verdict
	rare := c.Margin.size(before.Mean) < leastByStrata
	within := func() (bool, error) { return c.withinAfter(ctx, one, plain) }
	if bounded {
		if shown, err := within(); shown || err != nil {
			return stopped(ctx, err)
		}
		within = nil // tried
	} else if first == sim.Undecided && unknown && !rare {
		if shown, err := c.hardlyNew(ctx, r, one, plain); shown || err != nil {
			return stopped(ctx, err)
		}
	}
	if first == sim.Undecided && unknown && !rare {
		err := c.keepApart(ctx, one, designs, lead)
		if errors.Is(err, strata.ErrNoKnowledge) { // it may move the other design alone
			if other := c.keepApart(ctx, one, designs, 1-lead); !cannotKeepApart(other) {
				err = other
			}
		}
		switch {
		case errors.Is(err, strata.ErrNoKnowledge): // what is not known does not move it
			unknown = false
		case cannotKeepApart(err):
		case err != nil || one.Verdict == sim.Met || one.Want == Knowledge:
			return stopped(ctx, err)
		}
	}
	var err error
	onlyAfter := sim.Estimate{Interval: sim.Interval{High: 1}}
	if rare {
		err = c.byTails(designs, one)
	} else {
		onlyAfter, err = c.byPairs(ctx, r, one, designs, lead)
	}
	switch {
	case errors.Is(err, strata.ErrTooFew): // what the screens saw stands
		if _, amount := c.Margin.parts(); first == sim.Undecided && one.High <= amount {
			return stopped(ctx, c.judgeApart(one, onlyAfter, after, within))
		}
		return nil
	case err != nil:
		return stopped(ctx, err)
	case first == sim.NotMet: // for a closer number only
		one.Verdict, one.Want = sim.NotMet, Nothing
	case one.Verdict == sim.Met && unknown:
		return stopped(ctx, c.judgeApart(one, onlyAfter, after, within))
	}
	return nil
}

// designs are those of a difference, and which of them exceeds more often.
func (c *Change) designs(r *Changed, one *ChangeRecord) (both [2]sim.Scenario, lead int) {
	if r.After.At(one.After).Mean.Value > r.Before.At(one.Before).Mean.Value {
		lead = 1
	}
	return [2]sim.Scenario{c.atMargin(r.Before.Members[one.Before.Member].Scenario), c.atMargin(r.After.Members[one.After.Member].Scenario)}, lead
}

// toldCloser gives the difference that is told the number of rows drawn to the limit, where its verdict did without, or the targets
// alone are asked for.
func (c *Change) toldCloser(ctx context.Context, r *Changed) error {
	if r.Deciding < 0 || r.Changes[r.Deciding].Untouched || c.Margin.Kind != TargetMet && !r.Changes[r.Deciding].coarse {
		return nil
	}
	one := &r.Changes[r.Deciding]
	designs, lead := c.designs(r, one)
	if _, err := c.pairs(ctx, r, one, designs, lead); !errors.Is(err, strata.ErrTooFew) { // else what the screens saw stands
		return stopped(ctx, err)
	}
	return nil
}

// judgeApart judges a difference that is small on average: by what was found of its quantile over
// what is not known, or else by what it cannot exceed: what may exceed after the change only, and all that exceeds after it, the
// number of record there, and within, unless that is nil, which judges it with the margin as its target.
func (c *Change) judgeApart(one *ChangeRecord, onlyAfter sim.Estimate, after Record, within func() (bool, error)) error {
	_, amount := c.Margin.parts()
	if one.Unknown != nil {
		if one.Verdict, one.Want = judgeUnknown(one.Unknown.Upper, amount); one.Want != Cards {
			return nil
		}
	}
	if onlyAfter.High <= amount || one.Unknown == nil && after.Bound.High <= amount {
		one.Unknown, one.AtMargin = nil, nil // which would leave it open
		one.Verdict, one.Want = sim.Met, Nothing
		return nil
	}
	if within != nil && amount > 0 && after.Mean.Value <= amount {
		if shown, err := within(); shown || err != nil {
			return err
		}
	}
	one.leaveOpen()
	return nil
}

// leaveOpen says what would decide a difference that is small on average: cards, unless what exceeds after the change does not show it
// for want of knowledge.
func (r *ChangeRecord) leaveOpen() {
	r.Verdict, r.Want = sim.Undecided, Cards
	if r.Unknown == nil && r.AtMargin != nil && r.AtMargin.Want == Knowledge {
		r.Want = Knowledge
	}
}

// byTails is for margins that strata do not reach.
func (c *Change) byTails(designs [2]sim.Scenario, one *ChangeRecord) error {
	p, err := c.pairTails(designs[0], designs[1], one.Requirement)
	if err != nil {
		return err
	}
	one.Difference = p.difference(c.oneSided())
	one.LowTogether = one.Low
	share, amount := c.Margin.parts()
	low, high := p.bounds(share)
	one.Verdict, one.Want = judgeDifference(low, high, amount)
	return nil
}

// pairRows are drawn for a difference, at DefaultAccuracy.
const pairRows = 60_000

// pairs draws rows along the rise of the output of the design that exceeds more often, for a closer number.
func (c *Change) pairs(ctx context.Context, r *Changed, one *ChangeRecord, designs [2]sim.Scenario, lead int) (*strata.Pair, error) {
	q := designs[1].Requirements[one.After.Requirement]
	pair, err := strata.Compare(ctx, designs, lead, q, strata.Options{Most: c.atAccuracy(pairRows), Confidence: c.Run.Confidence, Seed: c.Run.Seed, Workers: c.Run.Workers})
	if err != nil {
		return nil, err
	}
	d := Difference{Level: c.oneSided(), Rows: pair.Rows}
	d.Value, d.Low, d.High = pair.Difference(0, c.oneSided())
	one.Difference = d
	_, one.LowTogether, _ = pair.Difference(0, c.together(r))
	return pair, nil
}

// byPairs judges by rows for a closer number; it returns how much may exceed after the change only, whatever is not known.
func (c *Change) byPairs(ctx context.Context, r *Changed, one *ChangeRecord, designs [2]sim.Scenario, lead int) (onlyAfter sim.Estimate, err error) {
	pair, err := c.pairs(ctx, r, one, designs, lead)
	if err != nil {
		return onlyAfter, err
	}
	share, amount := c.Margin.parts()
	_, low, _ := pair.Difference(share, c.together(r))
	_, _, high := pair.Difference(share, c.oneSided())
	one.Verdict, one.Want = judgeDifference(low, high, amount)
	elsewhere := int64(0) // of the screens
	if seen := c.seenOnScreens(r, one); seen.OnlyNew == 0 {
		elsewhere = int64(seen.Total)
	}
	return c.atMost(pair.OnlyOther(c.oneSided(), elsewhere), amount, designs[:]...), nil
}

// judgeDifference holds bounds against a margin, which may be 0.
func judgeDifference(low, high, margin float64) (sim.Verdict, Want) {
	switch {
	case high <= margin:
		return sim.Met, Nothing
	case low > margin:
		return sim.NotMet, Nothing
	}
	return sim.Undecided, Cards
}

// keepApart finds the mean of a difference and its quantile over what is not known from one sample.
func (c *Change) keepApart(ctx context.Context, one *ChangeRecord, designs [2]sim.Scenario, lead int) error {
	share, amount := c.Margin.parts()
	u, err := strata.KnowledgeOfChange(ctx, designs, lead, designs[1].Requirements[one.After.Requirement], share, c.apartOptions())
	if err != nil {
		return err
	}
	one.Unknown = u
	if u.Mean.High > amount { // the mean is open
		return nil
	}
	if one.Verdict, one.Want = judgeUnknown(u.Upper, amount); share == 0 {
		one.Difference = Difference{Value: u.Mean.Value, Interval: u.Mean.Interval, Level: c.oneSided(), Rows: u.Evaluations / 2}
		one.LowTogether = min(one.LowTogether, u.Mean.Low)
	}
	return nil
}

func (c *Change) apartOptions() strata.KnowledgeOptions {
	return strata.KnowledgeOptions{Rows: c.atAccuracy(manyUnknownRows), Confidence: c.knowledgeConfidence(), Level: c.oneSided(), Seed: c.Run.Seed, Workers: c.Run.Workers}
}

func cannotKeepApart(err error) bool {
	return errors.Is(err, strata.ErrTooRare) || errors.Is(err, strata.ErrMixedSets) || errors.Is(err, strata.ErrOnlyKnowledge) || errors.Is(err, strata.ErrMovedKnowledge)
}

// judgeUnknown holds the quantile over what is not known against the margin.
func judgeUnknown(upper sim.Estimate, amount float64) (sim.Verdict, Want) {
	switch {
	case upper.High <= amount:
		return sim.Met, Nothing
	case upper.Low > amount:
		return sim.Undecided, Knowledge
	}
	return sim.Undecided, Cards
}

// plainRows are the screens of both designs in one condition, of the requirements that are open there with the margin in the place of
// their targets; each is drawn when it is first asked for.
type plainRows struct {
	designs       [2]sim.Scenario
	at            map[int]int // by requirement of the design after: where it is among these
	before, after func() (*strata.Screen, error)
}

// rowsAtMargin has those of each member after the change.
func (c *Change) rowsAtMargin(ctx context.Context, r *Changed, open []Place) map[int]*plainRows {
	members := map[int]*plainRows{}
	for _, at := range open {
		one := &r.Changes[at.Member]
		p := members[one.After.Member]
		both, _ := c.designs(r, one)
		if p == nil {
			p = &plainRows{designs: both, at: map[int]int{}}
			p.designs[0].Requirements, p.designs[1].Requirements = nil, nil
			drawn := func(d int) func() (*strata.Screen, error) {
				return sync.OnceValues(func() (*strata.Screen, error) {
					screens, err := c.screen(ctx, p.designs[d:d+1])
					if err != nil {
						return nil, err
					}
					return screens[0], nil
				})
			}
			p.before, p.after, members[one.After.Member] = drawn(0), drawn(1), p
		}
		p.at[one.After.Requirement] = len(p.at)
		for d, k := range []int{one.Before.Requirement, one.After.Requirement} {
			p.designs[d].Requirements = append(p.designs[d].Requirements, both[d].Requirements[k])
		}
	}
	return members
}

// hardlyNew shows a difference to be within the margin, whatever is not known, by what exceeds after the change only: where the screens
// show next to none of it, as many plain rows as it takes if none of them does, and else twice as many. That settles what is
// better in nearly every card.
func (c *Change) hardlyNew(ctx context.Context, r *Changed, one *ChangeRecord, plain *plainRows) (bool, error) {
	_, amount := c.Margin.parts()
	most := func(seen interval.PairedRatio) sim.Estimate {
		return c.atMost(sim.Counted(int64(seen.OnlyNew), int64(seen.Total), c.oneSided()), amount, plain.designs[:]...)
	}
	k := plain.at[one.After.Requirement]
	rows := c.rowsOf(plain.designs[1], plain.designs[1].Requirements[k])
	none := interval.PairedRatio{Paired: interval.Paired{Total: float64(rows)}}
	if most(c.seenOnScreens(r, one)).Value > amount/2 || most(none).High > amount {
		return false, nil
	}
	before, err := plain.before()
	if err != nil {
		return false, err
	}
	after, err := plain.after()
	if err != nil {
		return false, err
	}
	seen := pairedRows(before.First(rows).Exceeds(k), after.First(rows).Exceeds(k))
	if most(seen).High > amount {
		var only []sim.Scenario
		for _, design := range plain.designs {
			q := design.Requirements[k]
			design = design.Only(q.Output)
			design.Requirements = []sim.Requirement{q}
			only = append(only, design)
		}
		both, err := strata.NewScreens(ctx, only, []int64{2 * rows, 2 * rows}, c.Run.Seed, c.Run.Workers)
		if err != nil {
			return false, err
		}
		if seen = pairedRows(both[0].Exceeds(0), both[1].Exceeds(0)); most(seen).High > amount {
			return false, nil
		}
	}
	c.counted(r, one, seen)
	one.Verdict, one.Want, one.coarse = sim.Met, Nothing, true
	return true, nil
}

// littleBefore is the probability before the change, over the margin, below which that after it bounds the difference
// well enough.
const littleBefore = 0.1

// bounded says that the probability after the change bounds the difference.
func (c *Change) bounded(r *Changed, one ChangeRecord) bool {
	_, amount := c.Margin.parts()
	return one.Verdict == sim.Undecided && amount >= leastByStrata && r.Before.At(one.Before).Mean.Value < littleBefore*amount
}

// atMargin is a scenario with the margin in the place of its targets.
func (c *Change) atMargin(scenario sim.Scenario) sim.Scenario {
	_, amount := c.Margin.parts()
	scenario.Requirements = slices.Clone(scenario.Requirements)
	for k := range scenario.Requirements {
		if amount > 0 {
			scenario.Requirements[k].Target = amount
		}
	}
	return scenario
}

// withinAfter shows a difference to be within the margin, whatever is not known, by the design after the change,
// judged with the margin in the place of its target: the difference cannot exceed the probability there.
func (c *Change) withinAfter(ctx context.Context, one *ChangeRecord, plain *plainRows) (bool, error) {
	drawn, err := plain.after()
	if err != nil {
		return false, err
	}
	found, err := c.recordOn(ctx, plain.designs[1], plain.at[one.After.Requirement], drawn)
	if err != nil {
		return false, err
	}
	if one.AtMargin = &found; found.Verdict != sim.Met {
		return false, nil
	}
	one.High, one.Unknown, one.AtMargin = min(one.High, found.Mean.High), nil, nil // which would leave it open
	one.Verdict, one.Want = sim.Met, Nothing
	return true, nil
}
