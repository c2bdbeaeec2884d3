package main

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// deciding holds the flags of every command that decides something: those of the
// sampling and of the tail methods behind it.
type deciding struct {
	shared
	sampling
	evaluations count
}

func (d *deciding) flags(cmd *cobra.Command) {
	d.shared.flags(cmd)
	d.sampling.flags(cmd)
	d.evaluations = tailEvaluations
	cmd.Flags().Var(&d.evaluations, "evaluations", "largest number of model evaluations of each estimate by the tail methods")
}

// tailEvaluations bounds those of each estimate by the tail methods.
const tailEvaluations = 20000

// setup is how the probabilities of a study are found, with a function that clears
// the progress.
func (d *deciding) setup(cmd *cobra.Command, s *study.Study) (setup decide.Setup, clear func()) {
	run := d.run(s)
	run.Progress, clear = progress(cmd.ErrOrStderr(), d.quiet, "cards")
	return decide.Setup{Run: *run, Events: eventsOf(s), Evaluations: int(d.evaluations)}, clear
}

// eventsOf finds the events of a requirement of the study, for the tail methods.
func eventsOf(s *study.Study) func(sim.Requirement) []sim.Requirement {
	return func(q sim.Requirement) []sim.Requirement {
		l, err := limitNamed(s, q.Name)
		if err != nil {
			return []sim.Requirement{q}
		}
		moved := *l
		moved.Max = q.Limit
		return rareEvents(&moved)
	}
}

// decided turns the errors of package decide into outcomes.
func decided(err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, decide.ErrStopped):
		return failure(errors.New("stopped before there was an answer"))
	case errors.As(err, new(outcome)):
		return err
	}
	return usage(errors.New(flagNames.Replace(err.Error())))
}

// answered turns answers into an exit code.
func answered(answers ...decide.Answer) error {
	var all []sim.Verdict
	for _, a := range answers {
		all = append(all, verdictOf(a))
	}
	return verdicts(all)
}

// verdictOf is an answer as a verdict.
func verdictOf(a decide.Answer) sim.Verdict {
	return map[decide.Answer]sim.Verdict{decide.Yes: sim.Met, decide.No: sim.NotMet, decide.Undecided: sim.Undecided}[a]
}

// safety is an answer to "is it safe?" in words; empty where it was not asked.
func safety(a decide.Answer) string {
	return map[decide.Answer]string{decide.Yes: "safe", decide.No: "not safe", decide.Undecided: "undecided"}[a]
}

// neededCount is a number of samples; what is out of reach is infinite.
func neededCount(n int64) reports.Real {
	if n == math.MaxInt64 {
		return real(math.Inf(1))
	}
	return real(float64(n))
}

func difference(d decide.Difference) reports.Difference {
	return reports.Difference{Value: real(d.Value), Low: real(d.Low), High: real(d.High), Level: real(d.Level), Tail: d.Tail, Rows: d.Rows}
}

// shifts takes over the differences of statistics.
func shifts(s *study.Study, list []decide.OutputChange) (all []reports.Shift) {
	for _, c := range list {
		unit := c.Output.Unit
		like := typedUnit(s, unit)
		all = append(all, reports.Shift{
			Name: c.Output.Name, Label: label(c.Output.Name), Unit: unit, Statistic: c.Statistic,
			Shown: shownUnit(c.First, unit, like), Step: differenceUnit(c.First, unit, like),
			First: real(c.First), Other: real(c.Other), Value: real(c.Difference.Mean),
			Low: real(c.Difference.Low), High: real(c.Difference.High), Level: real(c.Difference.Level),
			Replicates: c.Difference.Count, Narrower: real(c.Narrower),
		})
	}
	return all
}

// differenceUnit is the unit of a difference of values that are shown in the unit
// chosen for a typical one.
func differenceUnit(typical float64, unit, like string) reports.Unit {
	q := units.Quantity(unit)
	if q != units.Temperature {
		return shownUnit(typical, unit, like)
	}
	if fahrenheit, _ := units.Shown(typical, q, like); fahrenheit == "°F" {
		like = "ddegF"
	} else {
		like = "dK"
	}
	return shownUnit(1, string(q.Difference()), like)
}

// decidedRun is the provenance of what a run decided.
func decidedRun(s *study.Study, found *sim.Result) reports.Provenance {
	p := sampled(s, found)
	p.Complete = true
	return p
}

// inputShare is an input in words with its share of the way to an exceedance.
func inputShare(s *study.Study, share decide.Share) reports.InputShare {
	r := reports.InputShare{Key: share.Input, Share: real(share.Value)}
	if in := s.Input(share.Input); in != nil {
		r.Meaning, r.Words, r.Source = in.Parameter.Meaning, in.InWords(), in.Source
	}
	return r
}

// named is a study by its name.
func named(s *study.Study) reports.Named {
	return reports.Named{Study: s.Name, Title: s.Title, Digest: s.Digest}
}

// warningsOf gathers the warnings of estimates by their requirement.
func warningsOf(label string, estimates ...sim.Estimate) (all []reports.Warning) {
	for _, e := range estimates {
		for _, w := range e.Warnings {
			switch w.Code {
			case decide.NotEstablished, decide.StricterLimit, sim.FewClusters:
				all = append(all, reports.Warning{Code: string(w.Code), Text: fmt.Sprintf("%s: %s", label, w.Text)})
			}
		}
	}
	return all
}

// conditionsWarning says that a decision looks at the study as written only.
func conditionsWarning(s *study.Study) []reports.Warning {
	if len(s.Conditions) == 0 || s.ConditionName != "" {
		return nil
	}
	var names []string
	for _, c := range s.Conditions {
		names = append(names, c.Name)
	}
	return []reports.Warning{{Code: "conditions-not-looked-at", Text: "the study as written is judged, averaged over what is not known; its conditions are not looked at (" + strings.Join(names, ", ") + "); run looks at them, --condition NAME at one"}}
}
