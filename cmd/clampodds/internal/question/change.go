package question

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/assurance"
	"clampodds/sim/decide"
	"clampodds/sim/strata"
)

// Change asks whether a change is safe: from the study before it to the study after it.
type Change struct {
	decide.Setup
	Before, After *study.Study
	Margin        decide.Margin
	// Along are further limits to compare both designs at, for a figure.
	Along []sim.Requirement

	differences []study.Difference
	effect      decide.Effect
	notAlone    string // why the differences are not taken one at a time
}

// ChangeAnswer is the answer, with what it was made of.
type ChangeAnswer struct {
	Result reports.Change
	Safe   sim.Verdict
	Shown  *decide.EffectResult
}

// mostSteps is how many differences are taken apart.
const mostSteps = 12

// newChange checks that two studies can be compared and reads the margin: a probability, a
// share as in 50%, "target", or empty for the study's.
func newChange(before, after *study.Study, margin string) (*Change, error) {
	c := &Change{Before: before, After: after, differences: study.Differences(before, after)}
	if err := checkComparable(before, after); err != nil {
		return nil, err
	}
	var err error
	if c.Margin, err = parseMargin(margin, before); err != nil {
		return nil, err
	}
	return c, c.show(before, after)
}

// show takes the two studies, as written or in a condition, as what is shown.
func (c *Change) show(before, after *study.Study) (err error) {
	if c.effect.Before, err = Scenario(before, before.Name); err != nil {
		return err
	}
	if c.effect.After, err = Scenario(after, after.Name); err != nil {
		return err
	}
	c.effect.Steps, c.notAlone = nil, ""
	steps := study.Steps(before, after)
	if len(steps) > mostSteps {
		c.notAlone = fmt.Sprintf("%d differences are too many to be taken one at a time; change the study in steps to see which of them matter.", len(steps))
		return nil
	}
	for _, step := range steps {
		one, err := Scenario(step.Study, step.Name)
		if err != nil {
			return err
		}
		c.effect.Steps = append(c.effect.Steps, one)
	}
	return nil
}

// showIn shows what the change does in a condition.
func (c *Change) showIn(condition string) error {
	before, err := c.Before.Condition(condition)
	if err != nil {
		return err
	}
	after, err := c.After.Condition(condition)
	if err != nil {
		return err
	}
	return c.show(before, after)
}

// parseMargin reads a margin, or takes the study's.
func parseMargin(text string, s *study.Study) (decide.Margin, error) {
	switch {
	case text == "" && s.ChangeMargin == 0:
		return decide.Margin{}, errors.New("no margin: how much more often may a limit be exceeded for the change to be safe? --margin 5e-4 (a quarter of a target of 2e-3), 50% of what it was, or target; or margin under [change] in the study")
	case text == "":
		return decide.Margin{Kind: decide.Absolute, Value: s.ChangeMargin}, nil
	case text == "target":
		return decide.Margin{Kind: decide.TargetMet}, nil
	}
	m := decide.Margin{Kind: decide.Absolute}
	number, share := strings.CutSuffix(text, "%")
	value, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if share {
		m.Kind, value = decide.Relative, value/100
	}
	m.Value = value
	if err != nil || !(value > 0) || m.Kind == decide.Absolute && !(value < 1) {
		return m, fmt.Errorf("--margin %q: wanted is a probability as in 5e-4, a share as in 50%%, or target", text)
	}
	return m, nil
}

// marginWords is the margin as a person says it.
func marginWords(m decide.Margin) (words, kind string) {
	switch m.Kind {
	case decide.Relative:
		return fmt.Sprintf("%g %% of the probability before", 100*m.Value), "relative"
	case decide.TargetMet:
		return "the target", "target"
	}
	return "+" + reports.ExactProbability(m.Value), "absolute"
}

