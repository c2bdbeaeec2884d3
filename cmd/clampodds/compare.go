package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/study"
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
the first. It ranks them by the probability of exceeding one limit, the number of
record of the study as written, gives a place only where the evidence does, on rows
common to each pair of designs, and decides on each design as run does.

Exit codes: 0 the best is told apart from the next and meets its targets, 3 it
misses one, 4 undecided.`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) < 2 || len(args) > decide.MostDesigns {
				return fmt.Errorf("usage: %s: 2 to %d studies (%d given)", cmd.UseLine(), decide.MostDesigns, len(args))
			}
			return nil
		},
		RunE: d.asking(func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
			return d.as().Compare(ctx, s, by)
		}),
	}
	d.flags(cmd)
	d.conditionFlag(cmd)
	cmd.Flags().StringVar(&by, "by", "", "rank by this limit, by its `NAME` in the studies: spot, edge, screw_stress, component.cpu (default: the first temperature's)")
	return cmd
}
