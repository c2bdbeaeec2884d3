package decide

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"clampodds/sim"
	"clampodds/sim/strata"
)

// Change is a design before and after a change.
type Change struct {
	Setup
	// Before and After may differ in anything, but for what they are asked: the
	// requirements that both have are alike in limit and target.
	Before, After sim.Scenario
	// Steps are the design before with one of the differences each.
	Steps  []sim.Scenario
	Margin Margin
	// Along are further limits to compare both designs at, and not judged.
	Along []sim.Requirement
	// Same says that nothing differs: the difference is 0 without any doubt.
	Same bool
}

// Changed is what a change does.
type Changed struct {
	// Safe is Yes when it is for every requirement.
	Safe   sim.Verdict
	Margin Margin
	// Requirements are those that both designs have.
	Requirements []RequirementChange
	// Along is counted, in the order of Change.Along; each interval is of its own.
	Along []Difference
	// Outputs compares the requirements' outputs.
	Outputs []OutputChange
	// Steps has the differences one at a time.
	Steps []StepChange
	Run   *sim.Result
}

// Difference is that of two probabilities, other - first, on common draws. Low
// and High are one-sided bounds, each of the level.
type Difference struct {
	Value float64
	sim.Interval
	Level float64
	// Tail says that the tail methods gave it; Rows is the number of rows drawn for
	// it along the rise of the output, in each design. With neither it was counted.
	Tail bool
	Rows int64
}

// RequirementChange is what a change does to one requirement.
type RequirementChange struct {
	Requirement   sim.Requirement
	Before, After sim.Estimate
	Difference
	// Untouched says that the output was the same in every single row. The
	// change is then safe for the requirement.
	Untouched bool
	// Safe asks for both of WithinMargin and TargetMet, each 0 where it is not
	// asked.
	Safe, WithinMargin, TargetMet sim.Verdict
	// NeededRows and NeededEvaluations are what would decide, as interval.Judgement;
	// 0 where not needed.
	NeededRows, NeededEvaluations int64
	// Narrower is how many times as wide the interval would be for independent
	// draws; 0 where the tail methods gave it or nothing was counted.
	Narrower float64
}

// StepChange is what one of the differences does by itself.
type StepChange struct {
	Name string
	// Differences has the requirements in the order of Changed.Requirements.
	Differences []Difference
	Outputs     []OutputChange
}

// Judge judges the change. The verdict is wrong, in either direction, in at most
// the share 1 - confidence of seeds. An error says what cannot be compared, or is
// that of the run or the tail methods, or ErrStopped.
func (c *Change) Judge(ctx context.Context) (*Changed, error) {
	shared, err := c.shared()
	if err != nil {
		return nil, err
	}
	parts, found, err := c.run(ctx, shared)
	if err != nil {
		return nil, err
	}
	r := &Changed{Margin: c.Margin, Safe: sim.Met, Run: found, Outputs: parts.changes(0, 1, c.Run.Confidence)}
	r.Requirements = make([]RequirementChange, len(shared))
	err = c.concurrently(ctx, len(shared), func(i int) error {
		var err error
		r.Requirements[i], err = c.requirement(ctx, shared[i], found, !parts.touchedBy(1, shared[i].Output))
		return err
	})
	if err != nil {
		return nil, err
	}
	for _, q := range r.Requirements {
		r.Safe = both(r.Safe, q.Safe)
	}
	for _, q := range c.Along {
		r.Along = append(r.Along, c.countedDifference(exceedance(found.Pairs[0], q)))
	}
	for i, step := range c.Steps {
		s := StepChange{Name: step.Name, Outputs: parts.changes(0, 2+i, c.Run.Confidence)}
		for _, q := range shared {
			s.Differences = append(s.Differences, c.countedDifference(exceedance(found.Pairs[1+i], q)))
		}
		r.Steps = append(r.Steps, s)
	}
	return r, nil
}

// shared are the requirements that both designs have.
func (c *Change) shared() ([]sim.Requirement, error) {
	if err := c.Margin.check(); err != nil {
		return nil, err
	}
	shared, err := sharedRequirements([]sim.Scenario{c.Before, c.After})
	if err != nil {
		return nil, err
	}
	if c.Margin.Kind == TargetMet {
		shared = slices.DeleteFunc(shared, func(q sim.Requirement) bool { return q.Target == 0 })
		if len(shared) == 0 {
			return nil, errors.New("no requirement has a target that could still be met")
		}
	}
	return shared, nil
}

