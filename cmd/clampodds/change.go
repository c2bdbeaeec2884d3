package main

import (
	"context"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

func newChange() *cobra.Command {
	var d deciding
	var margin string
	var record recordFile
	cmd := &cobra.Command{
		Use:   "change BASE NEW",
		Short: "Is a change safe?",
		Args:  exactly(2),
		RunE: d.asking(func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
			if err := record.check(&d.read); err != nil {
				return nil, 0, err
			}
			answer, err := d.as().Change(ctx, s[0], s[1], margin, nil)
			if err != nil {
				return nil, 0, err
			}
			return answer.Result, answer.Safe, record.write(&d.read, answer.Result.Record())
		}),
	}
	d.flags(cmd)
	d.conditionFlag(cmd)
	cmd.Flags().StringVar(&margin, "margin", "", "what the change may do: a `PROBABILITY`, a share of the one before as in 50%, or target (default: the study's)")
	record.flags(cmd)
	return cmd
}
