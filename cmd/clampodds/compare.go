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
