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
	var s shared
	var q exceedance
	cmd := s.command("tail STUDY", "Rare exceedance, down to 1e-9, and the most likely way to exceed", exactly(1), func(ctx context.Context, read []*study.Study) (result, sim.Verdict, error) {
		_, clear := s.progress("ways to exceed")
		defer clear()
		return q.ask(read[0]).Tail(ctx, read[0])
	})
	s.flags(cmd)
	s.conditionFlag(cmd)
	q.flags(cmd)
	return cmd
}

// exceedance holds the flags of every command that looks for a rare exceedance.
type exceedance struct {
	limit, at     string
	evaluations   flags.Count
	relativeError float64
	seed          uint64
	workers       int
	cmd           *cobra.Command
}

func (q *exceedance) flags(cmd *cobra.Command) {
	q.cmd, q.evaluations = cmd, 20000
	f := cmd.Flags()
	f.StringVar(&q.limit, "limit", "", "the limit that is exceeded, by its `NAME` in the study: spot, edge, screw_stress, component.cpu (default: the first temperature's)")
	f.StringVar(&q.at, "at", "", "move the limit to this `QUANTITY`, as in 95degC")
	f.Var(&q.evaluations, "evaluations", "largest number of model evaluations")
	f.Float64Var(&q.relativeError, "relative-error", 0.1, "relative standard error aimed at")
	f.Uint64Var(&q.seed, "seed", 0, "seed of the random numbers, 0 included (default: the study's)")
	f.IntVar(&q.workers, "workers", 0, "goroutines; the result does not depend on it (default: one per processor)")
}

// ask is the question, with the seed of the study where none was given.
func (q *exceedance) ask(s *study.Study) question.Exceedance {
	seed := s.Run.Seed
	if q.cmd.Flags().Changed("seed") {
		seed = q.seed
	}
	return question.Exceedance{Limit: q.limit, At: q.at, Evaluations: int(q.evaluations), RelativeError: q.relativeError, Seed: seed, Workers: q.workers}
}

func newDrivers() *cobra.Command {
	var s shared
	var q exceedance
	rows := flags.Count(2000)
	cmd := s.command("drivers STUDY", "Which inputs make the spread and the exceedance, and what changing each would bring", exactly(1), func(ctx context.Context, read []*study.Study) (result, sim.Verdict, error) {
		_, clear := s.progress("drivers")
		defer clear()
		return q.ask(read[0]).Drivers(ctx, read[0], int(rows))
	})
	s.flags(cmd)
	s.conditionFlag(cmd)
	q.flags(cmd)
	cmd.Flags().Var(&rows, "samples", "cards in each sample; a change of an input takes two samples")
	return cmd
}