// sharedRequirements are those that all scenarios have. It is an error when one
// differs between them, or when there is none.
func sharedRequirements(scenarios []sim.Scenario) ([]sim.Requirement, error) {
	var shared []sim.Requirement
	for _, q := range scenarios[0].Requirements {
		everywhere := true
		for _, s := range scenarios[1:] {
			other, err := requirement(s.Requirements, q.Name)
			switch {
			case err != nil:
				everywhere = false
			case other != q:
				return nil, fmt.Errorf("requirement %q is not the same in %s and %s", q.Name, scenarios[0].Name, s.Name)
			}
		}
		if everywhere {
			shared = append(shared, q)
		}
	}
	if len(shared) == 0 {
		return nil, errors.New("the designs have no requirement in common")
	}
	return shared, nil
}

// run evaluates all designs on common draws.
func (c *Change) run(ctx context.Context, shared []sim.Requirement) (*replicates, *sim.Result, error) {
	r := c.Run
	for i, s := range append([]sim.Scenario{c.Before, c.After}, c.Steps...) {
		s.Name = fmt.Sprintf("%d %s", i, s.Name) // the same file may be given twice
		s.Requirements = shared
		if i < 2 {
			s.Requirements = slices.Concat(shared, c.Along)
		}
		r.Scenarios = append(r.Scenarios, s)
	}
	parts, err := newReplicates(&r, outputsOf(shared))
	if err != nil {
		return nil, nil, err
	}
	found, err := complete(ctx, &r)
	return parts, found, err
}

// outputsOf lists the outputs of requirements, each once.
func outputsOf(list []sim.Requirement) []string {
	var names []string
	for _, q := range list {
		if !slices.Contains(names, q.Output) {
			names = append(names, q.Output)
		}
	}
	return names
}

// exceedance is that of a requirement both scenarios of the pair have.
func exceedance(p sim.Pair, q sim.Requirement) sim.PairedExceedance {
	i := slices.IndexFunc(p.Exceedances, func(e sim.PairedExceedance) bool { return e.Requirement == q.Name })
	return p.Exceedances[i]
}

// countedDifference is the difference as counted.
func (s *Setup) countedDifference(e sim.PairedExceedance) Difference {
	p, level := e.Paired(), s.Run.Confidence
	return Difference{Value: p.Difference(), Interval: sim.Interval{Low: p.ScoreLower(level), High: p.ScoreUpper(level)}, Level: level}
}

// requirement judges one requirement.
func (c *Change) requirement(ctx context.Context, q sim.Requirement, found *sim.Result, untouched bool) (RequirementChange, error) {
	pair := exceedance(found.Pairs[0], q)
	r := RequirementChange{
		Requirement: q, Untouched: untouched, Difference: c.countedDifference(pair),
		Before: exceeded(found.Scenarios[0], q), After: exceeded(found.Scenarios[1], q), Narrower: narrower(pair),
	}
	if c.Same {
		r.Difference = Difference{Level: c.Run.Confidence}
	}
	if c.Margin.Kind != TargetMet {
		if err := c.judgeMargin(ctx, &r, pair, found); err != nil {
			return r, err
		}
	}
	if q.Target > 0 && (c.Margin.Kind == TargetMet || !untouched) {
		if err := c.judgeTarget(&r, found.Scenarios[1]); err != nil {
			return r, err
		}
	}
	r.Safe = both(r.WithinMargin, r.TargetMet)
	return r, nil
}

// judgeMargin holds the difference against the margin.
func (c *Change) judgeMargin(ctx context.Context, r *RequirementChange, pair sim.PairedExceedance, found *sim.Result) error {
	switch {
	case r.Untouched:
		r.WithinMargin = sim.Met
	case c.counted(c.Before.Plan, c.Margin.size(r.Before)):
		r.WithinMargin, r.NeededRows = c.Margin.judgeCounts(pair, c.Run.Confidence)
		return c.judgeStrata(ctx, r, pair)
	default:
		p, err := c.pairTails(c.Before, c.After, r.Requirement)
		if err != nil {
			return err
		}
		if err := c.showTails(&p, r, found); err != nil {
			return err
		}
		r.Before, r.After, r.Difference = p.first, p.other, p.difference(c.Run.Confidence)
		r.WithinMargin, r.NeededEvaluations = c.Margin.judgeTails(p)
	}
	return nil
}

