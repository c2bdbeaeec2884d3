package main

import (
	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
	"context"

	"github.com/spf13/cobra"
)

func newDrivers() *cobra.Command {
	var s shared
	var q exceedance
	rows := flags.Count(2000)
	cmd := &cobra.Command{
		Use:   "drivers STUDY",
		Short: "Which inputs make the spread and the exceedance, and what changing each would bring",
		Args:  exactly(1),
		RunE: s.asking(func(ctx context.Context, read []*study.Study) (result, sim.Verdict, error) {
			_, clear := s.progress("drivers")
			defer clear()
			return q.ask(read[0]).Drivers(ctx, read[0], int(rows))
		}),
	}
	s.flags(cmd)
	s.conditionFlag(cmd)
	q.flags(cmd)
	cmd.Flags().Var(&rows, "samples", "cards in each sample; a change of an input takes two samples")
	return cmd
}
