package decide

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/interval"
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
	// Untouched says that the output was the same in every row looked at.
	Untouched bool
	// Verdict holds the difference against the margin; Want says what would decide one that is
	// open, Nothing where others have decided and it was not looked at closer.
	Verdict sim.Verdict
	Want    Want
}

// rows that show whether a change touches an output at all, and of a difference, the first
// and the second look.
const (
	touchRows = 2048
	pairRows  = 60_000
)

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
	wide, err := c.widerScreens(ctx, r, open)
	if err != nil {
		return nil, err
	}
	err = c.closer(ctx, open, func(each *Setup, at Place) error {
		own, one := *c, &r.Changes[at.Member]
		own.Setup = *each
		return own.lookCloser(ctx, r, one, wide[one.After.Member])
	})
	if err != nil {
		return nil, err
	}
	r.decide(c.Margin)
	return r, nil
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

// worse orders changes by the verdict, and then by how far the difference goes.
func (c ChangeRecord) worse(than ChangeRecord) bool {
	if c.Verdict != than.Verdict {
		return severity(c.Verdict) > severity(than.Verdict)
	}
	return c.High > than.High
}

// pair lists what both missions have, and refuses what they cannot be compared in.
func (c *Change) pair(r *Changed) error {
	for i, m := range r.Before.Members {
		j := slices.IndexFunc(r.After.Members, func(other Member) bool { return other.Name == m.Name })
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

// findUntouched tells the outputs that a change leaves alone in every row of a small sample,
// and counts the differences that are judged.
func (c *Change) findUntouched(ctx context.Context, r *Changed) error {
	var before, after map[string][]float64
	for i := range r.Changes {
		one := &r.Changes[i]
		if i == 0 || r.Changes[i-1].Condition != one.Condition {
			if ctx.Err() != nil {
				return ErrStopped
			}
			before, after = c.sample(r.Before.Members[one.Before.Member].Scenario), c.sample(r.After.Members[one.After.Member].Scenario)
		}
		one.Untouched = slices.EqualFunc(before[one.Requirement.Output], after[one.Requirement.Output], func(a, b float64) bool {
			return a == b || math.IsNaN(a) && math.IsNaN(b) // neither card is clamped
		})
		if !one.Untouched && !one.Informative {
			r.Judged++
		}
	}
	return nil
}

// sample evaluates a few rows, whole groups as sim.Evaluate takes them; designs share those of the
// variables they share.
func (c *Change) sample(scenario sim.Scenario) map[string][]float64 {
	group := scenario.Inputs.RowsPerGroup()
	rows := (touchRows + group - 1) / group * group
	z := batch.Columns(len(scenario.Inputs.Variables()), rows)
	for i, v := range scenario.Inputs.Variables() {
		stream := sim.NewStream(c.Run.Seed, "decide/touched", 0, v.Name)
		for r := range z[i] {
			z[i][r] = dist.NormalQuantile(stream.Uniform())
		}
	}
	outputs := scenario.Model.Outputs()
	y := batch.Columns(len(outputs), rows)
	sim.Evaluate(scenario.Inputs, scenario.Model, (*sim.Inputs).FromNormal, z, y, c.Run.Workers)
	byName := map[string][]float64{}
	for j, o := range outputs {
		byName[o.Name] = y[j]
	}
	return byName
}

// together is the level of a lower bound that all differences judged share, in one look.
func (c *Change) together(r *Changed) float64 {
	return 1 - (1-c.oneSided())/float64(max(1, r.Judged))
}

// screened is the first look: the rows of both screens, which are the same draws.
func (c *Change) screened(r *Changed, one *ChangeRecord) {
	before, after := r.Before.exceeds[one.Before.Member][one.Before.Requirement], r.After.exceeds[one.After.Member][one.After.Requirement]
	rows := min(len(before), len(after))
	seen := interval.PairedRatio{Paired: interval.Paired{Total: float64(rows)}}
	for i := range rows {
		switch {
		case before[i] && after[i]:
			seen.Both++
		case before[i]:
			seen.OnlyOld++
		case after[i]:
			seen.OnlyNew++
		}
	}
	one.Difference = Difference{Value: seen.Difference(), Level: c.oneSided(), Rows: int64(rows),
		Interval: sim.Interval{Low: seen.ScoreLower(c.oneSided()), High: seen.ScoreUpper(c.oneSided())}}
	one.LowTogether = seen.ScoreLower(c.together(r))
	if c.Margin.Kind == TargetMet {
		return
	}
	_, amount := c.Margin.parts()
	switch {
	case c.Margin.judgeCounts(seen, c.together(r)) == sim.NotMet:
		one.Verdict = sim.NotMet
	case c.Margin.judgeCounts(seen, c.oneSided()) == sim.Met && !c.knowledgeCounts(r.After.Members[one.After.Member].Scenario),
		// What is not known cannot raise it by more than the rows that exceed after the change only, or
		// than all that exceed after it.
		c.atMost(sim.Counted(int64(seen.OnlyNew), int64(rows), c.oneSided()), amount).High <= amount,
		c.atMost(r.After.At(one.After).Mean, amount).High <= amount:
		one.Verdict = sim.Met
	default:
		one.Verdict, one.Want = sim.Undecided, Cards
	}
}

// wider is how many times as many cards as would do with none exceeding: some may.
const wider = 4

// widerScreens draws, for conditions in which a difference may be bounded by what exceeds after
// the change, so many cards that few among them show it to be within the margin whatever is not
// known. By member after the change.
func (c *Change) widerScreens(ctx context.Context, r *Changed, open []Place) (map[int]*strata.Screen, error) {
	wide := map[int]*strata.Screen{}
	for _, at := range open {
		one := r.Changes[at.Member]
		after := c.atMargin(r.After.Members[one.After.Member].Scenario)
		if wide[one.After.Member] != nil || !c.bounded(r, one) {
			continue
		}
		var err error
		if wide[one.After.Member], err = strata.NewScreen(ctx, after, wider*c.screenRows(after), c.Run.Seed, c.Run.Workers); err != nil {
			return nil, stopped(ctx, err)
		}
	}
	return wide, nil
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

// lookCloser is the second look: with what is not known kept apart, and where that leaves the mean
// open, on rows drawn to the limit for both designs.
func (c *Change) lookCloser(ctx context.Context, r *Changed, one *ChangeRecord, wide *strata.Screen) error {
	designs := [2]sim.Scenario{c.atMargin(r.Before.Members[one.Before.Member].Scenario), c.atMargin(r.After.Members[one.After.Member].Scenario)}
	before, after := r.Before.At(one.Before), r.After.At(one.After)
	lead := 0
	if after.Mean.Value > before.Mean.Value {
		lead = 1
	}
	unknown, bounded, first := c.knowledgeCounts(designs[1]), c.bounded(r, *one), one.Verdict
	rare := c.Margin.size(before.Mean) < leastByStrata
	if bounded && c.boundAfter(one, designs[1], wide) {
		return nil
	}
	if first == sim.Undecided && unknown && !rare {
		err := c.keepApart(ctx, one, designs, lead)
		switch {
		case errors.Is(err, strata.ErrNoKnowledge): // what is not known does not move it
			unknown = false
		case cannotKeepApart(err) && bounded: // too rare for that, and for the margin to be exceeded on average
			return nil
		case cannotKeepApart(err):
		case err != nil || one.Verdict == sim.Met || one.Want == Knowledge:
			return stopped(ctx, err)
		}
	}
	var err error
	if rare {
		err = c.byTails(designs, one)
	} else {
		err = c.byPairs(ctx, r, one, designs, lead)
	}
	switch {
	case errors.Is(err, strata.ErrTooFew): // what the screens saw stands
		return nil
	case err != nil:
		return stopped(ctx, err)
	case first == sim.NotMet: // for a closer number only
		one.Verdict, one.Want = sim.NotMet, Nothing
	case one.Verdict == sim.Met && unknown:
		c.judgeApart(one, after)
	}
	return nil
}

// judgeApart judges a difference that is small on average: by what was found of its quantile over
// what is not known, or else by what the mean after the change allows.
func (c *Change) judgeApart(one *ChangeRecord, after Record) {
	_, amount := c.Margin.parts()
	switch {
	case one.Unknown != nil:
		one.Verdict, one.Want = judgeUnknown(one.Unknown.Upper, amount)
	case !(c.atMost(after.Mean, amount).High <= amount):
		one.Verdict, one.Want = sim.Undecided, Cards
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

// byPairs draws rows along the rise of the output of the design that exceeds more often.
func (c *Change) byPairs(ctx context.Context, r *Changed, one *ChangeRecord, designs [2]sim.Scenario, lead int) error {
	q := designs[1].Requirements[one.After.Requirement]
	pair, err := strata.Compare(ctx, designs, lead, q, strata.Options{Most: pairRows, Confidence: c.Run.Confidence, Seed: c.Run.Seed, Workers: c.Run.Workers})
	if err != nil {
		return err
	}
	share, amount := c.Margin.parts()
	d := Difference{Level: c.oneSided(), Rows: pair.Rows}
	d.Value, d.Low, d.High = pair.Difference(0, c.oneSided())
	one.Difference = d
	_, one.LowTogether, _ = pair.Difference(0, c.together(r))
	_, low, _ := pair.Difference(share, c.together(r))
	_, _, high := pair.Difference(share, c.oneSided())
	one.Verdict, one.Want = judgeDifference(low, high, amount)
	return nil
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
	return strata.KnowledgeOptions{Rows: manyUnknownRows, Confidence: c.knowledgeConfidence(), Level: c.oneSided(), Seed: c.Run.Seed, Workers: c.Run.Workers}
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

// boundAfter shows by a screen of the design after the change that a difference is within the margin,
// whatever is not known: it cannot exceed the probability after the change.
func (c *Change) boundAfter(one *ChangeRecord, after sim.Scenario, wide *strata.Screen) bool {
	mean, amount := c.screenedRows(wide.Exceeds(one.After.Requirement)), after.Requirements[one.After.Requirement].Target
	one.High = min(one.High, mean.High)
	if c.bound(c.knowledgeCounts(after), mean, amount).High > amount {
		return false
	}
	one.Verdict, one.Want = sim.Met, Nothing
	return true
}
