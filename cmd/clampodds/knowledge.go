package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/strata"
)

// keepApart adds, for the limits that enough cards exceed, the probability with
// lack of knowledge kept apart from variation. All limits together take about as
// many evaluations as the run, and no more than mostApart aims at: its rows are
// kept in memory, which must not grow with the run.
func keepApart(cmd *cobra.Command, f *runFlags, run *sim.Run, done *ran, predictive bool) error {
	var limits []int
	for i, q := range done.found.Scenarios[0].Requirements {
		if q.Exceeded.Rows() >= reports.FewestSeen {
			limits = append(limits, i)
		}
	}
	if !done.found.Complete || len(limits) == 0 {
		return nil
	}
	show, clear := progress(cmd.ErrOrStderr(), f.quiet, "limits with lack of knowledge kept apart")
	defer clear()
	for i, at := range limits {
		if show != nil {
			show(int64(i), int64(len(limits)))
		}
		q := run.Scenarios[0].Requirements[at]
		u, err := strata.Knowledge(cmd.Context(), run.Scenarios[0], q, strata.KnowledgeOptions{
			Rows: min(done.found.Rows, mostApart) / int64(len(limits)), Confidence: max(run.Confidence, leastConfidence), Seed: run.Seed, Workers: run.Workers,
		})
		switch {
		case errors.Is(err, strata.ErrNoKnowledge):
			return nil
		case errors.Is(err, context.Canceled):
			return failure(errors.New("stopped before lack of knowledge was kept apart"))
		case err != nil:
			done.warn("knowledge-not-apart", fmt.Sprintf("lack of knowledge is not kept apart for %s: %v", label(q.Output), err))
			continue
		}
		done.addKnowledge(at, u, predictive)
	}
	return nil
}

// mostApart is the number of evaluations that all limits together aim at; beyond,
// the unknown inputs, not the rows, are what leaves the answer wide.
const mostApart = 100_000

// leastConfidence is the lowest that lack of knowledge is stated with.
const leastConfidence = 0.75

// addKnowledge takes the result for one limit over. Its own mean of the
// probability must agree with the run's: events that the strata know nothing of
// would show there.
func (r *ran) addKnowledge(at int, u *strata.Unknown, predictive bool) {
	q := r.result.Requirements[at]
	r.result.Knowledge = append(r.result.Knowledge, reports.Unknown{
		Name: q.Name, Label: q.Label, Mixed: q.PerCard, Median: reports.NewEstimate(u.Median), Below: reports.NewEstimate(u.Upper),
		Confidence: real(u.Upper.Level), Inputs: u.Inputs, Evaluations: u.Evaluations,
		Spread: real(u.Spread), Misfit: real(u.Misfit),
	})
	if j := &r.judged[at]; !predictive {
		j.bound, j.apart = u.Upper, true
		verdict, _ := j.verdict()
		r.result.Requirements[at].Verdict = verdict.String()
	}
	for _, w := range u.Warnings {
		r.warn(string(w.Code), q.Label+": "+w.Text)
	}
	if u.Mixed.High < float64(q.PerCard.Low) || u.Mixed.Low > float64(q.PerCard.High) {
		r.warn("knowledge-disagrees", fmt.Sprintf("%s: the mean over what is not known, %.3g, does not agree with the run's %.3g: some cards exceed the limit in a way that the strata did not see; do not use the probability with lack of knowledge kept apart",
			q.Label, u.Mixed.Value, float64(q.PerCard.Value)))
	}
}

func (r *ran) warn(code, text string) {
	r.result.Warnings = append(r.result.Warnings, reports.Warning{Code: code, Text: text})
}
