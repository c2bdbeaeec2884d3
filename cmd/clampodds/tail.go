package main

import (
	"context"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

func newTail() *cobra.Command {
	var e exceedance
	cmd := e.question("tail STUDY", "Rare exceedance, down to 1e-9, and the most likely way to exceed", exactly(1), func(ctx context.Context, read []*study.Study) (result, sim.Verdict, error) {
		_, clear := e.progress("ways to exceed")
		defer clear()
		return e.Tail(ctx, read[0])
	})
	e.flags()
	keepingFlags(cmd, &e.Sampling)
	return cmd
}

func newDrivers() *cobra.Command {
	var e exceedance
	rows := 2000
	cmd := e.question("drivers STUDY", "Which inputs make the spread and the exceedance, and what changing each would bring", exactly(1), func(ctx context.Context, read []*study.Study) (result, sim.Verdict, error) {
		_, clear := e.progress("drivers")
		defer clear()
		return e.Drivers(ctx, read[0], rows)
	})
	e.flags()
	flags.Workers(cmd.Flags(), &e.Workers)
	flags.Count(cmd.Flags(), &rows, "samples", "cards in each sample; a change of an input takes two samples")
	return cmd
}

// exceedance holds the flags of every command that looks for a rare exceedance.
type exceedance struct {
	shared
	question.Exceedance
}

func (e *exceedance) flags() {
	e.conditionFlag()
	e.Evaluations = question.TailEvaluations
	f := e.cmd.Flags()
	f.StringVar(&e.Limit, "limit", "", "the limit that is exceeded, by its `NAME` in the study: spot, edge, screw_stress, component.cpu (default: the first temperature's)")
	f.StringVar(&e.At, "at", "", "move the limit to this `QUANTITY`, as in 95degC")
	flags.Count(f, &e.Evaluations, "evaluations", "largest number of model evaluations of the search for the ways to exceed")
	f.Float64Var(&e.RelativeError, "relative-error", 0.1, "relative standard error aimed at")
	flags.Seed(f, &e.Seed)
}
