package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

func newChange() *cobra.Command {
	var d deciding
	var margin string
	var record recordFile
	cmd := &cobra.Command{
		Use:   "change BASE NEW",
		Short: "Is a change safe?",
		Long: `change evaluates the study before and after a change on the same draws and says
whether the change is safe: whether it raises the probability of exceeding any
limit by no more than the margin, and leaves every target met.

The margin is fixed before the run: a probability (5e-4), a share of the
probability before (50%), or "target", which asks for the targets alone. Without
--margin it is the study's.

--record writes the decision on one page, with room for signatures, to be attached to
the request for the change.

Exit codes: 0 safe, 3 not safe, 4 undecided.`,
		Args: exactly(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			before, err := d.load(args[0], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			after, err := d.load(args[1], cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			if err := record.check(&d.read); err != nil {
				return err
			}
			_, result, safe, err := d.judgeChange(cmd, before, after, margin, nil)
			if err != nil {
				return err
			}
			if err := record.write(&d.read, result.Record()); err != nil {
				return err
			}
			if err := emit(cmd.OutOrStdout(), d.form, result); err != nil {
				return err
			}
			return answered(safe)
		},
	}
	d.flags(cmd)
	d.conditionFlag(cmd)
	cmd.Flags().StringVar(&margin, "margin", "", "what the change may do: a `PROBABILITY`, a share of the one before as in 50%, or target (default: the study's)")
	record.flags(cmd)
	return cmd
}

// judgeChange says whether a change is safe, with the change that was judged and
// compared at the limits along.
func (d *deciding) judgeChange(cmd *cobra.Command, before, after *study.Study, margin string, along []sim.Requirement) (*studyChange, reports.Change, decide.Answer, error) {
	change, err := newStudyChange(before, after, margin)
	if err != nil {
		return nil, reports.Change{}, 0, usage(err)
	}
	change.Along = along
	var clear func()
	change.Setup, clear = d.setup(cmd, before)
	defer clear()
	result, safe, err := change.judge(cmd.Context())
	if err == nil {
		safe, err = change.hold(cmd.Context(), &result, safe)
	}
	return change, result, safe, err
}

// studyChange is a change with the studies it is about.
type studyChange struct {
	decide.Change
	before, after *study.Study
	differences   []study.Difference
	notAlone      string
	found         *decide.Changed // behind the verdict, for a figure
}

// mostSteps is how many differences are taken apart.
const mostSteps = 12

// newStudyChange checks that two studies can be compared and wires them.
func newStudyChange(before, after *study.Study, margin string) (*studyChange, error) {
	c := &studyChange{before: before, after: after, differences: study.Differences(before, after)}
	if err := comparable(before, after); err != nil {
		return nil, err
	}
	var err error
	if c.Margin, err = parseMargin(margin, before); err != nil {
		return nil, err
	}
	if c.Before, err = scenario(before, before.Name); err != nil {
		return nil, err
	}
	if c.After, err = scenario(after, after.Name); err != nil {
		return nil, err
	}
	c.Same = len(c.differences) == 0
	steps := study.Steps(before, after)
	if len(steps) > mostSteps {
		c.notAlone = fmt.Sprintf("%d differences are too many to be taken one at a time; change the study in steps to see which of them matter.", len(steps))
		return c, nil
	}
	for _, step := range steps {
		one, err := scenario(step.Study, step.Name)
		if err != nil {
			return nil, err
		}
		c.Steps = append(c.Steps, one)
	}
	return c, nil
}

// parseMargin reads --margin, or takes the study's.
func parseMargin(text string, s *study.Study) (decide.Margin, error) {
	switch {
	case text == "" && s.ChangeMargin == 0:
		return decide.Margin{}, errors.New("no margin: give --margin, or [change] margin in the study")
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
	return fmt.Sprintf("+%g", m.Value), "absolute"
}

// judge answers about the difference of the studies as written, for the reports and as
// such.
func (c *studyChange) judge(ctx context.Context) (reports.Change, decide.Answer, error) {
	found, err := c.Judge(ctx)
	if err != nil {
		return reports.Change{}, 0, decided(err)
	}
	c.found = found
	r := reports.Change{
		Schema: reports.ChangeSchema, Provenance: decidedRun(c.before, found.Run), After: named(c.after),
		Verdict: safety(found.Safe), MarginValue: c.Margin.Value,
		Shifts: shifts(c.before, found.Outputs), NotAlone: c.notAlone, Deciding: decidingRequirement(found),
		Warnings: slices.Concat(found.Run.Warnings, c.notShared()),
	}
	if r.Distribution = temperatureDistribution(c.after, found.Run.Scenarios[1], found.Run.Rows); r.Distribution != nil {
		r.Distribution.Caption += ", after the change"
	}
	r.Margin, r.MarginKind = marginWords(c.Margin)
	for _, d := range c.differences {
		r.Differences = append(r.Differences, reports.StudyDifference{Key: d.Key, Meaning: d.Meaning, Before: d.Before, After: d.After})
	}
	for _, q := range found.Requirements {
		r.Requirements = append(r.Requirements, c.requirement(q))
		if !q.Untouched {
			r.Warnings = append(r.Warnings, warningsOf(label(q.Requirement.Output), q.Before, q.After)...)
		}
	}
	for _, s := range found.Steps {
		step := reports.ChangeStep{Key: s.Name, Shifts: shifts(c.before, s.Outputs)}
		for _, one := range s.Differences {
			step.Differences = append(step.Differences, difference(one))
		}
		r.Steps = append(r.Steps, step)
	}
	r.DifferenceVerdict = r.Verdict
	return r, found.Safe, nil
}

// hold judges both designs by the numbers of record in every condition: a change is
// safe when the difference is, and every target is met after it.
func (c *studyChange) hold(ctx context.Context, r *reports.Change, difference decide.Answer) (decide.Answer, error) {
	if c.Same {
		return difference, nil
	}
	safe := difference
	for _, side := range []struct {
		study *study.Study
		to    **reports.Decision
	}{{c.before, &r.BeforeDecision}, {c.after, &r.AfterDecision}} {
		mission, err := missionOf(ctx, c.Setup, side.study, moved{}, true)
		if err != nil {
			return 0, err
		}
		*side.to = decisionOf(side.study, mission, c.Run.Confidence)
		addRecords(r, mission.Records[0], side.study == c.after)
		if answer := answerOf(mission.Verdict); side.study == c.after && difference != decide.No && answer != decide.Yes {
			safe = answer
		}
	}
	r.Verdict = safety(safe)
	return safe, nil
}

// addRecords puts the numbers of record of the study as written in the place of those that
// the common draws gave before or after the change: these are for the difference.
func addRecords(r *reports.Change, records []decide.Record, after bool) {
	for _, record := range records {
		i := slices.IndexFunc(r.Requirements, func(q reports.ChangeRequirement) bool { return q.Name == record.Requirement.Name })
		switch {
		case i < 0:
		case after:
			r.Requirements[i].After = record.Mean
			if record.Verdict != sim.NoTarget {
				r.Requirements[i].TargetVerdict = safety(answerOf(record.Verdict))
			}
		default:
			r.Requirements[i].Before = record.Mean
		}
	}
}

// decidingRequirement is the position of the requirement that decides: of those
// with the verdict of all, one that is touched; the first where all is safe, else
// the one with the largest change.
func decidingRequirement(found *decide.Changed) int {
	best := -1
	for i, q := range found.Requirements {
		if q.Safe != found.Safe {
			continue
		}
		if best < 0 || !q.Untouched && (found.Requirements[best].Untouched || found.Safe != decide.Yes && q.High > found.Requirements[best].High) {
			best = i
		}
	}
	return max(best, 0)
}

// requirement converts one requirement for the reports.
func (c *studyChange) requirement(q decide.RequirementChange) reports.ChangeRequirement {
	l, err := limitNamed(c.before, q.Requirement.Name)
	if err != nil { // not from a study
		l = &study.Limit{Name: q.Requirement.Name, Output: q.Requirement.Output, Max: q.Requirement.Limit, Quantity: "1"}
	}
	return reports.ChangeRequirement{
		Name: l.Name, Label: label(l.Output), Limit: l.Max, Unit: string(l.Quantity),
		Shown: shownUnit(l.Max, string(l.Quantity), l.Unit), Target: q.Requirement.Target,
		Before: q.Before, After: q.After, Difference: difference(q.Difference),
		Untouched: q.Untouched, Verdict: safety(q.Safe),
		MarginVerdict: safety(q.WithinMargin), TargetVerdict: safety(q.TargetMet),
		NeededRows: neededCount(q.NeededRows), NeededEvaluations: neededCount(q.NeededEvaluations), Narrower: q.Narrower,
	}
}

// notShared warns about limits that only one of the studies has.
func (c *studyChange) notShared() (all []reports.Warning) {
	for _, pair := range [][2]*study.Study{{c.before, c.after}, {c.after, c.before}} {
		for i := range pair[0].Limits {
			name := pair[0].Limits[i].Name
			if _, err := limitNamed(pair[1], name); err != nil {
				all = append(all, reports.Warning{Code: "not-shared", Text: fmt.Sprintf("%s sets a limit %s, %s does not: it is not judged", pair[0].Name, name, pair[1].Name)})
			}
		}
	}
	return all
}
