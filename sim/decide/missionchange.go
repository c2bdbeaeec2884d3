package decide

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/strata"
)

// MissionChange is a design before and after a change, in every condition.
type MissionChange struct {
	Setup
	// Before and After have the same members, by name and in order, with the same
	// requirements. What is marked as lack of knowledge is the same in both: what one
	// knows better is not a better part.
	Before, After []Member
	Margin        Margin
}

// ChangedMission is what a change does in every condition.
type ChangedMission struct {
	Before, After *Mission
	// Changes has the requirements of each member.
	Changes [][]ChangeRecord
	// Safe is the answer for all judged members together; Worst is where it is decided.
	Safe  Answer
	Worst Place
	// BaseMisses says that the design before the change misses a target already; Base
	// is where.
	BaseMisses bool
	Base       Place
	// Judged is the number of differences judged, over which the chance of a wrong
	// "not safe" is spread.
	Judged int
}

// ChangeRecord is what a change does to one requirement in one condition.
type ChangeRecord struct {
	// Difference is that of the means, with one-sided bounds: High at the confidence,
	// Low at the level that all differences judged share.
	Difference
	// Unknown keeps apart what is not known; nil where nothing is marked so, under
	// Predictive, or where the means alone show the bound.
	Unknown *strata.UnknownChange
	// Untouched says that the output was the same in every row looked at.
	Untouched bool
	// WithinMargin holds the difference against the margin, AfterMet the probability
	// after the change against its target; each is 0 where it is not asked. Safe asks
	// for both.
	WithinMargin, AfterMet, Safe Answer
	// Want and NeededRows say what would decide an answer that is open.
	Want       Want
	NeededRows int64
}

// rows that show whether a change touches an output at all, and of a difference.
const (
	touchRows  = 2048
	changeRows = 60_000
)

// ErrNotAlike says that two designs are not asked the same.
var ErrNotAlike = errors.New("the designs have not the same conditions and requirements")

// Judge judges the change. A change is safe when each difference is within the margin,
// on average and at the confidence over what is not known, and each target is met
// after it. A wrong "safe" comes up in at most 1 - confidence of seeds (all bounds must
// hold, so none needs a part of it), a wrong "not safe" over all differences together
// too (each has its part).
func (c *MissionChange) Judge(ctx context.Context) (*ChangedMission, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	r := &ChangedMission{Safe: Yes, Worst: Place{-1, -1}, Base: Place{-1, -1}}
	var err error
	if r.Before, err = c.Mission(ctx, c.Before); err != nil {
		return nil, err
	}
	if r.After, err = c.Mission(ctx, c.After); err != nil {
		return nil, err
	}
	if r.BaseMisses = r.Before.Verdict == sim.NotMet; r.BaseMisses {
		r.Base = r.Before.Worst
	}
	untouched, err := c.untouched(ctx)
	if err != nil {
		return nil, err
	}
	for i, m := range c.Before {
		for k := range m.Requirements {
			if !m.Informative && !untouched[i][k] {
				r.Judged++
			}
		}
	}
	r.Changes = make([][]ChangeRecord, len(c.Before))
	for i, m := range c.Before {
		r.Changes[i] = make([]ChangeRecord, len(m.Requirements))
		for k := range m.Requirements {
			at := Place{i, k}
			one, err := c.change(ctx, r, at, untouched[i][k])
			if err != nil {
				return nil, fmt.Errorf("%s, %s: %w", m.Name, m.Requirements[k].Name, err)
			}
			r.Changes[i][k] = one
			if !m.Informative && (r.Worst.Member < 0 || r.worse(at)) {
				r.Worst = at
			}
		}
	}
	if r.Worst.Member >= 0 {
		r.Safe = r.At(r.Worst).Safe
	}
	return r, nil
}

// At returns the change at a place.
func (r *ChangedMission) At(p Place) ChangeRecord { return r.Changes[p.Member][p.Requirement] }

// worse compares a change with the worst so far: by the answer, then by how far the
// difference goes.
func (r *ChangedMission) worse(at Place) bool {
	a, b := r.At(at), r.At(r.Worst)
	if a.Safe != b.Safe {
		return answerSeverity(a.Safe) > answerSeverity(b.Safe)
	}
	return a.High > b.High
}

func answerSeverity(a Answer) int {
	return slices.Index([]Answer{Yes, Undecided, No}, a)
}

func (c *MissionChange) check() error {
	if err := c.Margin.check(); err != nil {
		return err
	}
	if len(c.Before) != len(c.After) || len(c.Before) == 0 {
		return ErrNotAlike
	}
	for i, m := range c.Before {
		if m.Name != c.After[i].Name || !slices.Equal(m.Requirements, c.After[i].Requirements) {
			return fmt.Errorf("%w: %s", ErrNotAlike, m.Name)
		}
		if err := strata.SameKnowledge(m.Plan, c.After[i].Plan); err != nil {
			return err
		}
	}
	return nil
}

// untouched tells the outputs that a change leaves alone in every row of a small
// sample, by member and requirement.
func (c *MissionChange) untouched(ctx context.Context) ([][]bool, error) {
	same := make([][]bool, len(c.Before))
	for i, m := range c.Before {
		if ctx.Err() != nil {
			return nil, ErrStopped
		}
		before, after := c.sample(m.Scenario), c.sample(c.After[i].Scenario)
		for _, q := range m.Requirements {
			same[i] = append(same[i], slices.Equal(before[q.Output], after[q.Output]))
		}
	}
	return same, nil
}

