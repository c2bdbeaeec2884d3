package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

func newCompare() *cobra.Command {
	var d deciding
	var by string
	cmd := &cobra.Command{
		Use:   "compare STUDY...",
		Short: "Designs side by side on the same draws",
		Long: `compare evaluates two to eight studies on the same draws: heat split, resistances,
temperatures, margins, exceedance, forces, utilisations, with the differences to
the first. It ranks them by the probability of exceeding one limit and says which
cannot be told apart.

Exit codes: 0 the best is told apart from the next and meets its targets, 3 it
misses one, 4 undecided.`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) < 2 || len(args) > decide.MostDesigns {
				return usage(fmt.Errorf("usage: %s: 2 to %d studies (%d given)", cmd.UseLine(), decide.MostDesigns, len(args)))
			}
			studies, err := d.loadAll(args, cmd.ErrOrStderr())
			if err != nil {
				return err
			}
			result, verdict, err := d.rankDesigns(cmd, studies, by)
			if err != nil {
				return err
			}
			if err := emit(cmd.OutOrStdout(), d.form, result); err != nil {
				return err
			}
			return verdict
		},
	}
	d.flags(cmd)
	d.conditionFlag(cmd)
	cmd.Flags().StringVar(&by, "by", "", "rank by this limit, by its `NAME` in the studies: spot, edge, screw, component.cpu (default: the first temperature's)")
	return cmd
}

// rankDesigns compares studies and ranks them by a limit.
func (d *deciding) rankDesigns(cmd *cobra.Command, studies []*study.Study, by string) (reports.Compare, error, error) {
	c, err := newStudyCompare(studies, by)
	if err != nil {
		return reports.Compare{}, nil, usage(err)
	}
	var clear func()
	c.Setup, clear = d.setup(cmd, studies[0])
	defer clear()
	result, err := c.rank(cmd.Context())
	if err != nil {
		return result, nil, err
	}
	outcome, err := c.judge(cmd.Context(), &result)
	return result, outcome, err
}

// studyCompare is a comparison with the studies it is about.
type studyCompare struct {
	decide.Compare
	studies []*study.Study
}

// newStudyCompare checks that studies can be compared and wires them.
func newStudyCompare(studies []*study.Study, by string) (*studyCompare, error) {
	c := &studyCompare{studies: studies}
	for _, s := range studies {
		if err := comparable(studies[0], s); err != nil {
			return nil, err
		}
		one, err := scenario(s, s.Name)
		if err != nil {
			return nil, err
		}
		c.Scenarios = append(c.Scenarios, one)
	}
	l, err := limitNamed(studies[0], by)
	if err != nil {
		return nil, err
	}
	c.By, c.Outputs = l.Name, sharedOutputs(c.Scenarios)
	return c, nil
}

// sharedOutputs are the quantities that all designs have.
func sharedOutputs(scenarios []sim.Scenario) (names []string) {
	count := map[string]int{}
	for _, s := range scenarios {
		for _, o := range s.Model.Outputs() {
			if count[o.Name]++; count[o.Name] == len(scenarios) && o.Bin > 0 && !strings.HasPrefix(o.Name, "fit.") {
				names = append(names, o.Name)
			}
		}
	}
	return names
}

