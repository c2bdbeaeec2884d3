package main

import (
	"context"

	"github.com/spf13/cobra"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

func newLoosen() *cobra.Command {
	var d deciding
	var a question.Loosening
	cmd := &cobra.Command{
		Use:   "loosen STUDY",
		Short: "How far each tolerance may be loosened before a limit is missed",
		Long: `loosen moves one tolerance at a time, all others as written: its spread, the
limits it is cut at, its mean. It tells how far each may go before a limit is
missed in a condition of the mission, judged as run does, or what it would have to
become when one is missed now. Where what is not known alone leaves the study
open, it also tells how far each may go on average over that.`,
		Args: exactly(1),
		RunE: d.asking(func(ctx context.Context, s []*study.Study) (result, sim.Verdict, error) {
			return question.AskOfRecord(ctx, d.as(), s[0], "tolerances", a.Ask)
		}),
	}
	d.ofRecord(cmd)
	d.conditionFlag(cmd)
	cmd.Flags().StringSliceVar(&a.Limits, "limit", nil, "only these limits, by their `NAME` in the study: edge, screw_stress, component.cpu (default: all with a target)")
	cmd.Flags().StringSliceVar(&a.Inputs, "input", nil, "only these tolerances, by the `KEY` of the input (default: all that scatter and are not lack of knowledge)")
	return cmd
}