// Ask judges the difference and the targets in every condition, and shows what the change does in the one that
// decides, on draws common to both.
func (c *Change) Ask(ctx context.Context) (*ChangeAnswer, error) {
	before, err := Judge(ctx, c.Setup, c.Before, true)
	if err != nil {
		return nil, err
	}
	decision, _ := decided(c.Before, before, c.Run.Confidence)
	asWritten := before.Members[0].Name
	if len(c.differences) == 0 {
		answer, err := c.shown(ctx, asWritten)
		if err != nil {
			return nil, err
		}
		r := &answer.Result
		after, verdict := decided(c.After, before, c.Run.Confidence) // what the clamp's maker allows is no input
		answer.Safe = sim.All(sim.Met, verdict)
		r.Same, r.BeforeDecision, r.AfterDecision, r.Deciding = true, decision, after, -1
		r.Verdict, r.DifferenceVerdict, r.TargetVerdict = safety(answer.Safe), safety(sim.Met), after.Verdict
		return answer, nil
	}
	after, err := Judge(ctx, c.Setup, c.After, true)
	if err != nil {
		return nil, err
	}
	setup := ofRecord(c.Setup, c.Before)
	id := changeID{recordsOf(setup, c.Before, "", true), recordsOf(setup, c.After, "", true), c.Margin}
	judged, err := changeOnce(ctx, id, &decide.Change{Setup: setup, Margin: c.Margin, OfTheParts: true}, before, after)
	if err != nil {
		return nil, err
	}
	condition := asWritten
	if judged.Deciding >= 0 {
		condition = judged.Changes[judged.Deciding].Condition
	}
	if condition != asWritten {
		if err := c.showIn(condition); err != nil {
			return nil, err
		}
	}
	answer, err := c.shown(ctx, condition)
	if err != nil {
		return nil, err
	}
	r := &answer.Result
	r.BeforeDecision = decision
	var verdict sim.Verdict
	r.AfterDecision, verdict = decided(c.After, after, c.Run.Confidence)
	answer.Safe = sim.All(judged.Difference, verdict)
	r.Verdict, r.TargetVerdict = safety(answer.Safe), r.AfterDecision.Verdict
	return answer, c.judged(ctx, r, judged)
}

// shown is what the change does in the condition to be shown.
func (c *Change) shown(ctx context.Context, condition string) (*ChangeAnswer, error) {
	c.effect.Setup, c.effect.Along = c.Setup, c.Along
	c.effect.Run.Only = []string{mainOutput(c.After)} // whose distributions are shown
	for _, q := range slices.Concat(c.effect.Before.Requirements, c.Along) {
		c.effect.Run.Only = append(c.effect.Run.Only, q.Output)
	}
	found, err := c.effect.Show(ctx)
	if err != nil {
		return nil, err
	}
	r := reports.Change{
		Condition: condition,
		Schema:    reports.ChangeSchema, Provenance: decidedRun(c.Before, found.Run), After: Named(c.After),
		BelowLeast: beyond(c.After, c.Before, true), AboveMost: beyond(c.After, c.Before, false), MarginValue: c.Margin.Value, Shifts: Shifts(c.Before, found.Outputs), NotAlone: c.notAlone,
		Warnings: slices.Concat(found.Run.Warnings, c.notShared(), studyWarnings(c.After)),
	}
	if r.Distribution = temperatureDistribution(c.After, found.Run.Scenarios[1], found.Run.Rows); r.Distribution != nil {
		r.Distribution.Caption += ", " + condition + ", after the change"
	}
	r.Margin, r.MarginKind = marginWords(c.Margin)
	for _, d := range c.differences {
		r.Differences = append(r.Differences, reports.StudyDifference{Key: d.Key, Meaning: d.Meaning, Before: d.Before, After: d.After})
	}
	steps := found.Steps
	if len(c.differences) > 0 {
		steps = append(slices.Clip(steps), decide.StepChange{Name: c.wholeName(), Differences: found.Differences, Outputs: found.Outputs})
	}
	for _, s := range steps {
		step := reports.ChangeStep{Key: s.Name, Shifts: Shifts(c.Before, s.Outputs)}
		for i, one := range s.Differences {
			step.Differences = append(step.Differences, reports.StepDifference{Requirement: found.Requirements[i].Name, Difference: reports.Difference(one)})
		}
		r.Steps = append(r.Steps, step)
	}
	return &ChangeAnswer{Result: r, Shown: found}, nil
}

// wholeName is what the whole change is called among its steps: where it is of one input, which slots of a
// chassis may name apart, by that.
func (c *Change) wholeName() string {
	var keys []string
	for _, d := range c.differences {
		if d.Meaning != c.differences[0].Meaning {
			return reports.AllTogether
		}
		keys = append(keys, d.Key)
	}
	return strings.Join(keys, ", ")
}