// rank compares the studies as written, for the reports.
func (c *studyCompare) rank(ctx context.Context) (reports.Compare, error) {
	found, err := c.Rank(ctx)
	if err != nil {
		return reports.Compare{}, decided(err)
	}
	by, err := limitNamed(c.studies[0], c.By)
	if err != nil {
		return reports.Compare{}, usage(err)
	}
	r := reports.Compare{
		Schema: reports.CompareSchema, Provenance: decidedRun(c.studies[0], found.Run), Verdict: "yes",
		By: fmt.Sprintf("%s above %s", label(by.Output), by.Format(by.Max)), Warnings: reports.Warnings(found.Run.Warnings),
	}
	for i, s := range c.studies {
		r.Designs = append(r.Designs, design(s, i, by, found))
	}
	for _, rank := range found.Ranking {
		if rank.Tail {
			q := requirementNamed(r.Designs[rank.Design].Results.Requirements, by.Name)
			q.PerCard, q.Verdict = reports.NewEstimate(rank.Estimate), sim.Judge(rank.Estimate, by.Target).String()
		}
		r.Ranking = append(r.Ranking, reports.CompareRank{
			Design: rank.Design, Place: rank.Place, Probability: reports.NewEstimate(rank.Estimate), Tail: rank.Tail, Over: difference(rank.Over),
		})
	}
	if found.Ranking[1].Place == found.Ranking[0].Place {
		r.Verdict = "undecided"
	}
	for _, o := range found.Others {
		r.Others = append(r.Others, other(c.studies[0], by, o))
	}
	if len(found.Inputs) > 0 {
		last := c.studies[found.Ranking[len(found.Ranking)-1].Design]
		input := inputShare(last, found.Inputs[0])
		r.RestsOn = &input
	}
	return r, nil
}

// requirementNamed is the requirement of that name, which is there.
func requirementNamed(all []reports.Requirement, name string) *reports.Requirement {
	return &all[slices.IndexFunc(all, func(q reports.Requirement) bool { return q.Name == name })]
}

// judge decides on each design by the numbers of record, in every condition. The outcome
// is that of the best one, if it is told apart.
func (c *studyCompare) judge(ctx context.Context, r *reports.Compare) (exit, err error) {
	var judged []sim.Verdict
	for i, s := range c.studies {
		mission, err := missionOf(ctx, c.Setup, s, moved{}, true)
		if err != nil {
			return nil, err
		}
		r.Designs[i].Results.Decision = decisionOf(s, mission, c.Run.Confidence)
		judged = append(judged, mission.Verdict)
	}
	all := []sim.Verdict{judged[r.Ranking[0].Design]}
	if r.Verdict == sim.Undecided.String() {
		all = append(all, sim.Undecided)
	}
	return verdicts(all...), nil
}

// design takes the results of one design over.
func design(s *study.Study, i int, by *study.Limit, found *decide.Comparison) reports.CompareDesign {
	one := *found.Run
	one.Scenarios, one.Warnings = found.Run.Scenarios[i:i+1], nil
	shared := *s // with the limits that all have, as the run has them
	shared.Limits = nil
	for _, q := range found.Requirements {
		if l, err := limitNamed(s, q.Name); err == nil {
			shared.Limits = append(shared.Limits, *l)
		}
	}
	d := reports.CompareDesign{Named: named(s), Results: newRunResult(&shared, &one)}
	d.Margin, d.Step = margin(by, one.Scenarios[0])
	return d
}

// margin is the limit less what is exceeded with the target's probability, or in
// one card of a hundred without a target.
func margin(l *study.Limit, found sim.ScenarioResult) (reports.Estimate, reports.Unit) {
	share := l.Target
	if share == 0 {
		share = 0.01
	}
	unit := differenceUnit(l.Max, string(l.Quantity), l.Unit)
	for _, q := range found.Quantities {
		if q.Output.Name != l.Output {
			continue
		}
		e := q.Percentile(1 - share)
		e.Value, e.Low, e.High = l.Max-e.Value, l.Max-e.High, l.Max-e.Low
		return reports.NewEstimate(e), unit
	}
	return reports.Estimate{}, unit
}

// other takes over what a design changes.
func other(s *study.Study, by *study.Limit, o decide.StepChange) reports.CompareOther {
	r := reports.CompareOther{Shifts: shifts(s, o.Outputs)}
	for _, d := range o.Differences {
		r.Differences = append(r.Differences, difference(d))
	}
	for _, shift := range r.Shifts {
		if shift.Statistic == "mean" || shift.Name == by.Output {
			r.Main = append(r.Main, shift)
		}
	}
	return r
}