// showTails bounds what the tail methods do not establish by how often a stricter
// limit is exceeded, down to the margin.
func (c *Change) showTails(p *tailPair, r *RequirementChange, found *sim.Result) error {
	for i, one := range []struct {
		scenario sim.Scenario
		estimate *sim.Estimate
	}{{c.Before, &p.first}, {c.After, &p.other}} {
		unknown := tailEstimate{Estimate: *one.estimate}
		if unknown.established() {
			continue
		}
		shown, err := c.showStricter(unknown, one.scenario, found.Scenarios[i], r.Requirement, c.Margin.size(r.Before), pairLevel(c.Run.Confidence))
		if err != nil {
			return err
		}
		*one.estimate = shown.Estimate
	}
	return nil
}

// judgeStrata draws as many rows again along the rise of the output where the limit
// is seen to be exceeded: they tell the difference more closely than counting does.
func (c *Change) judgeStrata(ctx context.Context, r *RequirementChange, pair sim.PairedExceedance) error {
	if pair.Both+pair.OnlyFirst+pair.OnlyOther == 0 || !(c.Run.Confidence > 0.5) {
		return nil
	}
	lead := 0
	if pair.OnlyOther > pair.OnlyFirst {
		lead = 1
	}
	p, err := strata.Compare(ctx, [2]sim.Scenario{c.Before, c.After}, lead, r.Requirement, strata.Options{
		Most: c.Run.Samples, Confidence: c.Run.Confidence, Seed: c.Run.Seed, Workers: c.Run.Workers,
	})
	switch {
	case errors.Is(err, strata.ErrTooFew):
		return nil
	case errors.Is(err, context.Canceled):
		return ErrStopped
	case err != nil:
		return err
	}
	d := Difference{Level: c.Run.Confidence, Rows: p.Rows}
	if d.Value, d.Low, d.High = p.Difference(0, c.Run.Confidence); !(d.High-d.Low < r.Difference.High-r.Difference.Low) {
		return nil // few rows: counting did better
	}
	r.Before, r.After, r.Difference = p.First, p.Other, d
	r.WithinMargin, r.NeededRows = c.Margin.judgePair(p, c.Run.Confidence)
	r.Narrower = narrowerThanPlain(p, d)
	return nil
}

// narrowerThanPlain is how many times as wide the interval would be for
// independent rows of both designs, as many as were drawn.
func narrowerThanPlain(p *strata.Pair, d Difference) float64 {
	variance := (p.First.Value + p.Other.Value) / float64(p.Rows)
	return 2 * score(1-d.Level) * math.Sqrt(variance) / (d.High - d.Low)
}

// judgeTarget holds the probability after the change against the target.
func (c *Change) judgeTarget(r *RequirementChange, after sim.ScenarioResult) error {
	q := r.Requirement
	if c.counted(c.After.Plan, q.Target) {
		r.TargetMet = met(sim.Judge(r.After, q.Target))
		r.NeededRows = max(r.NeededRows, r.After.Needed(q.Target))
		return nil
	}
	found, err := c.show(c.After, after, q, q.Target, c.Run.Confidence)
	if err != nil {
		return err
	}
	r.After, r.TargetMet = found.Estimate, met(sim.Judge(found.Estimate, q.Target))
	if r.TargetMet == sim.Undecided {
		r.NeededEvaluations = max(r.NeededEvaluations, neededTail(found.Estimate, q.Target))
	}
	return nil
}

// neededTail is the number of evaluations at which the interval of a tail
// estimate would end at the target.
func neededTail(e sim.Estimate, target float64) int64 {
	reach := e.High - e.Value
	if e.Value > target {
		reach = e.Value - e.Low
	}
	return neededTimes(e.N, math.Pow(reach/(target-e.Value), 2))
}

// exceeded is the probability of exceeding a requirement that the scenario has.
func exceeded(s sim.ScenarioResult, q sim.Requirement) sim.Estimate {
	i := slices.IndexFunc(s.Requirements, func(r sim.RequirementResult) bool { return r.Requirement.Name == q.Name })
	return s.Requirements[i].Exceeded.PerRow()
}

// narrower compares the standard errors of the difference for independent and
// for common draws.
func narrower(e sim.PairedExceedance) float64 {
	n := float64(e.Both + e.OnlyFirst + e.OnlyOther + e.Neither)
	discordant, d := float64(e.OnlyFirst+e.OnlyOther)/n, float64(e.OnlyOther-e.OnlyFirst)/n
	if discordant == 0 {
		return 0
	}
	first, other := float64(e.Both+e.OnlyFirst)/n, float64(e.Both+e.OnlyOther)/n
	return math.Sqrt((first*(1-first) + other*(1-other)) / (discordant - d*d))
}