// judged adds the differences in every condition, and the verdict on them.
func (c *Change) judged(ctx context.Context, r *reports.Change, found *decide.Changed) error {
	r.DifferenceVerdict, r.Deciding, r.Judged = safety(found.Difference), found.Deciding, found.Judged
	for _, one := range found.Changes {
		q := c.requirement(one.Requirement)
		q.Condition, q.Informative, q.Untouched, q.Verdict = one.Condition, one.Informative, one.Untouched, safety(one.Verdict)
		before, after := found.Before.At(one.Before), found.After.At(one.After)
		q.Before, q.After = before.Mean, after.Mean
		if after.Verdict != sim.NoTarget {
			q.TargetVerdict = after.Verdict.String()
		}
		q.Difference, q.LowTogether = reports.Difference(one.Difference), one.LowTogether
		q.Wanting, q.SettledBy = wanting(one.Want), (*reports.Settling)(one.SettledBy(c.Margin, accuracyOf(c.Before), study.FinestAccuracy))
		switch {
		case one.Unknown != nil:
			q.Bound = &one.Unknown.Upper
		case ofAfter(one) && one.AtMargin.Unknown != nil:
			q.Bound, q.BoundOfAfter = &one.AtMargin.Bound, true
		}
		r.Requirements = append(r.Requirements, q)
	}
	r.Confidence = max(c.Run.Confidence, decide.LeastKnowledge)
	if found.Deciding < 0 || found.Changes[found.Deciding].Verdict != sim.Undecided {
		return nil
	}
	one := found.Changes[found.Deciding]
	scenario := found.After.Members[one.After.Member].Scenario
	var err error
	if ofAfter(one) {
		if r.Needed, err = neededAt(ctx, c.Setup, c.After, scenario, *one.AtMargin); len(r.Needed) > 0 {
			r.Chance = assurance.Wanted
		}
	}
	if err == nil && len(r.Needed) == 0 && (one.Want == decide.Knowledge || ofAfter(one)) {
		r.KnowingMore, err = c.knowingMore(ctx, scenario, one.Requirement)
	}
	return err
}

// ofAfter says that of what is not known the design after the change alone tells.
func ofAfter(one decide.ChangeRecord) bool {
	return one.Verdict == sim.Undecided && one.Unknown == nil && one.AtMargin != nil
}

// knowingMore lists the inputs that carry most of what is not known where a difference is left open by it,
// the largest share first.
func (c *Change) knowingMore(ctx context.Context, scenario sim.Scenario, q sim.Requirement) ([]string, error) {
	shares, err := strata.Shares(ctx, scenario, q, strata.KnowledgeOptions{Confidence: max(c.Run.Confidence, decide.LeastKnowledge), Seed: c.Run.Seed, Workers: c.Run.Workers})
	if errors.Is(err, strata.ErrNoKnowledge) {
		return nil, nil
	}
	var names []string
	for _, one := range sharesByInput(c.After, scenario, shares) {
		names = append(names, one.Inputs[0])
	}
	return names[:min(3, len(names))], err
}

// requirement is a limit of the study for the reports.
func (c *Change) requirement(q sim.Requirement) reports.ChangeRequirement {
	l, err := Limit(c.Before, q.Name)
	if err != nil { // not from a study
		l = &study.Limit{Name: q.Name, Output: q.Output, Max: q.Limit, Quantity: "1"}
	}
	return reports.ChangeRequirement{
		Name: l.Name, Label: reports.Label(l.Output), Limit: l.Max, Unit: string(l.Quantity),
		Shown: ShownUnit(l.Max, string(l.Quantity), l.Unit), Target: q.Target,
	}
}

// notShared warns about limits and conditions that only one of the studies has.
func (c *Change) notShared() (all []reports.Warning) {
	for _, pair := range [][2]*study.Study{{c.Before, c.After}, {c.After, c.Before}} {
		add := func(what, name string) {
			all = append(all, reports.Warning{Code: "not-shared", Text: fmt.Sprintf("%s has a %s %s, %s does not: its difference is not judged", pair[0].Name, what, name, pair[1].Name)})
		}
		for i := range pair[0].Limits {
			if _, err := Limit(pair[1], pair[0].Limits[i].Name); err != nil {
				add("limit", pair[0].Limits[i].Name)
			}
		}
		for _, one := range pair[0].Conditions {
			if !slices.ContainsFunc(pair[1].Conditions, func(other study.Condition) bool { return other.Name == one.Name }) {
				add("condition", one.Name)
			}
		}
	}
	return all
}

// safety is an answer to "is it safe?" in words; empty where it was not asked.
func safety(v sim.Verdict) string {
	return map[sim.Verdict]string{sim.Met: "safe", sim.NotMet: "not safe", sim.Undecided: "undecided"}[v]
}
