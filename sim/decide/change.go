package decide

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"clampodds/sim"
	"clampodds/sim/strata"
)

// Change asks whether a change of a design is safe, in every condition.
type Change struct {
	Setup
	Margin Margin
	// OfTheParts says that what is not known may differ between the designs, as that of one
	// coat does from that of another: it is of the parts. A variable of one name then has one
	// normal score in both. Otherwise it is refused: what one knows better is not a better
	// part.
	OfTheParts bool
}

// Changed is what a change does in every condition.
type Changed struct {
	Before, After *Mission
	// Changes has every requirement that both designs have, in every condition that both
	// have, in the order of Before.
	Changes []ChangeRecord
	// Difference is the answer on all judged differences together, NoTarget where the margin
	// asks for the targets alone; Deciding is the position of the one that decides it, -1 where
	// none is judged. Target is the verdict on the design after the change, decided at
	// After.Worst. Safe asks for both.
	Difference, Target, Safe sim.Verdict
	Deciding                 int
	// Judged is the number of differences judged, over which the chance of a wrong "not met"
	// is spread.
	Judged int
}

// ChangeRecord is what a change does to one requirement in one condition.
type ChangeRecord struct {
	Condition     string
	Requirement   sim.Requirement
	Informative   bool // shown, and not judged
	Before, After Place
	// Difference is that of the means. Low and High are one-sided bounds, each of the level.
	Difference
	// LowTogether is the lower bound at the level that all differences judged share: "not
	// met" rests on it.
	LowTogether float64
	// Unknown keeps apart what is not known; nil where nothing is marked so, under
	// Predictive, or where less than it decides.
	Unknown *strata.UnknownChange
	// AtMargin is the design after the change judged with the margin in the place of its target, where that leaves the
	// difference open and nothing else tells of what is not known: what decides there decides the difference.
	AtMargin *Record
	// Untouched says that the output was the same in every row looked at.
	Untouched bool
	// Verdict holds the difference against the margin; Want says what would decide one that is
	// open, Nothing where others have decided and it was not looked at closer.
	Verdict sim.Verdict
	Want    Want
	// coarse says that the difference is that of plain rows, since the verdict needed no closer one.
	coarse bool
}

// ErrNotAlike says that two designs are not asked the same.
var ErrNotAlike = errors.New("the designs have no condition and requirement in common")

// Judge judges a change by the missions of the design before and after it, both of this
// setup. A change is safe when each difference is within the margin, on average and at the
// confidence over what is not known, and each target is met after it.
//
// A difference is first looked at on the screens of both missions, which share their draws,
// and where that leaves it open on rows drawn to the limit for it; each look has half the
// chance of error. A wrong "met" comes up in at most 1 - confidence of seeds: all bounds
// must hold, so that none needs a part of it. A wrong "not met" over all differences
// together comes up in at most that too: each has its part. Both rates are measured by
// repetition in the tests.
func (c *Change) Judge(ctx context.Context, before, after *Mission) (*Changed, error) {
	r := &Changed{Before: before, After: after, Target: after.Verdict, Deciding: -1}
	if err := c.Margin.check(); err != nil {
		return nil, err
	}
	if c.Margin.Kind == TargetMet && after.Verdict == sim.NoTarget {
		return nil, errors.New("no requirement has a target that could still be met")
	}
	if err := c.pair(r); err != nil {
		return nil, err
	}
	if err := c.findUntouched(ctx, r); err != nil {
		return nil, err
	}
	var open []Place
	for i := range r.Changes {
		one := &r.Changes[i]
		if one.Untouched {
			one.Difference, one.Verdict = Difference{Level: c.oneSided()}, sim.Met
		} else if c.screened(r, one); !one.Informative && (one.Verdict == sim.NotMet || one.Verdict == sim.Undecided) {
			open = append(open, Place{i, 0})
		}
	}
	if worst := r.worstScreened(); worst >= 0 { // decided: one closer number will do
		for _, at := range open {
			r.Changes[at.Member].Want = Nothing
		}
		open = []Place{{worst, 0}}
	}
	plain := c.rowsAtMargin(ctx, r, open)
	err := c.closer(ctx, open, func(at Place) error {
		one := &r.Changes[at.Member]
		return c.lookCloser(ctx, r, one, plain[one.After.Member])
	})
	if err != nil {
		return nil, err
	}
	r.decide(c.Margin)
	return r, c.toldCloser(ctx, r)
}

// worstScreened is the largest difference that the first look showed to be above the margin; -1 for
// none.
func (r *Changed) worstScreened() int {
	worst := -1
	for i, one := range r.Changes {
		if one.Verdict == sim.NotMet && !one.Informative && (worst < 0 || one.High > r.Changes[worst].High) {
			worst = i
		}
	}
	return worst
}

// decide puts the verdicts together.
func (r *Changed) decide(m Margin) {
	for i, one := range r.Changes {
		if one.Informative || m.Kind == TargetMet && one.Untouched {
			continue
		}
		if r.Deciding < 0 || one.worse(r.Changes[r.Deciding]) {
			r.Deciding = i
		}
	}
	if m.Kind != TargetMet && r.Deciding >= 0 {
		r.Difference = r.Changes[r.Deciding].Verdict
	}
	r.Safe = sim.All(r.Difference, r.Target)
}

// worse orders changes by the verdict, and then by how far the difference goes. Of those within the margin any that was seen comes before
// those that were not, of those the one that exceeds more often and may go furthest, and else the one that changes most.
func (c ChangeRecord) worse(than ChangeRecord) bool {
	if c.Verdict != than.Verdict {
		return severity(c.Verdict) > severity(than.Verdict)
	}
	if c.Untouched != than.Untouched {
		return than.Untouched // its difference is exactly 0, and says nothing
	}
	if c.Verdict != sim.Met {
		return c.highest() > than.highest()
	}
	if seen := c.Value != 0; seen != (than.Value != 0) {
		return seen // the bound of one where nothing was seen is that of the rows looked at
	}
	if c.Value > 0 || than.Value > 0 {
		return c.Value > 0 && (than.Value <= 0 || c.highest() > than.highest())
	}
	return c.Value < than.Value
}

// highest is the upper bound of a difference, with what is not known where that is kept apart.
func (c ChangeRecord) highest() float64 {
	if c.Unknown == nil {
		return c.High
	}
	return max(c.High, c.Unknown.Upper.High)
}

// pair lists what both missions have, and refuses what they cannot be compared in.
func (c *Change) pair(r *Changed) error {
	for i, m := range r.Before.Members {
		j := r.After.MemberNamed(m.Name)
		if j < 0 {
			continue
		}
		other := r.After.Members[j]
		if !c.OfTheParts {
			if err := strata.SameKnowledge(m.Inputs, other.Inputs); err != nil {
				return fmt.Errorf("%s: %w", m.Name, err)
			}
		}
		shared, err := sharedRequirements([]sim.Scenario{m.Scenario, other.Scenario})
		if err != nil {
			return err
		}
		for k, q := range m.Requirements {
			if at := slices.Index(other.Requirements, q); at >= 0 && slices.Contains(shared, q) {
				one := ChangeRecord{Condition: m.Name, Requirement: q, Informative: m.Informative || other.Informative, Before: Place{i, k}, After: Place{j, at}}
				r.Changes = append(r.Changes, one)
			}
		}
	}
	if len(r.Changes) == 0 {
		return ErrNotAlike
	}
	return nil
}