// sample evaluates a few rows; designs share those of the variables they share.
func (c *MissionChange) sample(scenario sim.Scenario) map[string][]float64 {
	z := batch.Columns(len(scenario.Plan.Variables()), touchRows)
	for i, v := range scenario.Plan.Variables() {
		stream := sim.NewStream(c.Run.Seed, "decide/touched", 0, v.Name)
		for r := range z[i] {
			z[i][r] = dist.NormalQuantile(stream.Uniform())
		}
	}
	outputs := scenario.Model.Outputs()
	y := batch.Columns(len(outputs), touchRows)
	sim.Evaluate(scenario.Plan, scenario.Model, (*sim.Plan).FromNormal, z, y, c.Run.Workers)
	byName := map[string][]float64{}
	for j, o := range outputs {
		byName[o.Name] = y[j]
	}
	return byName
}

// change judges one requirement in one condition.
func (c *MissionChange) change(ctx context.Context, r *ChangedMission, at Place, untouched bool) (ChangeRecord, error) {
	before, after := r.Before.At(at), r.After.At(at)
	one := ChangeRecord{Untouched: untouched, Difference: Difference{Level: c.Run.Confidence}, WithinMargin: Yes, AfterMet: met(after.Verdict)}
	if after.Verdict == sim.NoTarget {
		one.AfterMet = 0
	}
	if c.Margin.Kind == TargetMet {
		one.WithinMargin = 0
	}
	if !untouched {
		if err := c.difference(ctx, &one, at, before, after, r.Judged); err != nil {
			return one, err
		}
	}
	if one.AfterMet == Undecided && one.Want == Nothing {
		one.Want, one.NeededRows = after.Want, after.NeededRows
	}
	one.Safe = both(one.WithinMargin, one.AfterMet)
	return one, nil
}

// difference finds the difference and holds it against the margin.
func (c *MissionChange) difference(ctx context.Context, one *ChangeRecord, at Place, before, after Record, judged int) error {
	q := before.Requirement
	designs := [2]sim.Scenario{c.Before[at.Member].Scenario, c.After[at.Member].Scenario}
	lead := 0
	if after.Mean.Value > before.Mean.Value {
		lead = 1
	}
	share, amount := c.Margin.parts()
	pair, err := strata.Compare(ctx, designs, lead, q, strata.Options{Most: changeRows, Confidence: c.Run.Confidence, Seed: c.Run.Seed, Workers: c.Run.Workers})
	var against Difference // what the margin is compared with
	switch {
	case errors.Is(err, strata.ErrTooFew):
		// Seen in neither: the probabilities themselves bound the difference.
		one.Difference = Difference{Interval: sim.Interval{Low: -before.Mean.High, High: after.Mean.High}, Level: c.Run.Confidence}
		against = one.Difference
	case err != nil:
		return stopped(ctx, err)
	default:
		one.Difference = c.shown(pair, 0, judged)
		against = c.shown(pair, share, judged)
	}
	if c.Margin.Kind == TargetMet {
		return nil
	}
	one.WithinMargin, one.NeededRows = judgeBounds(against.Value, against.Low, against.High, amount, max(against.Rows, changeRows))
	if one.WithinMargin == Undecided {
		one.Want = Cards
	}
	if one.WithinMargin == Yes && c.apart(designs[lead]) && pair != nil {
		return c.keepApart(ctx, one, designs, lead, after)
	}
	return nil
}

// shown is a difference with its upper bound at the confidence and the lower one at
// the level that all differences share.
func (c *MissionChange) shown(p *strata.Pair, share float64, judged int) Difference {
	d := Difference{Level: c.Run.Confidence, Rows: p.Rows}
	d.Value, _, d.High = p.Difference(share, c.Run.Confidence)
	_, d.Low, _ = p.Difference(share, 1-(1-c.Run.Confidence)/float64(max(1, judged)))
	return d
}

// keepApart asks whether a difference that is small on average is so with the
// confidence over what is not known.
func (c *MissionChange) keepApart(ctx context.Context, one *ChangeRecord, designs [2]sim.Scenario, lead int, after Record) error {
	q := after.Requirement
	share, amount := c.Margin.parts()
	u, err := strata.KnowledgeOfChange(ctx, designs, lead, q, share, strata.KnowledgeOptions{
		Rows: unknownRows, Confidence: c.knowledgeConfidence(), Seed: c.Run.Seed, Workers: c.Run.Workers,
	})
	switch {
	case errors.Is(err, strata.ErrTooRare), errors.Is(err, strata.ErrMixedSets), errors.Is(err, strata.ErrOnlyKnowledge):
		// What the mean allows for the cards that exceed after the change.
		if c.atMost(after.Mean, amount).High > amount {
			one.WithinMargin, one.Want = Undecided, Cards
		}
		return nil
	case err != nil:
		return stopped(ctx, err)
	}
	one.Unknown = u
	switch {
	case u.Upper.High <= amount:
	case u.Upper.Low > amount:
		one.WithinMargin, one.Want = Undecided, Knowledge
	default:
		one.WithinMargin, one.Want = Undecided, Cards
		_, one.NeededRows = judgeBounds(u.Upper.Value, u.Upper.Low, u.Upper.High, amount, u.Evaluations)
	}
	return nil
}
